"""A job's schedule leaves the one forklift to the others while they have it."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.db.models import F

from inventory.models import Branch, User
from inventory.services import arrival_announce
from jobs.models import CrewMember, FloorPlan, Job
from jobs.scheduling.floor import Entry, FloorSchedule, schedule_document
from jobs.selectors.floor_crew import member_key
from jobs.selectors.forklift_away import forklift_away
from jobs.services import (
    crew_member_put,
    events_record,
    job_accept_plan,
    schedule_make,
    tasks_assign,
)
from loading.models import Load
from tests.jobs import stage
from tests.jobs.reports import report
from tests.jobs.stage import NOW

PULL_S, STOW_S = 150, 150
VAULTS = [f"W{n}" for n in range(1, 7)]


@pytest.fixture
def other(branch: Branch, load: Load) -> Job:
    """A job of the day with six vaults to pull, and Wes who does."""
    steps = [{"do": "pull", "vault": code} for code in VAULTS]
    second = stage.make_load_at_another_dock(branch, steps)
    return job_accept_plan(job=stage.make_job(second), plan=second.plans.get(), by=None, now=NOW)


@pytest.fixture
def wes(other: Job) -> CrewMember:
    person = stage.make_person(other.branch, "wes", "warehouse")
    return crew_member_put(job=other, user=person, part="warehouse", now=NOW)


def planned(job: Job, member: CrewMember, begins: list[int]) -> None:
    """Pulls one after another at these times, each of 100 s, by a schedule made now."""
    entries = tuple(
        Entry(f"pull:{code}", (member_key(member.pk),), at, at, at + 100)
        for code, at in zip(VAULTS, begins, strict=False)
    )
    document = schedule_document(FloorSchedule(entries, 0, 0))
    mine = FloorPlan.objects.filter(job=job)
    mine.update(document=document, starts_at=NOW, made_at=NOW, edition=F("edition") + 1)


def away(job: Job, minutes: int = 0) -> tuple[tuple[int, int], ...]:
    return forklift_away(job=job, now=NOW + timedelta(minutes=minutes))


def test_alone_it_is_never_away(accepted: Job) -> None:
    assert away(accepted) == ()


def test_only_what_comes_next_elsewhere_is_promised(
    accepted: Job, other: Job, wes: CrewMember
) -> None:
    planned(other, wes, [0, 200, 900, 1200])
    assert away(accepted) == ((0, 100), (200, 300), (900, 1000))
    assert away(other) == (), "the other way round nothing is planned"


def test_what_is_late_is_done_one_after_the_other(
    accepted: Job, other: Job, wes: CrewMember
) -> None:
    planned(other, wes, [0, 100, 700])
    assert away(accepted, minutes=10) == ((0, 100), (100, 200), (200, 300))


def test_what_is_in_hand_goes_on_and_what_was_done_does_not(
    accepted: Job, other: Job, wes: CrewMember
) -> None:
    planned(other, wes, [0, 600])
    assert [one.task.key for one in tasks_assign(job_id=other.id, now=NOW)] == ["pull:W1"]
    (taken, then) = away(accepted, minutes=1)
    assert taken[0] == 0
    assert PULL_S - 60 <= taken[1] < 600
    assert then == (540, 640)
    told = [report("vault_pulled", vault="W1")]
    events_record(job=other, events=told, actor=wes.user, now=NOW)
    assert away(accepted, minutes=1) == ((540, 640),)


def test_a_vault_from_outside_has_it_when_it_comes(accepted: Job, branch: Branch) -> None:
    expected = NOW + timedelta(minutes=20)
    arrival_announce(
        arrival_id=UUID(int=1), branch=branch, code="N1", expected_at=expected, now=NOW
    )
    ((begins, ends),) = away(accepted)
    assert begins == 1200
    assert ends - begins >= STOW_S


def test_another_branch_has_a_forklift_of_its_own(accepted: Job, dispatcher: User) -> None:
    elsewhere = stage.make_branch("SOUTH")
    arrival_announce(arrival_id=UUID(int=1), branch=elsewhere, code="N1", expected_at=NOW, now=NOW)
    assert away(accepted) == ()


def test_a_schedule_keeps_clear_of_it(
    accepted: Job, crew: dict[str, CrewMember], other: Job, wes: CrewMember
) -> None:
    planned(other, wes, [0, 100, 200])
    made = schedule_make(job_id=accepted.id, worker="w", now=NOW, budget_s=0.0)
    assert made is not None
    times = {entry.task: entry for entry in made.entries}
    assert times["move:X9"].goes_s >= 300
    assert times["fetch:007"].goes_s < 300
