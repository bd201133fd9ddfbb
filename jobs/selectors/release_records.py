"""What the release record of a job says, from its events and the accepted plan."""

from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from inventory.models import Release
from jobs.custody.accounting import End, TagAccount
from jobs.folding.state import LOADED
from jobs.models import Job
from jobs.selectors.condition import job_conditions
from jobs.selectors.custody import job_tags
from loading.planner.request import parse_request

RECORD_KIND = "release-record"


def record_subject(*, job: Job) -> str:
    """The key under which the versions of a job's release record are kept."""
    return f"job {job.pk}"


def record_document(*, job: Job) -> dict[str, Any]:
    """What the record says now; `loading.papers.release_record` tells the keys.

    Handed over is what is in its place on the truck by the events; of a piece that was to go and
    is not there, the record says so.
    """
    release = job.load.release
    state = getattr(job, "state", None)
    told = state.state if state else {"pieces": {}, "exceptions": []}
    loaded = {tag for tag, piece in told["pieces"].items() if piece["stage"] >= LOADED}
    items = parse_request(job.plan.request_document).items if job.plan else ()
    rows = [{"tag": item.tag, "name": item.name} for item in items if item.leaves]
    known = {row["tag"] for row in rows}
    ends = {one.tag: one for one in job_tags(job=job)}
    conditions = job_conditions(job=job, tags=[*known, *loaded], exceptions=told["exceptions"])
    rows += [{"tag": tag, "name": ""} for tag in sorted(loaded - known)]
    return {
        "load": job.load.reference,
        "release": release.reference,
        "shipment": release.shipment.reference,
        "lot": f"{release.shipment.lot_number}, {release.shipment.label_color}",
        "receiver": release.receiver_name,
        "identity": _identity(release, job),
        "truck": job.load.truck.name,
        "pieces": [row for row in rows if row["tag"] in loaded],
        "left": [row | _became(ends.get(row["tag"])) for row in rows if row["tag"] not in loaded],
        "exceptions": [
            {"tag": noted.get("tag", ""), "note": noted.get("note", "")}
            for noted in told["exceptions"]
        ],
        "conditions": [
            {
                "tag": one.tag,
                "received": "; ".join(one.received),
                "released": "; ".join(one.released),
            }
            for one in conditions
        ],
    }


def _became(account: TagAccount | None) -> dict[str, str]:
    """What became of a piece that was not handed over."""
    if account is None:
        return {"end": End.OPEN.value, "reason": ""}
    return {"end": account.end.value, "reason": account.reason}


def _identity(release: Release, job: Job) -> str:
    if release.identity_checked_at is None:
        return ""
    here = release.identity_checked_at.astimezone(ZoneInfo(job.branch.time_zone))
    return f"{date_format(here, 'SHORT_DATETIME_FORMAT')}, {release.identity_checked_by}"
