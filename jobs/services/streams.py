"""The streams that a job's events go to, locked in one order: warehouse, day, job."""

from collections.abc import Collection
from dataclasses import dataclass

from inventory.models import Branch
from jobs.folding.kinds import DAY_KINDS, WAREHOUSE_KINDS, EventKind
from jobs.models import Job, Stream


@dataclass(slots=True)
class LockedStreams:
    """Streams whose rows this transaction has locked, so that it may take numbers of them."""

    warehouse: Stream | None
    day: Stream | None
    job: Stream

    def second_for(self, kind: EventKind) -> Stream | None:
        """The stream that an event of this kind concerns besides the job's."""
        if kind in WAREHOUSE_KINDS:
            return self.warehouse
        return self.day if kind in DAY_KINDS else None

    def save(self) -> None:
        for stream in (self.warehouse, self.day, self.job):
            if stream is not None:
                stream.save(update_fields=["last_sequence"])


def streams_lock(*, job: Job, kinds: Collection[EventKind]) -> LockedStreams:
    """Lock the streams that events of these kinds go to."""
    warehouse = day = None
    if not WAREHOUSE_KINDS.isdisjoint(kinds):
        warehouse = _locked(job, Stream.Kind.WAREHOUSE, job.branch.code)
    if not DAY_KINDS.isdisjoint(kinds):
        day = _locked(job, Stream.Kind.DAY, f"{job.branch.code} {job.day}")
    return LockedStreams(warehouse, day, _locked(job, Stream.Kind.JOB, str(job.id)))


def number_take(stream: Stream) -> int:
    """The next number of a locked stream."""
    stream.last_sequence += 1
    return stream.last_sequence


def _locked(job: Job, kind: Stream.Kind, key: str) -> Stream:
    return stream_locked(branch=job.branch, kind=kind, key=key)


def stream_locked(*, branch: Branch, kind: Stream.Kind, key: str) -> Stream:
    """Lock one stream, which is made if there is none. For several keep the order above."""
    name = {"branch_id": branch.pk, "kind": kind, "key": key}
    Stream.objects.bulk_create([Stream(**name)], ignore_conflicts=True)
    return Stream.objects.select_for_update(no_key=True).get(**name)
