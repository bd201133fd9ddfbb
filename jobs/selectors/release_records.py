"""What the release record of a job says, from its events and the accepted plan."""

from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from inventory.models import Release
from inventory.selectors import high_value_labels
from jobs.custody.accounting import End, TagAccount
from jobs.folding.state import LOADED
from jobs.models import Job
from jobs.selectors.condition import job_conditions
from jobs.selectors.custody import job_tags
from loading.selectors import load_labels, plan_of

RELEASE, HIGH_VALUE, CARRIER = KINDS = ("release-record", "high-value", "carrier-hand-over")
"""What is signed of a job: the handing over of all its goods; of those on the high-value list
apart; and the handing over to another carrier's driver, with the condition of every piece."""


def record_subject(*, job: Job, release: Release | None = None) -> str:
    """The key under which the versions of a job's records are kept, each receiver's apart."""
    if release is None or release.pk == job.load.release_id:
        return f"job {job.pk}"
    return f"job {job.pk} release {release.pk}"


def record_document(
    *, job: Job, kind: str = RELEASE, release: Release | None = None
) -> dict[str, Any]:
    """What a record says now; `loading.papers.release_record` tells the keys.

    With several shipments aboard each release has its own; without one named it is the first's.

    Handed over is what is in its place on the truck by the events; of a piece that was to go and
    is not there, the record says so.
    """
    release = release or job.load.release
    state = getattr(job, "state", None)
    told = state.state if state else {"pieces": {}, "exceptions": []}
    loaded = {tag for tag, piece in told["pieces"].items() if piece["stage"] >= LOADED}
    rows = _rows(job, loaded, release, _only(job, kind))
    tags = {row["tag"] for row in rows}
    exceptions = [
        {"tag": noted.get("tag", ""), "note": noted.get("note", "")}
        for noted in told["exceptions"]
        if _is_whole(job, kind) or noted.get("tag", "") in tags
    ]
    ends = {one.tag: one for one in job_tags(job=job)}
    return {
        "kind": kind,
        "load": job.load.reference,
        "release": release.reference,
        "shipment": release.shipment.reference,
        "lot": f"{release.shipment.lot_number}, {release.shipment.label_color}",
        "receiver": release.receiver_name,
        "identity": _identity(release, job),
        "truck": job.load.truck.name,
        "pieces": [row for row in rows if row["tag"] in loaded],
        "left": [row | _became(ends.get(row["tag"])) for row in rows if row["tag"] not in loaded],
        "exceptions": exceptions,
        "conditions": _conditions(job, kind, [row["tag"] for row in rows], exceptions, loaded),
    }


def _is_whole(job: Job, kind: str) -> bool:
    """Whether a record is about all that is aboard."""
    return kind == RELEASE and len(job.load.releases()) == 1


def _rows(
    job: Job, loaded: set[str], release: Release, only: frozenset[str] | None
) -> list[dict[str, str]]:
    """The pieces that a record is about, the list's first, then what turned up on the day (on the
    first release's record)."""
    items = plan_of(plan=job.plan)[0].items if job.plan else ()
    rows = [{"tag": item.tag, "name": item.name} for item in items if item.leaves]
    known = {row["tag"] for row in rows}
    if release.pk == job.load.release_id:
        rows += [{"tag": tag, "name": ""} for tag in sorted(loaded - known)]
    others = _others_labels(job, release)
    rows = [row for row in rows if row["tag"] not in others]
    return [row for row in rows if only is None or row["tag"] in only]


def _others_labels(job: Job, release: Release) -> set[str]:
    """The labels of the pieces aboard that are another shipment's."""
    if len(job.load.releases()) == 1:
        return set()
    labels = load_labels(load=job.load, left=True)
    return {label for item, label in labels if item.shipment_id != release.shipment_id}


def _only(job: Job, kind: str) -> frozenset[str] | None:
    """The pieces that a record is about; None for all."""
    if kind != HIGH_VALUE:
        return None
    return high_value_labels(release=job.load.release, besides=job.load.also_aboard())


def _conditions(
    job: Job,
    kind: str,
    tags: list[str],
    exceptions: list[dict[str, str]],
    loaded: set[str],
) -> list[dict[str, str]]:
    """Both conditions of the pieces with a note; another carrier's driver agrees on every one."""
    noted = {one.tag: one for one in job_conditions(job=job, tags=tags, exceptions=exceptions)}
    wanted = noted if kind != CARRIER else [tag for tag in tags if tag in loaded]
    return [
        {
            "tag": tag,
            "received": "; ".join(noted[tag].received) if tag in noted else "",
            "released": "; ".join(noted[tag].released) if tag in noted else "",
        }
        for tag in wanted
    ]


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
