"""The condition of a piece when it came and when it left, and photographs of it."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.models.goods import Item
from inventory.models.people import Branch, User

NOTE_MAX = 300


class Moment(models.TextChoices):
    RECEIVED = "received", _("when received")
    RELEASED = "released", _("when released")


class ConditionNote(models.Model):
    """What somebody saw of a piece at one of the two moments; a trigger keeps it as it is.

    `note` is in official marks (`inventory.condition`) or plain words.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="conditions")
    moment = models.CharField(_("when"), max_length=10, choices=Moment.choices)
    note = models.CharField(_("condition"), max_length=NOTE_MAX)
    noted_at = models.DateTimeField()
    noted_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ("noted_at", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(moment__in=Moment.values), name="condition_moment_known"
            ),
            models.CheckConstraint(condition=~Q(note=""), name="condition_says_something"),
        )

    def __str__(self) -> str:
        return f"{self.item_id} {self.moment}: {self.note}"


class Photo(models.Model):
    """A photograph: the picture lies in the media storage, never in the database.

    `id` is the sender's own, so that it may be sent twice; `sent_sha256` is of what was sent,
    before it was made anew without its metadata. `subject` is the key of the job that it was taken
    on, `event` the exception that it shows (which may arrive later), `tag` as the sender wrote it.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="photos")
    item = models.ForeignKey(
        Item, null=True, blank=True, on_delete=models.PROTECT, related_name="photos"
    )
    tag = models.CharField(_("tag"), max_length=80, blank=True)
    subject = models.CharField(max_length=80, blank=True)
    event = models.UUIDField(null=True, blank=True)
    moment = models.CharField(_("when"), max_length=10, choices=Moment.choices)
    name = models.CharField(max_length=120, unique=True)
    sent_sha256 = models.CharField(max_length=64)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    size_bytes = models.PositiveIntegerField()
    taken_at = models.DateTimeField()
    stored_at = models.DateTimeField()
    stored_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ("taken_at", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(moment__in=Moment.values), name="photo_moment_known"
            ),
            models.CheckConstraint(
                condition=Q(item__isnull=False) | ~Q(subject=""), name="photo_is_of_something"
            ),
            models.CheckConstraint(
                condition=Q(sent_sha256__regex=r"^[0-9a-f]{64}$"), name="photo_sha256_is_hex"
            ),
        )
        indexes = (models.Index(fields=("subject", "tag"), name="photo_of_a_job"),)

    def __str__(self) -> str:
        return self.name
