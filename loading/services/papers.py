"""Papers of plans: set at once when they are short, by a worker when they are long."""

from datetime import datetime
from uuid import UUID

from celery import current_app
from django.db import transaction
from django.utils import translation

from inventory.models import Paper
from inventory.selectors import papers_lost
from inventory.services import paper_ask, paper_done
from loading.errors import NoSuchPaper
from loading.models import LoadPlan
from loading.papers import PLAN_PAPERS, PaperForm

MAKE = "loading.background.papers_make"
QUEUE = "papers"
LONG_PIECES = 80  # about a second of work on the slowest machine it was tried on
WITH_PICTURES = ("pull-sheet", "tier-sheets")
SUBJECT = "plan "


def plan_paper_demand(
    *, plan: LoadPlan, kind: str, form: PaperForm, language: str, now: datetime
) -> Paper:
    """Give the paper, made; or still queued, if it is long and a worker has to set it.

    A plan never changes, so each paper is made once for each form and then kept. Raises
    `NoSuchPaper`.
    """
    if kind not in PLAN_PAPERS:
        raise NoSuchPaper(kind)
    with transaction.atomic():
        paper, new = paper_ask(
            branch=plan.load.branch,
            kind=kind,
            subject=f"{SUBJECT}{plan.pk}",
            sheet=form.sheet,
            units=form.units,
            language=language,
            now=now,
        )
        is_long = kind in WITH_PICTURES and len(plan.document["placements"]) > LONG_PIECES
        if new and is_long:
            Paper.objects.filter(pk=paper.pk).update(sent_at=now)
            # A broker that is down must not undo the wish: the row is sent again later.
            transaction.on_commit(lambda: _send(paper.pk), robust=True)
    if is_long or paper.status == Paper.Status.DONE:
        return paper
    return _made(paper, plan, now)


def paper_make(*, paper_id: UUID, now: datetime) -> None:
    """Set a queued paper of a plan. One that is made already stays as it is."""
    paper = Paper.objects.filter(pk=paper_id, status=Paper.Status.QUEUED).first()
    if paper is not None:
        stored = LoadPlan.objects.select_related("load__truck", "load__release__shipment")
        _made(paper, stored.get(pk=int(paper.subject.removeprefix(SUBJECT))), now)


def papers_resend(*, now: datetime) -> list[UUID]:
    """Send again the papers whose message was lost, and say which."""
    resent = []
    due = papers_lost(now=now).filter(subject__startswith=SUBJECT)
    for paper_id in due.order_by("asked_at").values_list("pk", flat=True):
        if due.filter(pk=paper_id).update(sent_at=now):
            _send(paper_id)
            resent.append(paper_id)
    return resent


def _made(paper: Paper, plan: LoadPlan, now: datetime) -> Paper:
    with translation.override(paper.language):
        content = PLAN_PAPERS[paper.kind](plan, PaperForm(paper.sheet, paper.units))
    return paper_done(paper=paper, content=content, now=now)


def _send(paper_id: UUID) -> None:
    current_app.send_task(MAKE, kwargs={"paper_id": str(paper_id)}, queue=QUEUE)
