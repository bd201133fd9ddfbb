"""Choosing the truck: the smallest that takes a release, else two, and what each would cost."""

import logging
import time
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from celery import current_app
from django.db import transaction
from django.db.models import F, Q

from inventory.models import Release, User
from loading.errors import BranchesDiffer, ChoiceUuidReused, NoTruckNamed
from loading.models import Dock, Load, Truck, TruckChoice
from loading.planner.dockside import Pace, takes_s
from loading.planner.fitting import Choice, Offer, Trip, choose
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest, parse_request
from loading.planner.request import Truck as PlannedTruck
from loading.planner.stopping import Seconds
from loading.road.axles import parse_axles
from loading.road.weights import weights_of
from loading.selectors.documents import load_request_document, truck_document
from loading.services.contract import request_parsed
from loading.services.loads import PAD_MM

log = logging.getLogger(__name__)

EXECUTE = "loading.background.plan_truck_choice_execute"
QUEUE = "plan"
RESEND_AFTER = timedelta(seconds=60)
LEASE = timedelta(seconds=60)
ATTEMPTS_MAX = 3

PlanTruck = Callable[[LoadRequest], PlannedLoad]


def truck_choice_create(
    *,
    choice_id: UUID,
    release: Release,
    dock: Dock,
    trucks: Sequence[Truck],
    distance_km: float,
    budget_s: float,
    now: datetime,
    by: User | None = None,
    send: bool = True,
) -> TruckChoice:
    """Ask which of the trucks takes a release; a worker answers. The same UUID is one question.

    Raises `NoTruckNamed`, `BranchesDiffer`, `DocumentInvalid`, and `ChoiceUuidReused` where the
    UUID stands for another question.
    """
    former = TruckChoice.objects.filter(pk=choice_id).first()
    if former is not None:
        if former.release_id != release.pk or former.dock_id != dock.pk:
            raise ChoiceUuidReused(choice_id)
        return former
    if not trucks:
        raise NoTruckNamed
    _demand_one_branch(release, dock, trucks)
    document = _document(release, dock, trucks[0], distance_km)
    request_parsed(document)
    with transaction.atomic():
        choice, new = TruckChoice.objects.get_or_create(
            id=choice_id,
            defaults={
                "branch": release.shipment.branch,
                "release": release,
                "dock": dock,
                "distance_km": distance_km,
                "request_document": document,
                "fleet": [truck_document(truck) for truck in trucks],
                "budget_s": budget_s,
                "asked_at": now,
                "asked_by": by,
                "sent_at": now if send else None,
            },
        )
        if new and send:
            # A broker that is down must not undo the wish: the row is sent again later.
            transaction.on_commit(lambda: _send(choice.pk), robust=True)
    return choice


def truck_choice_execute(
    *,
    choice_id: UUID,
    now: datetime,
    plan: PlanTruck | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> TruckChoice | None:
    """Answer a question; None when another worker holds it or it is answered.

    `plan` plans one truck; it defaults to the planner's own search within the budget.
    """
    choice = _claimed(choice_id, now)
    if choice is None:
        return None
    planning = _Planning(choice, now, clock, plan or _search(choice, clock))
    try:
        answer = _answer(choice, planning)
    except Exception as error:
        _finish(choice, planning.now(), problem=f"{type(error).__name__}: {error}"[:300])
        raise
    return _finish(choice, planning.now(), answer=answer)


def truck_choices_resend(*, now: datetime) -> list[UUID]:
    """Send again the questions whose message or worker must be lost, and say which."""
    lost = Q(status=TruckChoice.Status.QUEUED) | Q(
        status=TruckChoice.Status.RUNNING, lease_until__lt=now
    )
    due = TruckChoice.objects.filter(lost, sent_at__lt=now - RESEND_AFTER)
    resent = []
    for choice_id in list(due.order_by("asked_at").values_list("id", flat=True)):
        if due.filter(id=choice_id).update(sent_at=now):
            _send(choice_id)
            resent.append(choice_id)
    return resent


class _Planning:
    """Plans one truck after the other and keeps the lease alive between them."""

    def __init__(
        self, choice: TruckChoice, now: datetime, clock: Callable[[], float], plan: PlanTruck
    ) -> None:
        self._choice, self._began, self._clock, self._plan = choice, now, clock, plan
        self._began_s = clock()

    def now(self) -> datetime:
        return self._began + timedelta(seconds=self._clock() - self._began_s)

    def __call__(self, request: LoadRequest) -> PlannedLoad:
        lease = self.now() + LEASE + timedelta(seconds=self._choice.budget_s)
        _held(self._choice).update(lease_until=lease)
        return self._plan(request)


def _answer(choice: TruckChoice, planning: _Planning) -> dict[str, Any]:
    request = parse_request(choice.request_document)
    documents = {truck["name"]: truck for truck in choice.fleet}
    fleet = [_truck(choice.request_document, truck) for truck in choice.fleet]
    found = choose(
        request,
        fleet,
        planning,
        takes_s=lambda asked, planned: takes_s(asked, planned, Pace()),
        compare_all=True,
    )
    return _told(found, documents)


def _told(found: Choice, documents: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """The choice as it is stored: `offers` by truck, `trips` with their tags, `stays`."""
    return {
        "offers": [_offer(offer, documents) for offer in found.offers],
        "trips": [_trip(trip, documents) for trip in found.trips],
        "stays": [{"tag": tag, "reason": reason} for tag, reason in found.stays],
    }


def _offer(offer: Offer, documents: dict[str, dict[str, Any]]) -> dict[str, Any]:
    return {
        "truck": offer.truck.name,
        "takes_all": offer.takes_all,
        "why": offer.why,
        "left": len(offer.left_off),
        "left_off": list(offer.left_off),
        "length_left_mm": offer.length_left_mm,
        "payload_left_g": offer.payload_left_g,
        "takes_s": offer.takes_s,
        "over_on_the_road_g": _over_g(offer, documents),
    }


def _trip(trip: Trip, documents: dict[str, dict[str, Any]]) -> dict[str, Any]:
    weight_g = sum(trip.offer.request.item(tag).weight_g for tag in trip.tags)
    return {
        **_offer(trip.offer, documents),
        "pieces": len(trip.tags),
        "tags": list(trip.tags),
        "weight_g": weight_g,
    }


def _over_g(offer: Offer, documents: dict[str, dict[str, Any]]) -> int | None:
    """By how much the truck would be over its limits on the road, None where it was ruled out."""
    if offer.plan is None:
        return None
    told = documents[offer.truck.name].get("axles", [])
    axles, _ = parse_axles(told, offer.truck.supports)
    return round(weights_of(offer.request, offer.plan, axles).excess_g)


def _search(choice: TruckChoice, clock: Callable[[], float]) -> PlanTruck:
    # Imported here: the kernels are large, and only a process that plans should carry them.
    from loading.planner.search import plan_load, warm

    warm()

    def planned(request: LoadRequest) -> PlannedLoad:
        return plan_load(request, seed=choice.seed, stop=Seconds(choice.budget_s, clock))

    return planned


def _document(release: Release, dock: Dock, truck: Truck, distance_km: float) -> dict[str, Any]:
    """A load request of a load that does not exist yet."""
    load = Load(
        branch=release.shipment.branch,
        reference=f"{release.shipment.reference}-{release.reference}"[:60],
        release=release,
        truck=truck,
        dock=dock,
        distance_km=distance_km,
        pad_mm=PAD_MM,
    )
    return load_request_document(load=load, besides=())


def _truck(document: dict[str, Any], truck: dict[str, Any]) -> PlannedTruck:
    return parse_request({**document, "truck": truck}).truck


def _demand_one_branch(release: Release, dock: Dock, trucks: Sequence[Truck]) -> None:
    branch = release.shipment.branch
    parts = {"release": branch.code, "dock": dock.branch.code}
    parts |= {truck.name: truck.branch.code for truck in trucks}
    if len(set(parts.values())) > 1:
        raise BranchesDiffer(parts)


def _claimed(choice_id: UUID, now: datetime) -> TruckChoice | None:
    free = Q(status=TruckChoice.Status.QUEUED) | Q(
        status=TruckChoice.Status.RUNNING, lease_until__lt=now
    )
    claimed = TruckChoice.objects.filter(free, id=choice_id).update(
        status=TruckChoice.Status.RUNNING, attempt=F("attempt") + 1, lease_until=now + LEASE
    )
    if not claimed:
        return None
    choice = TruckChoice.objects.get(id=choice_id)
    if choice.attempt > ATTEMPTS_MAX:
        _finish(choice, now, problem=f"{ATTEMPTS_MAX} workers were lost over it")
        return None
    return choice


def _held(choice: TruckChoice) -> Any:
    return TruckChoice.objects.filter(
        id=choice.pk, status=TruckChoice.Status.RUNNING, attempt=choice.attempt
    )


def _finish(
    choice: TruckChoice, now: datetime, *, answer: dict[str, Any] | None = None, problem: str = ""
) -> TruckChoice:
    """Write what came of it, unless another worker has taken it over meanwhile."""
    status = TruckChoice.Status.FAILED if problem else TruckChoice.Status.DONE
    _held(choice).update(
        status=status, answer=answer, problem=problem, lease_until=None, finished_at=now
    )
    if problem:
        log.error("truck choice failed", extra={"choice_id": str(choice.pk), "problem": problem})
    choice.refresh_from_db()
    return choice


def _send(choice_id: UUID) -> None:
    current_app.send_task(EXECUTE, kwargs={"choice_id": str(choice_id)}, queue=QUEUE)
