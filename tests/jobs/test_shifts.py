"""Shifts, breaks, skills and the dock's room, as the floor's schedule of a job sees them."""

from datetime import datetime, timedelta

import pytest

from inventory.models import Branch, User
from jobs.errors import NotOfBranch, ShiftInvalid
from jobs.models import Assignment, CrewMember, FloorPlan, Job, Shift, Skill
from jobs.scheduling.floor import FloorSchedule
from jobs.scheduling.solver.problem import Person
from jobs.selectors.floor_crew import floor_crew, member_key
from jobs.selectors.floors import crew_there, floor_of
from jobs.selectors.shifts import USUAL_BREAK
from jobs.services import (
    crew_member_put,
    events_record,
    job_accept_plan,
    schedule_make,
    tasks_assign,
)
from jobs.services.shifts import shift_drop, shift_put, skills_put
from loading.models import Load
from tests.jobs import stage
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW

FORKLIFT, FLOOR, SPOTS = range(3)
HOUR = timedelta(hours=1)
HOURS = (NOW - HOUR, NOW + 4 * HOUR)
MEAL = (NOW + timedelta(minutes=2), NOW + timedelta(minutes=32))


def put(branch: Branch, person: User, *breaks: tuple[datetime, datetime]) -> Shift:
    return shift_put(branch=branch, person=person, day=DAY, hours=HOURS, breaks=breaks, now=NOW)


def person_of(job: Job, member: CrewMember) -> Person:
    request = floor_of(job=job, now=NOW)
    return request.problem.people[request.workers.index(member_key(member.pk))]


def made(job: Job) -> FloorSchedule:
    schedule = schedule_make(job_id=job.id, worker="w1", now=NOW, budget_s=0.05)
    assert schedule is not None
    return schedule


def test_nobody_works_in_a_planned_break_or_after_the_shift(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    for member in crew.values():
        put(accepted.branch, member.user, MEAL)
    away = person_of(accepted, crew["hugo"]).absences
    assert (120, 1920) in away
    assert any(begins == 4 * 3600 for begins, _ends in away)
    entries = made(accepted).entries
    assert len(entries) == accepted.tasks.count()
    assert all(entry.end_s <= 120 or entry.goes_s >= 1920 for entry in entries)


def test_a_new_shift_asks_for_a_new_schedule(accepted: Job, crew: dict[str, CrewMember]) -> None:
    made(accepted)
    before = FloorPlan.objects.get(job=accepted).wanted
    put(accepted.branch, crew["hugo"].user)
    shift_drop(branch=accepted.branch, person=crew["hugo"].user, day=DAY, now=NOW)
    assert FloorPlan.objects.get(job=accepted).wanted == before + 2
    assert not Shift.objects.exists()


def test_who_has_a_break_now_is_given_nothing(accepted: Job, crew: dict[str, CrewMember]) -> None:
    for name in ("hanne", "hugo", "lou"):
        put(accepted.branch, crew[name].user, (NOW - HOUR / 2, NOW + HOUR / 2))
    people = {one.person.username for one in tasks_assign(job_id=accepted.id, now=NOW)}
    assert people == {"wim"}


def test_who_is_on_a_break_is_counted_on_from_its_end(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    member = crew["hugo"]
    resting = report("helper_break", member=member.pk) | {"happened_at": NOW.isoformat()}
    events_record(job=accepted, events=[resting], actor=dispatcher, now=NOW)
    usual_s = int(USUAL_BREAK.total_seconds())
    assert person_of(accepted, member).absences[0][1] == usual_s
    put(accepted.branch, member.user, (NOW - timedelta(minutes=1), NOW + timedelta(minutes=40)))
    assert person_of(accepted, member).absences[0][1] == 40 * 60
    mine = [entry for entry in made(accepted).entries if member_key(member.pk) in entry.people]
    assert all(entry.goes_s >= 40 * 60 for entry in mine)


def test_who_comes_later_is_scheduled_from_then_on_and_given_nothing_before(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    member = crew["hugo"]
    CrewMember.objects.filter(pk=member.pk).update(comes_at=NOW + HOUR)
    assert member not in crew_there(job=accepted, now=NOW)
    assert member in crew_there(job=accepted, now=NOW + HOUR)
    (seen,) = (one for one in floor_crew(job=accepted, now=NOW) if one.member == member)
    assert (seen.worker.from_s, seen.is_there) == (3600, False)


def test_who_comes_before_the_time_is_there(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    member = crew["hugo"]
    CrewMember.objects.filter(pk=member.pk).update(comes_at=NOW + HOUR)
    there = report("helper_on", member=member.pk)
    events_record(job=accepted, events=[there], actor=dispatcher, now=NOW)
    assert member in crew_there(job=accepted, now=NOW)


def test_the_forklift_is_for_those_who_are_certified(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    skills_put(branch=accepted.branch, person=crew["hanne"].user, kinds=["forklift"])
    drives = member_key(crew["hanne"].pk)
    by_forklift = [
        entry.people
        for entry in made(accepted).entries
        if entry.task.partition(":")[0] in ("move", "pull", "store")
    ]
    assert by_forklift
    assert set(by_forklift) == {(drives,)}
    skills_put(branch=accepted.branch, person=crew["hanne"].user, kinds=[])
    assert not Skill.objects.exists()


def test_the_docks_room_limits_the_schedule(accepted: Job, crew: dict[str, CrewMember]) -> None:
    problem = floor_of(job=accepted, now=NOW).problem
    assert problem.capacities == (1, 5_000_000, 1)
    spots = [hold for hold in problem.holds if hold.resource == SPOTS]
    floor = {hold.amount for hold in problem.holds if hold.resource == FLOOR}
    assert len(spots) == 2
    # 1.3 times the smallest floor: the mattress 2000 x 300 without a pad of 10 mm about it.
    assert 1.3 * 2000 * 300 in floor


def test_what_lies_on_the_floor_without_a_task_takes_its_room(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    before = floor_of(job=accepted, now=NOW).problem.capacities[FLOOR]
    told = [report("piece_fetched", tag="007"), report("piece_does_not_fit", tag="007", note="")]
    events_record(job=accepted, events=told, actor=dispatcher, now=NOW)
    accepted.tasks.filter(tag="007").update(status="withdrawn")
    after = floor_of(job=accepted, now=NOW).problem.capacities[FLOOR]
    assert before - after == 1.3 * 2000 * 300


def test_what_was_carried_on_another_job_of_the_day_counts(
    accepted: Job, crew: dict[str, CrewMember], load: Load
) -> None:
    """The sofa for two goes to whoever has carried less today: on this job nobody has yet."""
    request = floor_of(job=accepted, now=NOW)
    hanne, hugo = (request.workers.index(member_key(crew[n].pk)) for n in ("hanne", "hugo"))
    carry = request.problem.activities[request.tasks.index("carry:006")].modes[0]
    assert carry.seats[0][hanne] < carry.seats[0][hugo]
    load.pk, load.reference = None, "other"
    load.save()
    plan = stage.store_plan(load)
    other = job_accept_plan(job=stage.make_job(load), plan=plan, by=None, now=NOW)
    there = crew_member_put(job=other, user=crew["hanne"].user, part="helper", now=NOW)
    Assignment.objects.create(
        task=other.tasks.get(key="carry:007"),
        member=there,
        person=there.user,
        given_at=NOW,
        ended_at=NOW,
        ending="done",
    )
    again = floor_of(job=accepted, now=NOW)
    carry = again.problem.activities[again.tasks.index("carry:006")].modes[0]
    assert carry.seats[0][hanne] > carry.seats[0][hugo]


def test_times_that_cannot_be_are_refused(branch: Branch, dispatcher: User) -> None:
    with pytest.raises(ShiftInvalid):
        shift_put(branch=branch, person=dispatcher, day=DAY, hours=HOURS[::-1], now=NOW)
    with pytest.raises(ShiftInvalid):
        put(branch, dispatcher, (NOW, NOW + 5 * HOUR))
    with pytest.raises(ShiftInvalid):
        put(branch, dispatcher, MEAL, (NOW, NOW + HOUR))
    assert not Shift.objects.exists()


def test_only_people_of_the_branch_have_shifts_there(branch: Branch, stranger: User) -> None:
    with pytest.raises(NotOfBranch):
        put(branch, stranger)
    with pytest.raises(NotOfBranch):
        skills_put(branch=branch, person=stranger, kinds=["forklift"])
    assert not Shift.objects.exists()
