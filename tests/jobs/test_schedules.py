"""The floor's schedule: asked for, made once whoever comes, stored, kept by who still holds it."""

from dataclasses import dataclass, field
from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from inventory.models import User
from jobs.errors import JobClosed, NotOnJob
from jobs.models import (
    Assignment,
    BranchRates,
    CrewMember,
    CrewPin,
    DayBalance,
    Event,
    FloorPlan,
    Job,
)
from jobs.scheduling.floor import SOON_S, Entry, FloorRequest, FloorSchedule, schedule_document
from jobs.scheduling.rates import DEFAULT_RATES, Observation, rates_document, rates_estimate
from jobs.selectors.boards import helper_board
from jobs.selectors.floor_crew import member_key
from jobs.selectors.floors import floor_of, floor_schedule, next_tasks
from jobs.selectors.forecasts import job_forecast
from jobs.selectors.proposals import day_proposals
from jobs.selectors.schedules import job_schedule
from jobs.services import (
    balance_make,
    balances_resend,
    crew_member_put,
    crew_pin,
    crew_unpin,
    events_record,
    job_accept_plan,
    proposal_accept,
    schedule_make,
    schedules_resend,
    tasks_assign,
    work_resend,
)
from jobs.services.making import LEASE, RESEND_AFTER, claim, finish
from jobs.services.schedule_asking import balance_ask
from loading.models import Load
from tests.jobs import stage
from tests.jobs.reports import report, report_done
from tests.jobs.stage import DAY, NOW

NEVER_S = 0.0


def one_after_another(request: FloorRequest) -> FloorSchedule:
    """A schedule that the first person does alone, a minute a task."""
    entries = [
        Entry(task, request.workers[:1], 60 * n, 60 * n, 60 * n + 60)
        for n, task in enumerate(request.tasks)
    ]
    return FloorSchedule(tuple(entries), 60 * len(entries), 0)


@dataclass
class Solver:
    """A first schedule as above; the better one ends `gain_s` earlier, and looks at `between`."""

    gain_s: int = 30
    seen: list[FloorRequest] = field(default_factory=list)
    stored: list[int] = field(default_factory=list)

    def schedule_first(self, request: FloorRequest) -> FloorSchedule:
        self.seen.append(request)
        return one_after_another(request)

    def schedule_floor(self, request: FloorRequest, **_: object) -> FloorSchedule:
        self.stored += [
            len(row.document["entries"]) for row in FloorPlan.objects.exclude(document={})
        ]
        first = one_after_another(request)
        return FloorSchedule(first.entries, first.end_s - self.gain_s, 120)


def make(job: Job, solver: Solver, worker: str = "w1", after: timedelta = timedelta()) -> object:
    return schedule_make(
        job_id=job.id, worker=worker, now=NOW + after, budget_s=NEVER_S, solving=solver
    )


def test_accepting_a_plan_and_putting_people_on_it_asks_once(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    solver = Solver()
    make(accepted, solver)
    assert make(accepted, solver) is None
    assert len(solver.seen) == 1
    row = FloorPlan.objects.get(job=accepted)
    assert row.wanted == row.made == 5


def test_the_first_schedule_is_stored_before_the_search_for_a_better_one(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    solver = Solver()
    make(accepted, solver)
    assert solver.stored == [accepted.tasks.count()]
    stored = floor_schedule(job=accepted)
    assert stored is not None
    assert (stored.schedule.end_s, stored.schedule.bound_s) == (
        60 * accepted.tasks.count() - 30,
        120,
    )


def test_a_worse_schedule_does_not_replace_the_first(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    make(accepted, Solver(gain_s=-5))
    stored = floor_schedule(job=accepted)
    assert stored is not None
    assert stored.schedule.end_s == 60 * accepted.tasks.count()


def test_a_killed_worker_is_followed_by_the_next_and_keeps_nothing(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    mine = FloorPlan.objects.filter(job=accepted)
    killed = claim(mine, worker="killed", now=NOW)
    assert killed is not None
    assert make(accepted, Solver()) is None
    assert schedules_resend(now=NOW + LEASE + timedelta(seconds=1)) == [accepted.id]
    assert make(accepted, Solver(), after=LEASE + timedelta(seconds=1)) is not None
    before = mine.values().get()
    finish(mine, killed)
    assert mine.values().get() == before


def test_what_is_wanted_meanwhile_is_made_after(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    class Interrupted(Solver):
        def schedule_floor(self, request: FloorRequest, **kept: object) -> FloorSchedule:
            tell = report("helper_break", member=crew["hugo"].pk)
            events_record(job=accepted, events=[tell], actor=dispatcher, now=NOW)
            return super().schedule_floor(request, **kept)

    make(accepted, Interrupted())
    row = FloorPlan.objects.get(job=accepted)
    assert row.wanted == row.made + 1
    late = NOW + RESEND_AFTER + timedelta(seconds=1)
    assert schedules_resend(now=late) == [accepted.id]
    solver = Solver()
    make(accepted, solver, after=timedelta(seconds=6))
    seen = solver.seen[0]
    on_break = seen.problem.people[seen.workers.index(member_key(crew["hugo"].pk))]
    assert [begins < 0 < ends for begins, ends in on_break.absences] == [True]


def test_a_lost_message_is_sent_again_only_when_it_is_due(accepted: Job) -> None:
    assert schedules_resend(now=NOW + RESEND_AFTER) == []
    assert schedules_resend(now=NOW + RESEND_AFTER + timedelta(seconds=1)) == [accepted.id]


def test_reports_of_progress_ask_anew_only_when_the_schedule_is_old(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    make(accepted, Solver())
    row = FloorPlan.objects.get(job=accepted)
    for minutes, more in ((1, 0), (3, 1), (3, 1)):
        now = NOW + timedelta(minutes=minutes)
        tell = report("exception_noted", tag="001", note="scratch")
        events_record(job=accepted, events=[tell], actor=dispatcher, now=now)
        assert FloorPlan.objects.get(job=accepted).wanted == row.wanted + more


def test_the_next_three_of_each_stay_with_them(accepted: Job, crew: dict[str, CrewMember]) -> None:
    make(accepted, Solver())
    stored = floor_schedule(job=accepted)
    assert stored is not None
    keys = {task.key: task for task in accepted.tasks.all()}
    following = next_tasks(schedule=stored.schedule, members=list(crew.values()), open_keys=keys)
    lou = member_key(crew["lou"].pk)
    first_three = tuple(
        accepted.tasks.order_by("sequence", "key").values_list("key", flat=True)[:3]
    )
    assert following[lou] == first_three
    request = floor_of(job=accepted, now=NOW, former=stored.schedule)
    kept = dict(zip(request.tasks, request.problem.activities, strict=True))
    for key in first_three:
        one_person = all(len(mode.seats) == 1 for mode in kept[key].modes)
        assert kept[key].team == ((0,) if one_person else ())


def test_the_real_scheduler_gives_everything_to_somebody(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    made = schedule_make(job_id=accepted.id, worker="w1", now=NOW, budget_s=0.05)
    assert made is not None
    assert {entry.task for entry in made.entries} == set(
        accepted.tasks.values_list("key", flat=True)
    )
    drawn = job_schedule(job=accepted, now=NOW)
    assert drawn.left_over == ()
    assert {bar.task.key for one in drawn.people for bar in one.bars} == set(
        accepted.tasks.values_list("key", flat=True)
    )
    assert drawn.bound_s is not None
    assert drawn.bound_s <= drawn.end_s
    forecast = job_forecast(job=accepted, now=NOW)
    assert forecast is not None
    assert (forecast.rests_on, forecast.observations) == ("schedule", 0)
    assert forecast.early_at <= forecast.likely_at <= forecast.late_at  # type: ignore[operator]


def test_bars_of_one_person_do_not_overlap_while_work_is_late(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    schedule_make(job_id=accepted.id, worker="w1", now=NOW, budget_s=0.05)
    tasks_assign(job_id=accepted.id, now=NOW)
    late = NOW + timedelta(minutes=50)
    drawn = job_schedule(job=accepted, now=late)
    for person in drawn.people:
        ends = [bar.end_s for bar in person.bars]
        begins = [bar.begin_s for bar in person.bars]
        assert all(a <= b for a, b in zip(ends, begins[1:], strict=False))
    planned = [bar for one in drawn.people for bar in one.bars if bar.state == "planned"]
    assert min(bar.begin_s for bar in planned) >= drawn.now_s


def test_without_a_schedule_the_forecast_rests_on_the_work(accepted: Job, dispatcher: User) -> None:
    alone = job_forecast(job=accepted, now=NOW)
    assert alone is not None
    assert (alone.rests_on, alone.likely_at) == ("nothing", None)
    stage.make_crew(accepted)
    four = job_forecast(job=accepted, now=NOW)
    assert four is not None
    assert (four.rests_on, four.people) == ("work", 4)
    much_later = job_forecast(job=accepted, now=accepted.window_end)
    assert much_later is not None
    assert much_later.is_late
    assert much_later.may_be_late


def test_rates_of_the_branch_change_the_forecast(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    seen = [Observation("unpack", 1, 600, weight_g=10_000) for _ in range(50)]
    slower = rates_estimate(DEFAULT_RATES, seen)
    before = job_forecast(job=accepted, now=NOW)
    BranchRates.objects.create(
        branch=accepted.branch, document=rates_document(slower), estimated_at=NOW
    )
    after = job_forecast(job=accepted, now=NOW)
    assert before is not None
    assert after is not None
    assert after.likely_at > before.likely_at  # type: ignore[operator]


@pytest.fixture
def second(accepted: Job) -> Job:
    """Another job of the day, with a loader only."""
    load = Load.objects.get(pk=accepted.load_id)
    load.pk, load.reference = None, "second"
    load.save()
    job = job_accept_plan(job=stage.make_job(load), plan=stage.store_plan(load), by=None, now=NOW)
    for name, part in (("lena", "loader"), ("wanda", "warehouse")):
        person = stage.make_person(job.branch, name, part)
        crew_member_put(job=job, user=person, part=part, now=NOW)
    return job


def look(job: Job) -> object:
    return balance_make(branch_id=job.branch_id, day=DAY, worker="w1", now=NOW)


def test_the_balance_proposes_helpers_for_the_job_that_lacks_them(
    accepted: Job, crew: dict[str, CrewMember], second: Job, dispatcher: User
) -> None:
    for name in ("hilde", "henk"):
        person = stage.make_person(accepted.branch, name, "helper")
        crew_member_put(job=accepted, user=person, part="helper", now=NOW)
    for job in (accepted, second):
        schedule_make(job_id=job.id, worker="w1", now=NOW, budget_s=0.05)
    assert look(second) is not None
    assert look(second) is None
    told = day_proposals(branch=second.branch, day=DAY)
    assert told.made_at == NOW
    best = told.proposals[0]
    assert (best.from_job, best.to_job) == (accepted, second)
    assert best.member.part == "helper"
    assert best.gain_min > 0
    assert f"{best.gain_min} minute" in str(best.sentence)
    crew_pin(person=best.person, job=accepted, by=dispatcher, now=NOW)
    pinned = day_proposals(branch=second.branch, day=DAY)
    assert best.person not in [one.person for one in pinned.proposals]
    assert [pin.person for pin in pinned.pins] == [best.person]
    look(second)
    assert best.person.pk not in [row["person"] for row in DayBalance.objects.get().proposals]
    crew_unpin(person=best.person, job=accepted, now=NOW)
    assert not CrewPin.objects.exists()


def test_the_balance_sends_somebody_to_a_job_with_nobody(
    accepted: Job, crew: dict[str, CrewMember], second: Job, dispatcher: User
) -> None:
    """It has to be done soon, and the other job's crew would come to it too late."""
    Job.objects.filter(pk=second.pk).update(window_end=NOW + timedelta(minutes=10))
    left = ("carry:007", "load:007", "close:2")
    done = [report_done(task) for task in second.tasks.exclude(key__in=left)]
    events_record(job=second, events=done, actor=dispatcher, now=NOW)
    second.crew.update(active=False)
    schedule_make(job_id=accepted.id, worker="w1", now=NOW, budget_s=0.05)
    balance_ask(branch_id=second.branch_id, day=DAY, now=NOW)
    assert look(second)
    told = day_proposals(branch=second.branch, day=DAY)
    assert {one.to_job for one in told.proposals} == {second}
    assert told.proposals[0].late_gain_min > 0
    stage.make_hold(second.load)
    balance_ask(branch_id=second.branch_id, day=DAY, now=NOW)
    assert not look(second)


def test_a_lost_look_is_sent_again(accepted: Job, second: Job) -> None:
    schedule_make(job_id=second.id, worker="w1", now=NOW, solving=Solver())
    late = NOW + RESEND_AFTER + timedelta(seconds=1)
    assert balances_resend(now=late) == [(second.branch_id, DAY)]
    look(second)
    assert balances_resend(now=late) == []


def accept(wish: UUID, crew: dict[str, CrewMember], second: Job, dispatcher: User) -> CrewMember:
    hugo = crew["hugo"]
    return proposal_accept(
        wish=wish, person=hugo.user, from_job=hugo.job, to_job=second, by=dispatcher, now=NOW
    )


def test_an_accepted_proposal_sends_the_person_once(
    accepted: Job, crew: dict[str, CrewMember], second: Job, dispatcher: User
) -> None:
    wish = uuid4()
    sent = accept(wish, crew, second, dispatcher)
    assert accept(wish, crew, second, dispatcher) == sent
    crew["hugo"].refresh_from_db()
    assert (crew["hugo"].active, sent.active, sent.part) == (False, True, "helper")
    told = Event.objects.filter(kind__in=("helper_off", "helper_on")).order_by("id")
    assert [event.kind for event in told] == ["helper_off", "helper_on"]


def test_who_is_not_there_or_no_more_cannot_be_sent(
    accepted: Job, crew: dict[str, CrewMember], second: Job, dispatcher: User
) -> None:
    accept(uuid4(), crew, second, dispatcher)
    with pytest.raises(NotOnJob):
        accept(uuid4(), crew, second, dispatcher)
    with pytest.raises(NotOnJob):
        crew_pin(person=crew["hugo"].user, job=accepted, by=dispatcher, now=NOW)
    Job.objects.filter(pk=second.pk).update(status="closed")
    second.refresh_from_db()
    with pytest.raises(JobClosed):
        accept(uuid4(), crew, second, dispatcher)


def store(job: Job, *entries: Entry) -> None:
    """A schedule whose times count from NOW."""
    document = schedule_document(FloorSchedule(entries, entries[-1].end_s, 0))
    FloorPlan.objects.filter(job=job).update(document=document, starts_at=NOW, made_at=NOW)


def key_of(member: CrewMember) -> str:
    return member_key(member.pk)


def given_to(job: Job) -> dict[str, str]:
    opened = Assignment.objects.filter(task__job=job, ended_at=None)
    return {one.task.key: one.person.username for one in opened.select_related("task", "person")}


def test_tasks_go_to_whom_the_schedule_names(accepted: Job, crew: dict[str, CrewMember]) -> None:
    pair = (key_of(crew["lou"]), key_of(crew["wim"]))
    store(accepted, Entry("fetch:007", pair, 0, 0, 60))
    tasks_assign(job_id=accepted.id, now=NOW)
    opened = Assignment.objects.filter(task__key="fetch:007", ended_at=None)
    assert {one.member for one in opened} == {crew["lou"], crew["wim"]}


def test_who_is_needed_soon_is_kept_free_until_then_and_the_sweep_knows(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    """Hanne and Hugo wait for V1 to be pulled rather than fetch what is not urgent."""
    helpers = (key_of(crew["hanne"]), key_of(crew["hugo"]))
    store(
        accepted,
        Entry("move:X9", (key_of(crew["wim"]),), 0, 0, 20),
        Entry("pull:V1", helpers, 20, 20, 40),
        Entry("fetch:007", (key_of(crew["lou"]), key_of(crew["wim"])), 300, 300, 400),
    )
    tasks_assign(job_id=accepted.id, now=NOW)
    assert given_to(accepted) == {"move:X9": "wim"}
    assert work_resend(now=NOW + timedelta(seconds=20)) == []
    overdue = NOW + timedelta(seconds=20 + SOON_S + 1)
    assert work_resend(now=overdue) == [accepted.id]
    tasks_assign(job_id=accepted.id, now=overdue)
    assert set(given_to(accepted)) == {"move:X9", "fetch:007"}


def test_an_event_lets_the_sweep_look_at_once(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    for name in ("hanne", "hugo", "lou"):
        CrewMember.objects.filter(pk=crew[name].pk).update(part="warehouse")
    tasks_assign(job_id=accepted.id, now=NOW)
    FloorPlan.objects.filter(job=accepted).update(looks_at=NOW + timedelta(seconds=30))
    told = report("exception_noted", tag="001", note="scratch")
    events_record(job=accepted, events=[told], actor=dispatcher, now=NOW)
    assert FloorPlan.objects.get(job=accepted).looks_at is None


def test_what_is_ready_for_nobody_free_is_looked_at_again_after_a_while(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    """Only Hanne is free and fetching takes two."""
    for name in ("lou", "hugo"):
        CrewMember.objects.filter(pk=crew[name].pk).update(active=False)
    tasks_assign(job_id=accepted.id, now=NOW)
    assert given_to(accepted) == {"move:X9": "wim"}
    assert work_resend(now=NOW + timedelta(seconds=29)) == []
    assert work_resend(now=NOW + timedelta(seconds=31)) == [accepted.id]


def test_a_helper_sees_what_the_schedule_has_next(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    hugo = (key_of(crew["hugo"]),)
    keys = ("unpack:006", "unpack:002", "unpack:003")
    store(accepted, *(Entry(key, hugo, 60 * n, 60 * n, 60) for n, key in enumerate(keys)))
    board = helper_board(user=crew["hugo"].user)
    assert tuple(card.task.key for card in board.after) == keys[:2]
