"""What billing needs to know of a job, as data: when, how much, how long, what else."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from jobs.custody.accounting import End
from jobs.custody.hours import OnFloor, Waited, on_floor, waiting
from jobs.folding import State
from jobs.folding.pads import STORAGE_STACK
from jobs.folding.state import GONE, ON_DOCK, pads_in_truck
from jobs.models import Assignment, Job
from jobs.selectors.custody import job_events, job_tags
from jobs.selectors.states import job_state
from loading.selectors.scale import LoadScale, load_scale


@dataclass(frozen=True, slots=True)
class WorkLine:
    """What one person did of one kind of work."""

    person: str
    part: str
    kind: str
    tasks: int
    worked_s: int


@dataclass(frozen=True, slots=True)
class PresenceLine:
    """How long one person was there, breaks apart."""

    person: str
    part: str
    on_floor_s: int
    break_s: int


@dataclass(frozen=True, slots=True)
class HandOver:
    """A job as billing sees it. Weights in grams, times in seconds.

    `date_out` is the branch's day on which the truck left, None while nobody reported that. `net_g`
    is the scale's, None while no ticket stands; `flights` and `carry_m` are the way that somebody
    told, None while nobody did.
    """

    job: Job
    date_out: datetime | None
    vaults: tuple[str, ...]
    pieces: int
    pieces_g: int
    net_g: int | None
    is_settled: bool
    work: tuple[WorkLine, ...]
    presence: tuple[PresenceLine, ...]
    waited: tuple[Waited, ...]
    cartons_packed: int
    moving_pads: int
    storage_pads: int
    flights: int | None
    carry_m: int | None
    not_on_the_truck: Mapping[str, int]
    exceptions: int

    @property
    def day(self) -> date:
        return self.job.day


def job_hand_over(*, job: Job, now: datetime) -> HandOver:
    """Gather it from the job's events, its tasks and the scale. Open times count until `now`."""
    state = job_state(job=job)
    events = job_events(job=job)
    accounts = job_tags(job=job)
    loaded = {one.tag for one in accounts if one.end is End.LOADED}
    departed = next((e.happened_at for e in events if e.kind == "departed"), None)
    scale = load_scale(load=job.load, plan=job.plan)
    way = state["way"]["value"] if state["way"] else {}
    until = departed or now
    return HandOver(
        job=job,
        date_out=departed,
        vaults=tuple(
            code for code, vault in sorted(state["vaults"].items()) if vault["stage"] in _OUT
        ),
        pieces=len(loaded),
        pieces_g=_weight_g(job, state, loaded),
        net_g=_net_g(scale),
        is_settled=scale.is_settled,
        work=_work(job),
        presence=_presence(job, on_floor(events, until=until)),
        waited=waiting(events, until=until),
        cartons_packed=sum(extra["origin"] == "carton" for extra in state["extra"].values()),
        moving_pads=pads_in_truck(state),
        storage_pads=state["pads"].get(STORAGE_STACK, 0),
        flights=way.get("flights"),
        carry_m=way.get("carry_m"),
        not_on_the_truck=Counter(one.end.value for one in accounts if one.end is not End.LOADED),
        exceptions=len(state["exceptions"]),
    )


_OUT = (ON_DOCK, GONE)


def _weight_g(job: Job, state: State, tags: set[str]) -> int:
    """By the list, by what came to light since, and by what was weighed on the floor."""
    items: list[dict[str, Any]] = job.plan.request_document["items"] if job.plan else []
    known = {item["tag"]: round(1000 * item["weight_kg"]) for item in items}
    known |= {tag: extra["weight_g"] for tag, extra in state["extra"].items()}
    known |= {tag: said["value"] for tag, said in state["weights"].items()}
    return sum(known.get(tag, 0) for tag in tags)


def _net_g(scale: LoadScale) -> int | None:
    newest = scale.tickets[0] if scale.tickets else None
    return newest.ticket.net_g if newest and not newest.faults else None


def _work(job: Job) -> tuple[WorkLine, ...]:
    done = Assignment.objects.filter(task__job=job, ending=Assignment.Ending.DONE)
    tasks: Counter[tuple[str, str, str]] = Counter()
    spent: Counter[tuple[str, str, str]] = Counter()
    for given in done.select_related("task", "member", "person"):
        assert given.ended_at is not None
        key = (given.person.get_username(), given.member.part, given.task.kind)
        tasks[key] += 1
        spent[key] += round((given.ended_at - given.given_at).total_seconds())
    return tuple(WorkLine(*key, tasks[key], spent[key]) for key in sorted(tasks))


def _presence(job: Job, lines: tuple[OnFloor, ...]) -> tuple[PresenceLine, ...]:
    crew = {member.pk: member for member in job.crew.select_related("user")}
    return tuple(
        PresenceLine(
            crew[line.member].user.get_username(),
            crew[line.member].part,
            line.worked_s,
            line.break_s,
        )
        for line in lines
        if line.member in crew
    )
