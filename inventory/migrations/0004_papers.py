"""Papers that were made and papers that were signed, each branch's usual sheet, two languages."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

SHEETS = [("letter", "letter, 8.5 \u00d7 11 in"), ("a4", "A4, 210 \u00d7 297 mm")]
UNITS = [("imperial", "feet and pounds"), ("metric", "millimetres and kilograms")]


class Migration(migrations.Migration):
    dependencies = [("inventory", "0003_catalogue")]

    operations = [
        migrations.AddField(
            model_name="branch",
            name="paper",
            field=models.CharField(
                choices=[("letter", "letter"), ("a4", "A4")],
                default="letter",
                max_length=10,
                verbose_name="paper",
            ),
        ),
        migrations.AlterField(
            model_name="user",
            name="language",
            field=models.CharField(
                choices=[("en", "English"), ("es", "Espa\u00f1ol")],
                default="en",
                max_length=10,
                verbose_name="language",
            ),
        ),
        migrations.AddConstraint(
            model_name="branch",
            constraint=models.CheckConstraint(
                condition=models.Q(("paper__in", ("letter", "a4"))), name="branch_paper_known"
            ),
        ),
        migrations.CreateModel(
            name="Paper",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=uuid.uuid4, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("kind", models.SlugField(max_length=30, verbose_name="kind")),
                ("subject", models.CharField(max_length=80, verbose_name="subject")),
                ("sheet", models.CharField(choices=SHEETS, max_length=10)),
                ("units", models.CharField(choices=UNITS, max_length=10)),
                ("language", models.CharField(max_length=10)),
                (
                    "status",
                    models.CharField(
                        choices=[("queued", "being made"), ("done", "made")],
                        default="queued",
                        max_length=10,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("made_at", models.DateTimeField(blank=True, null=True)),
                ("content", models.BinaryField(blank=True, null=True)),
                (
                    "branch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="papers",
                        to="inventory.branch",
                    ),
                ),
            ],
            options={
                "ordering": ("-asked_at",),
                "indexes": [
                    models.Index(
                        condition=models.Q(("status", "queued")),
                        fields=["sent_at"],
                        name="paper_being_made",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kind", "subject", "sheet", "units", "language"),
                        name="paper_made_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("content__isnull", True),
                                ("made_at__isnull", True),
                                ("status", "queued"),
                            ),
                            models.Q(
                                ("content__isnull", False),
                                ("made_at__isnull", False),
                                ("status", "done"),
                            ),
                            _connector="OR",
                        ),
                        name="paper_done_with_content",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("sheet__in", ["letter", "a4"])),
                        name="paper_sheet_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SignedPaper",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("kind", models.SlugField(max_length=30, verbose_name="kind")),
                ("subject", models.CharField(max_length=80, verbose_name="subject")),
                ("version", models.PositiveSmallIntegerField(verbose_name="version")),
                (
                    "reason",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="reason of the correction"
                    ),
                ),
                ("document", models.JSONField()),
                ("signatures", models.JSONField()),
                ("content", models.BinaryField()),
                ("sha256", models.CharField(max_length=64)),
                ("signed_at", models.DateTimeField()),
                (
                    "branch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signed_papers",
                        to="inventory.branch",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("kind", "subject", "-version"),
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kind", "subject", "version"), name="signed_paper_version_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("reason", ""), ("version", 1)),
                            models.Q(
                                ("version__gt", 1),
                                models.Q(("reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="signed_paper_corrected_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("sha256__regex", "^[0-9a-f]{64}$")),
                        name="signed_paper_sha256_is_hex",
                    ),
                ],
            },
        ),
    ]
