"""What a claim about one piece rests on: both conditions, who had it, where it stood."""

from typing import Any

from inventory.models import Item
from jobs.models import Event, Job
from jobs.selectors.condition import ConditionSide, piece_condition
from jobs.selectors.piece_log import LogLine, piece_log, piece_puts
from loading.selectors import load_labels, loads_of_shipment, tier_sheets


def claim_document(*, item: Item) -> dict[str, Any]:
    """A piece's claim as plain data; `loading.papers.claim` tells the keys.

    Places in the load are those of the accepted plans; what was reported otherwise is in the log.
    """
    sides = piece_condition(item=item)
    lines, puts = piece_log(item=item), piece_puts(item=item)
    events = [*(line.event for line in lines), *puts]
    return {
        "tag": item.tag or "",
        "name": item.name,
        "shipment": item.shipment.reference,
        "size_mm": list(item.size_mm),
        "size_from": item.size_from,
        "weight_g": item.weight_g,
        "weight_from": item.weight_from,
        "received": _side(sides[0]),
        "released": _side(sides[1]),
        "log": [*(_line(line) for line in lines), *(_put(event) for event in puts)],
        "handlers": sorted({str(event.actor) for event in events if event.actor}),
        "places": _places(item),
    }


def _side(side: ConditionSide) -> list[dict[str, str]]:
    return [
        {
            "note": seen.note,
            "meaning": "; ".join(", ".join((mark.meaning, *mark.places)) for mark in seen.marks),
            "at": seen.at.isoformat(),
            "by": seen.by,
        }
        for seen in side.seen
    ]


def _line(line: LogLine) -> dict[str, Any]:
    return {
        "at": line.event.happened_by_our_clock.isoformat(),
        "kind": line.event.kind,
        "payload": line.event.payload,
        "by": str(line.event.actor or ""),
        "load": line.job.load.reference,
        "undone": line.undone,
        "contradicts": line.event.conflict,
    }


def _put(event: Event) -> dict[str, Any]:
    """Where it was put in the warehouse after a load."""
    return {
        "at": event.happened_at.isoformat(),
        "kind": event.kind,
        "payload": {"note": event.payload["place"]},
        "by": str(event.actor or ""),
        "load": "",
        "undone": False,
        "contradicts": "",
    }


def _places(item: Item) -> list[dict[str, Any]]:
    """Where it stands in each load whose plan was accepted, and what stands on what."""
    loads = loads_of_shipment(shipment_id=item.shipment_id)
    jobs = Job.objects.filter(load__in=loads, plan__isnull=False)
    found = []
    for job in jobs.select_related("plan", "load__truck", "load__release__shipment"):
        assert job.plan is not None
        named = load_labels(load=job.load, left=True)
        labels = {stored.pk: label for stored, label in named}
        for sheet in tier_sheets(plan=job.plan):
            lines = {line.key: line for line in sheet.lines if line.kind == "piece"}
            line = lines.get(labels.get(item.pk, ""))
            if line is None:
                continue
            found.append(
                {
                    "load": job.load.reference,
                    "truck": job.load.truck.name,
                    "plan": job.plan.version,
                    "tier": sheet.tier,
                    "tiers": sheet.tiers,
                    "at_mm": list(line.at_mm),
                    "posture": line.posture,
                    "rests_on": list(line.rests_on) + (["deck"] if line.on_deck else []),
                    "carries": [key for key, one in lines.items() if line.key in one.rests_on],
                    "pads": line.pads,
                }
            )
    return found
