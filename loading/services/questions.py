"""Questions that a worker answers by planning: sent, claimed, answered, sent again when lost."""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from celery import current_app
from django.db import transaction
from django.db.models import F, Q, QuerySet

from loading.models.questions import Question
from loading.planner.ordering import plan_with_orders, with_returns
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.planner.stopping import Seconds

log = logging.getLogger(__name__)

QUEUE = "plan"
RESEND_AFTER = timedelta(seconds=60)
LEASE = timedelta(seconds=60)
ATTEMPTS_MAX = 3

Asked = TypeVar("Asked", bound=Question)
Planning = Callable[[LoadRequest], PlannedLoad]
Send = Callable[[UUID], None]


def sender(task: str, key: str) -> Send:
    """Tells a worker by the task's name; `key` is what the task calls the question."""

    def send(question_id: UUID) -> None:
        current_app.send_task(task, kwargs={key: str(question_id)}, queue=QUEUE)

    return send


def question_send(question: Question, send: Send) -> None:
    """Send it when the transaction commits."""
    # A broker that is down must not undo the wish: the row is sent again later.
    transaction.on_commit(lambda: send(question.pk), robust=True)


def question_claim(questions: QuerySet[Asked], *, question_id: UUID, now: datetime) -> Asked | None:
    """Take a question to answer; None when another worker holds it or it is answered."""
    free = Q(status=Question.Status.QUEUED) | Q(status=Question.Status.RUNNING, lease_until__lt=now)
    claimed = questions.filter(free, id=question_id).update(
        status=Question.Status.RUNNING, attempt=F("attempt") + 1, lease_until=now + LEASE
    )
    if not claimed:
        return None
    question = questions.get(id=question_id)
    if question.attempt > ATTEMPTS_MAX:
        question_finish(question, now, problem=f"{ATTEMPTS_MAX} workers were lost over it")
        return None
    return question


def question_finish(
    question: Asked, now: datetime, *, answer: dict[str, Any] | None = None, problem: str = ""
) -> Asked:
    """Write what came of it, unless another worker has taken it over meanwhile."""
    status = Question.Status.FAILED if problem else Question.Status.DONE
    _held(question).update(
        status=status, answer=answer, problem=problem, lease_until=None, finished_at=now
    )
    if problem:
        told = {"question": question._meta.label, "id": str(question.pk), "problem": problem}
        log.error("question failed", extra=told)
    question.refresh_from_db()
    return question


def question_answer(
    question: Asked,
    *,
    now: datetime,
    clock: Callable[[], float],
    budget_s: float,
    planning: Callable[[], Planning],
    answer: Callable[[Planning], dict[str, Any]],
) -> Asked:
    """Work an answer out and store it, or why there is none; the lease lives from plan to plan.

    `planning` gives what plans one alternative, `answer` the answer by means of it.
    """
    began_s = clock()

    def moment() -> datetime:
        return now + timedelta(seconds=clock() - began_s)

    def leased(plan: Planning) -> Planning:
        def planned(request: LoadRequest) -> PlannedLoad:
            lease = moment() + LEASE + timedelta(seconds=budget_s)
            _held(question).update(lease_until=lease)
            return plan(request)

        return planned

    try:
        told = answer(leased(planning()))
    except Exception as error:
        question_finish(question, moment(), problem=f"{type(error).__name__}: {error}"[:300])
        raise
    return question_finish(question, moment(), answer=told)


def planning_within(
    budget_s: float, seed: int, clock: Callable[[], float], workers: int = 1
) -> Planning:
    """The planner's own search with that budget for each plan.

    An open order of the pulls is searched over; a forced one is obeyed, without a word on its
    price, which a comparison has no use for.
    """
    # Imported here: the kernels are large, and only a process that plans should carry them.
    from loading.planner.search import plan_load, warm

    warm()

    def planned(request: LoadRequest) -> PlannedLoad:
        stop = Seconds(budget_s, clock)
        if request.pull_order is not None:
            obeyed = plan_load(request, seed=seed, stop=stop, workers=workers)
            return with_returns(request, obeyed)
        return plan_with_orders(plan_load, request, seed=seed, stop=stop, workers=workers)

    return planned


def questions_resend(questions: QuerySet[Asked], *, now: datetime, send: Send) -> list[UUID]:
    """Send again those whose message or worker must be lost, and say which."""
    lost = Q(status=Question.Status.QUEUED) | Q(status=Question.Status.RUNNING, lease_until__lt=now)
    due = questions.filter(lost, sent_at__lt=now - RESEND_AFTER)
    resent = []
    for question_id in list(due.order_by("asked_at").values_list("id", flat=True)):
        if due.filter(id=question_id).update(sent_at=now):
            send(question_id)
            resent.append(question_id)
    return resent


def _held(question: Asked) -> QuerySet[Asked]:
    held: QuerySet[Asked] = type(question)._default_manager.filter(
        id=question.pk, status=Question.Status.RUNNING, attempt=question.attempt
    )
    return held
