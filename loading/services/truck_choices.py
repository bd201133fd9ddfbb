"""Choosing the truck: the smallest that takes a release, else two, and what each would cost."""

import time
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from inventory.models import Release, User
from loading.errors import BranchesDiffer, ChoiceUuidReused, NoTruckNamed
from loading.models import Dock, Load, Truck, TruckChoice
from loading.planner.dockside import Pace, takes_s
from loading.planner.fitting import Choice, Offer, Trip, choose
from loading.planner.request import Truck as PlannedTruck
from loading.planner.request import parse_request
from loading.road.axles import parse_axles
from loading.road.weights import weights_of
from loading.selectors.documents import load_request_document, truck_document
from loading.services.contract import request_parsed
from loading.services.loads import PAD_MM
from loading.services.questions import (
    Planning,
    planning_within,
    question_answer,
    question_claim,
    question_send,
    questions_resend,
    sender,
)

_send = sender("loading.background.plan_truck_choice_execute", "choice_id")


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
            question_send(choice, _send)
    return choice


def truck_choice_execute(
    *,
    choice_id: UUID,
    now: datetime,
    plan: Planning | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> TruckChoice | None:
    """Answer a question; None when another worker holds it or it is answered.

    `plan` plans one truck; it defaults to the planner's own search within the budget.
    """
    choice = question_claim(TruckChoice.objects.all(), question_id=choice_id, now=now)
    if choice is None:
        return None
    return question_answer(
        choice,
        now=now,
        clock=clock,
        budget_s=choice.budget_s,
        planning=lambda: plan or planning_within(choice.budget_s, choice.seed, clock),
        answer=lambda planned: _answer(choice, planned),
    )


def truck_choices_resend(*, now: datetime) -> list[UUID]:
    """Send again the questions whose message or worker must be lost, and say which."""
    return questions_resend(TruckChoice.objects.all(), now=now, send=_send)


def _answer(choice: TruckChoice, planning: Planning) -> dict[str, Any]:
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
        "reserve_short_mm": offer.reserve_short_mm,
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
