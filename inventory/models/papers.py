"""Papers that were made: the unsigned, which can be made again, and the signed, which stay."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.models.people import Branch, User


class Sheet(models.TextChoices):
    LETTER = "letter", _("letter, 8.5 \u00d7 11 in")
    A4 = "a4", _("A4, 210 \u00d7 297 mm")


class Paper(models.Model):
    """An unsigned paper, asked for or made: the row that a worker fills.

    `subject` is the key of what it is about in the app that sets it ("plan 12"). What it is about
    never changes, and so neither does the paper: it is made once for each form.
    """

    class Status(models.TextChoices):
        QUEUED = "queued", _("being made")
        DONE = "done", _("made")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="papers")
    kind = models.SlugField(_("kind"), max_length=30)
    subject = models.CharField(_("subject"), max_length=80)
    sheet = models.CharField(max_length=10, choices=Sheet.choices)
    units = models.CharField(max_length=10, choices=User.Units.choices)
    language = models.CharField(max_length=10)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.QUEUED)
    asked_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)
    content = models.BinaryField(null=True, blank=True)

    class Meta:
        ordering = ("-asked_at",)
        constraints = (
            models.UniqueConstraint(
                fields=("kind", "subject", "sheet", "units", "language"), name="paper_made_once"
            ),
            models.CheckConstraint(
                condition=Q(status="queued", content__isnull=True, made_at__isnull=True)
                | Q(status="done", content__isnull=False, made_at__isnull=False),
                name="paper_done_with_content",
            ),
            models.CheckConstraint(condition=Q(sheet__in=Sheet.values), name="paper_sheet_known"),
        )
        indexes = (
            models.Index(
                fields=("sent_at",), name="paper_being_made", condition=Q(status="queued")
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.subject}"


class SignedPaper(models.Model):
    """A paper with signatures, frozen as it was signed: a trigger of the database says so.

    `document` is what it says, in keys; `signatures` are `{"part", "name", "strokes"}` with
    strokes as lists of points; `sha256` is of `content`, the PDF. What was wrong is corrected by
    a new version with a reason; the former stays.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="signed_papers")
    kind = models.SlugField(_("kind"), max_length=30)
    subject = models.CharField(_("subject"), max_length=80)
    version = models.PositiveSmallIntegerField(_("version"))
    reason = models.CharField(_("reason of the correction"), max_length=200, blank=True)
    document = models.JSONField()
    signatures = models.JSONField()
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    signed_at = models.DateTimeField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("kind", "subject", "-version")
        constraints = (
            models.UniqueConstraint(
                fields=("kind", "subject", "version"), name="signed_paper_version_once"
            ),
            models.CheckConstraint(
                condition=Q(version=1, reason="") | Q(version__gt=1) & ~Q(reason=""),
                name="signed_paper_corrected_for_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(sha256__regex=r"^[0-9a-f]{64}$"), name="signed_paper_sha256_is_hex"
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.subject} v{self.version}"
