"""What people are told of a new plan: one sentence of what changed, and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db.models import Q
from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from jobs.models import Job, Replan

_WHY: Final = {
    "vault_not_found": _("Vault {subject} was not found"),
    "vault_blocked": _("Vault {subject} cannot be reached"),
    "piece_missing": _("Piece {subject} is missing"),
    "piece_does_not_fit": _("Piece {subject} does not fit"),
    "piece_not_on_list": _("Piece {subject} was not on the list"),
    "piece_loaded_elsewhere": _("Piece {subject} stands elsewhere than planned"),
    "size_corrected": _("Piece {subject} has another size"),
    "weight_corrected": _("Piece {subject} has another weight"),
    "stop_changed": _("Piece {subject} goes to another stop"),
    "piece_taken_apart": _("Piece {subject} was taken apart"),
    "carton_packed": _("Carton {subject} was packed"),
    "cartons_joined": _("A carton was put into {subject}"),
    "piece_taken_by_customer": _("The customer took piece {subject}"),
    "truck_changed": _("The truck was changed"),
}
_TAKEN_BACK: Final = _("A report about {subject} was taken back")
NAMED_MOST: Final = 5
TOLD: Final = Q(status=Replan.Status.PUBLISHED) | Q(
    status__in=(Replan.Status.KEPT, Replan.Status.FAILED), second_look=False
)
"""Replans that people hear of: a second look only if it finds something better."""


@dataclass(frozen=True, slots=True)
class Notice:
    """A sentence for everybody on the job. `version` is the new plan's, None if it stays."""

    replan: Replan
    at: datetime
    sentence: Promise | str
    version: int | None


def job_notices(*, job: Job, after: datetime | None = None) -> Sequence[Notice]:
    """What was told, or told after a moment, the oldest first."""
    replans = Replan.objects.filter(TOLD, job=job)
    if after is not None:
        replans = replans.filter(finished_at__gt=after)
    return [notice_of(replan) for replan in replans.order_by("finished_at", "asked_at")]


def notice_of(replan: Replan) -> Notice:
    assert replan.finished_at is not None  # a constraint of the table
    why = "; ".join(str(_why(cause)) for cause in replan.causes)
    if replan.second_look:
        why = str(_("A longer search found a better plan"))
    sentence = format_lazy("{why}: {what}.", why=why, what=_what(replan))
    return Notice(replan, replan.finished_at, sentence, replan.told.get("version"))


def _why(cause: str) -> Promise | str:
    kind, _space, subject = cause.removeprefix("undone ").partition(" ")
    told = _TAKEN_BACK if cause.startswith("undone ") else _WHY[kind]
    return str(told).format(subject=subject)


def _what(replan: Replan) -> Promise | str:
    if replan.status == Replan.Status.KEPT:
        return _("the rest of the plan stays as it is")
    if replan.status == Replan.Status.FAILED:
        return _("no new plan was found, go on as far as the old one holds")
    told, changes = replan.told, []
    if told["moved"]:
        moved = ngettext_lazy("%(n)d piece goes elsewhere", "%(n)d pieces go elsewhere", "n")
        changes.append(str(moved % {"n": told["moved"]}))
    if told["loaded"]:
        changes.append(str(_("also loaded: {tags}")).format(tags=_named(told["loaded"])))
    if told["left_off"]:
        changes.append(str(_("left behind: {tags}")).format(tags=_named(told["left_off"])))
    what = ", ".join(changes) or str(_("the same places in another order"))
    return str(_("by plan {version} {what}")).format(version=told["version"], what=what)


def _named(tags: Sequence[str]) -> str:
    rest = len(tags) - NAMED_MOST
    return ", ".join(tags[:NAMED_MOST]) + (f" +{rest}" if rest > 0 else "")
