"""Where a shipment stands: its vaults in the lanes of a branch, and places of loose pieces."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.models.people import Branch

#: A label colour is one word or a few ("red", "light green"), never a colour code.
COLOR_WORD = r"^[a-z]+( [a-z]+)*$"


class Shipment(models.Model):
    """One household's goods. The lot number and label colour are those of its usual tags."""

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="shipments")
    reference = models.CharField(_("reference"), max_length=40)
    lot_number = models.CharField(_("lot number"), max_length=40)
    label_color = models.CharField(_("label colour"), max_length=20)
    shipper_name = models.CharField(_("shipper"), max_length=100, blank=True)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        ordering = ("branch", "reference")
        constraints = (
            models.UniqueConstraint(
                fields=("branch", "reference"), name="shipment_reference_once_per_branch"
            ),
            models.CheckConstraint(
                condition=~Q(reference="") & ~Q(lot_number=""), name="shipment_is_named"
            ),
            models.CheckConstraint(
                condition=Q(label_color__regex=COLOR_WORD), name="shipment_color_is_a_word"
            ),
        )

    def __str__(self) -> str:
        return self.reference


class Lane(models.Model):
    """A stack or row of vaults that is reached from one side only.

    Attributes
    ----------
    depth : places one behind the other, 1 is nearest the aisle.
    levels : vaults one on the other, 1 is on the floor.
    """

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="lanes")
    name = models.CharField(_("name"), max_length=20)
    depth = models.PositiveSmallIntegerField(_("depth"))
    levels = models.PositiveSmallIntegerField(_("levels"))

    class Meta:
        ordering = ("branch", "name")
        constraints = (
            models.UniqueConstraint(fields=("branch", "name"), name="lane_name_once_per_branch"),
            models.UniqueConstraint(fields=("id", "branch"), name="lane_key_with_branch"),
            models.CheckConstraint(
                condition=Q(depth__gte=1) & Q(levels__gte=1), name="lane_has_room"
            ),
            models.CheckConstraint(condition=~Q(name=""), name="lane_is_named"),
        )

    def __str__(self) -> str:
        return self.name


class Upkeep(models.TextChoices):
    """What an empty vault waits for before it is used again."""

    READY = "", _("ready")
    SWEEP = "sweep", _("to be swept")
    MEND = "mend", _("to be mended")


class Vault(models.Model):
    """A wooden storage box. It stands in a lane, or (no lane) on the dock or off the premises.

    The migrations add what Django cannot say: the lane is of the vault's own branch, and the
    place lies within the lane's depth and levels.
    """

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="vaults")
    code = models.CharField(_("code"), max_length=20)
    shipment = models.ForeignKey(
        Shipment, null=True, blank=True, on_delete=models.PROTECT, related_name="vaults"
    )
    seal_number = models.CharField(_("seal"), max_length=40, blank=True)
    upkeep = models.CharField(_("waits to be"), max_length=6, choices=Upkeep.choices, blank=True)
    upkeep_note = models.CharField(_("what is to be mended"), max_length=200, blank=True)
    lane = models.ForeignKey(
        Lane, null=True, blank=True, on_delete=models.PROTECT, related_name="vaults"
    )
    depth = models.PositiveSmallIntegerField(_("depth"), null=True, blank=True)
    level = models.PositiveSmallIntegerField(_("level"), null=True, blank=True)

    class Meta:
        ordering = ("branch", "code")
        constraints = (
            models.UniqueConstraint(fields=("branch", "code"), name="vault_code_once_per_branch"),
            models.UniqueConstraint(fields=("id", "shipment"), name="vault_key_with_shipment"),
            models.UniqueConstraint(
                fields=("lane", "depth", "level"),
                name="vault_place_once",
                deferrable=models.Deferrable.DEFERRED,
            ),
            models.CheckConstraint(
                condition=Q(lane__isnull=True, depth__isnull=True, level__isnull=True)
                | Q(lane__isnull=False)
                & Q(depth__isnull=False, depth__gte=1)
                & Q(level__isnull=False, level__gte=1),
                name="vault_place_whole_or_none",
            ),
            models.CheckConstraint(condition=~Q(code=""), name="vault_is_named"),
            models.CheckConstraint(
                condition=Q(upkeep__in=("", "sweep", "mend")), name="vault_upkeep_known"
            ),
            models.CheckConstraint(
                condition=~Q(upkeep="mend") | ~Q(upkeep_note=""), name="vault_mending_says_what"
            ),
        )

    def __str__(self) -> str:
        return self.code


DOCK_FLOOR = "dock floor"
"""The place of a piece that stays in storage and has come out of its vault."""


class LoosePlace(models.Model):
    """A place in the warehouse where pieces stand outside a vault (a rack, a corner)."""

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="loose_places")
    name = models.CharField(_("name"), max_length=40)

    class Meta:
        ordering = ("branch", "name")
        constraints = (
            models.UniqueConstraint(
                fields=("branch", "name"), name="loose_place_name_once_per_branch"
            ),
        )

    def __str__(self) -> str:
        return self.name
