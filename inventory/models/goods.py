"""The pieces themselves, the catalogue of kinds they belong to, and the tags on them.

Lengths are whole millimetres and weights whole grams; `openings` is a list of
`{"at_mm": [x, y, z], "size_mm": [l, w, h]}` in the piece's own standing frame.
"""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.models.people import Branch
from inventory.models.storage import COLOR_WORD, LoosePlace, Shipment, Vault

POSTURES = ("standing", "on_side", "on_end")
LEVELS = ("base", "middle", "top")


class Level(models.TextChoices):
    BASE = "base", _("base")
    MIDDLE = "middle", _("middle")
    TOP = "top", _("top")


class MeasureSource(models.TextChoices):
    """Whether a size or weight was taken from the piece or is typical of its kind."""

    MEASURED = "measured", _("measured")
    KIND = "kind", _("typical of its kind")


def _sound_piece(prefix: str) -> tuple[models.CheckConstraint, ...]:
    """Give what holds for a kind and a piece alike: no piece without size, weight or posture."""
    return (
        models.CheckConstraint(
            condition=Q(length_mm__gte=1) & Q(width_mm__gte=1) & Q(height_mm__gte=1),
            name=f"{prefix}_size_positive",
        ),
        models.CheckConstraint(condition=Q(weight_g__gte=1), name=f"{prefix}_weight_positive"),
        models.CheckConstraint(
            condition=Q(postures__contained_by=list(POSTURES)) & Q(postures__len__gte=1),
            name=f"{prefix}_postures_known",
        ),
        models.CheckConstraint(
            condition=Q(level__isnull=True) | Q(level__in=LEVELS), name=f"{prefix}_level_known"
        ),
    )


class Piece(models.Model):
    """What the planner wants to know of a piece; a kind holds the typical values."""

    length_mm = models.PositiveIntegerField(_("length"))
    width_mm = models.PositiveIntegerField(_("width"))
    height_mm = models.PositiveIntegerField(_("height"))
    weight_g = models.PositiveIntegerField(_("weight"))
    postures = ArrayField(models.CharField(max_length=10), verbose_name=_("postures"))
    wrap = models.BooleanField(_("wrapped in pads"), default=False)
    bears_g = models.PositiveIntegerField(_("bears"), default=0)
    level = models.CharField(  # noqa: DJ001 - null is the contract's word for "the planner decides"
        _("level"), max_length=6, choices=Level.choices, null=True, blank=True
    )
    fragile = models.BooleanField(_("fragile"), default=False)
    carton = models.BooleanField(_("carton"), default=False)
    soft = models.BooleanField(_("soft"), default=False)
    openings = models.JSONField(_("openings"), default=list, blank=True)
    handling = models.CharField(_("handling"), max_length=100, null=True, blank=True)  # noqa: DJ001
    pads = models.PositiveSmallIntegerField(_("pads in the truck"), null=True, blank=True)
    storage_pads = models.PositiveSmallIntegerField(_("pads in storage"), null=True, blank=True)

    class Meta:
        abstract = True

    @property
    def size_mm(self) -> tuple[int, int, int]:
        return self.length_mm, self.width_mm, self.height_mm


class ItemKind(Piece):
    """A kind of household piece or carton with its typical values."""

    code = models.SlugField(_("code"), max_length=60, unique=True)
    name = models.CharField(_("name"), max_length=100)
    words = ArrayField(
        models.CharField(max_length=60),
        default=list,
        blank=True,
        help_text=_("other names that people write on a list"),
    )

    class Meta:
        ordering = ("name",)
        constraints = _sound_piece("kind")

    def __str__(self) -> str:
        return self.name


class Item(Piece):
    """One piece of a shipment: in a vault, at a loose place, or (neither) somewhere else.

    What left with a load has no place any more; `left_vault` tells which vault it came out of.
    `vault_position` counts from 1 at the vault's door. The migrations add that the vault is
    of the same shipment.
    """

    shipment = models.ForeignKey(Shipment, on_delete=models.PROTECT, related_name="items")
    kind = models.ForeignKey(
        ItemKind, null=True, blank=True, on_delete=models.PROTECT, related_name="items"
    )
    kind_confirmed = models.BooleanField(_("kind confirmed"), default=True)
    name = models.CharField(_("name"), max_length=100)
    size_from = models.CharField(
        max_length=8, choices=MeasureSource.choices, default=MeasureSource.MEASURED
    )
    weight_from = models.CharField(
        max_length=8, choices=MeasureSource.choices, default=MeasureSource.MEASURED
    )
    stop = models.PositiveSmallIntegerField(_("stop"), default=1)
    set_name = models.CharField(_("set"), max_length=60, null=True, blank=True)  # noqa: DJ001
    last_on = models.BooleanField(_("last on"), default=False)
    vault = models.ForeignKey(
        Vault, null=True, blank=True, on_delete=models.PROTECT, related_name="items"
    )
    vault_position = models.PositiveSmallIntegerField(
        _("place in the vault, from its door"), null=True, blank=True
    )
    loose_place = models.ForeignKey(
        LoosePlace, null=True, blank=True, on_delete=models.PROTECT, related_name="items"
    )
    high_value = models.BooleanField(
        _("on the high-value list"),
        null=True,
        help_text=_("yes or no where somebody decided; else the words of its name decide"),
    )
    left_at = models.DateTimeField(_("left at"), null=True, blank=True)
    left_vault = models.CharField(_("left out of vault"), max_length=20, blank=True)

    class Meta:
        ordering = ("shipment", "id")
        constraints = (
            *_sound_piece("item"),
            models.CheckConstraint(condition=Q(stop__gte=1), name="item_stop_from_one"),
            models.CheckConstraint(condition=~Q(name=""), name="item_is_named"),
            models.CheckConstraint(
                condition=Q(size_from__in=("measured", "kind"))
                & Q(weight_from__in=("measured", "kind")),
                name="item_measure_source_known",
            ),
            models.CheckConstraint(
                condition=(Q(size_from="measured") & Q(weight_from="measured"))
                | Q(kind__isnull=False),
                name="item_typical_values_have_a_kind",
            ),
            models.CheckConstraint(
                condition=Q(vault__isnull=True, vault_position__isnull=True)
                | Q(vault__isnull=False) & Q(vault_position__isnull=False, vault_position__gte=1),
                name="item_vault_place_whole_or_none",
            ),
            models.CheckConstraint(
                condition=Q(vault__isnull=True) | Q(loose_place__isnull=True),
                name="item_in_one_place",
            ),
            models.CheckConstraint(
                condition=Q(left_at__isnull=True, left_vault="")
                | Q(left_at__isnull=False, vault__isnull=True, loose_place__isnull=True),
                name="item_that_left_has_no_place",
            ),
            models.UniqueConstraint(
                fields=("vault", "vault_position"),
                name="item_vault_position_once",
                deferrable=models.Deferrable.DEFERRED,
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def current_tag(self) -> "ItemTag | None":
        """The tag on the piece now. Reads `tags`, so prefetch them for many items."""
        return next((tag for tag in self.tags.all() if tag.replaced_at is None), None)

    @property
    def tag(self) -> str | None:
        """The number on the current tag, for instance "017"."""
        tag = self.current_tag
        return tag.number if tag else None


class ItemTag(models.Model):
    """A tag as the trade writes it: lot number, label colour, item number.

    Every lot has its own 001. A replaced tag stays, so that its piece is still found by it.
    """

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="tags")
    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="tags")
    lot_number = models.CharField(_("lot number"), max_length=40)
    label_color = models.CharField(_("label colour"), max_length=20)
    number = models.CharField(_("number"), max_length=10)
    assigned_at = models.DateTimeField()
    replaced_at = models.DateTimeField(null=True, blank=True)
    replaced_by_event = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ("lot_number", "label_color", "number", "id")
        constraints = (
            models.UniqueConstraint(
                fields=("branch", "lot_number", "label_color", "number"),
                condition=Q(replaced_at__isnull=True),
                name="tag_current_once_per_branch",
            ),
            models.UniqueConstraint(
                fields=("item",),
                condition=Q(replaced_at__isnull=True),
                name="tag_current_once_per_item",
            ),
            models.CheckConstraint(
                condition=Q(number__regex=r"^[0-9]{3,10}$"), name="tag_number_of_three_digits"
            ),
            models.CheckConstraint(
                condition=Q(label_color__regex=COLOR_WORD), name="tag_color_is_a_word"
            ),
            models.CheckConstraint(
                condition=Q(replaced_at__isnull=True, replaced_by_event__isnull=True)
                | Q(replaced_at__isnull=False, replaced_by_event__isnull=False),
                name="tag_replaced_by_an_event",
            ),
        )

    def __str__(self) -> str:
        return f"{self.lot_number} {self.label_color} {self.number}"
