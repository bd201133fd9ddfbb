"""The day over time: bars, clock times, late jobs first, and only what a person may see."""

import re
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import User
from jobs.models import CrewMember, FloorPlan, Job, Task
from jobs.pictures import Run, runs_of, schedule_svg
from jobs.selectors.boards import day_board
from jobs.selectors.boards.times import times_board
from jobs.selectors.floor_crew import member_key
from jobs.selectors.forecasts import job_forecast
from jobs.selectors.schedules import DONE, Bar, job_schedule
from jobs.selectors.schedules import NOW as IN_HAND
from jobs.services import events_record, job_accept_plan, job_create, tasks_assign
from jobs.templatetags.jobs_shown import minutes_said
from loading.models import Load
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW, make_job, make_load_at_another_dock

ZONE = ZoneInfo("America/Chicago")
ADDRESS = f"/days/{DAY}/times/"
SIX_MIN_S = 360


@pytest.fixture
def scheduled(accepted: Job, crew: dict[str, CrewMember]) -> Job:
    """X9 is aside, Wim pulls V1, two fetch 007; all the rest follows, six minutes each."""
    told = [report("vault_moved", vault="X9", lane="L2")]
    tasks_assign(job_id=accepted.id, now=NOW - timedelta(minutes=10))
    events_record(job=accepted, events=told, actor=crew["wim"].user, now=NOW)
    tasks_assign(job_id=accepted.id, now=NOW)
    people = {"unpack": "hanne", "fetch": "hanne", "wrap": "hugo", "carry": "hugo"}
    entries: list[list[object]] = []
    left = accepted.tasks.exclude(status=Task.Status.DONE).order_by("sequence")
    in_hand_first = sorted(left, key=lambda task: task.status != Task.Status.ASSIGNED)
    for n, task in enumerate(in_hand_first):
        who = "wim" if task.vault and not task.tag else people.get(task.kind, "lou")
        begin_s = SIX_MIN_S * n
        entries.append(
            [task.key, [member_key(crew[who].pk)], begin_s, begin_s, begin_s + SIX_MIN_S]
        )
    FloorPlan.objects.update_or_create(
        job=accepted,
        defaults={
            "starts_at": NOW,
            "made_at": NOW,
            "document": {
                "entries": entries,
                "end_s": SIX_MIN_S * len(entries),
                "bound_s": 0,
                "left_over": [],
            },
        },
    )
    return accepted


def _drawn(job: Job, width: int = 1180) -> str:
    schedule = job_schedule(job=job, now=NOW)
    forecast = job_forecast(job=job, now=NOW)
    return schedule_svg(schedule, forecast, zone=ZONE, width=width)


def test_the_picture_has_a_row_for_each_and_the_branchs_clocks(scheduled: Job) -> None:
    picture = _drawn(scheduled)
    for said in ("wim, warehouse", "lou, loader", "hanne, helper", "hugo, helper"):
        assert said in picture
    assert "window 05:00 to 10:00" in picture
    assert "now 06:00" in picture
    # 31 tasks less the one that is done, six minutes each after six o'clock.
    assert re.search(r"end 09:00 \(0[6-9]:\d\d to \d\d:\d\d\)", picture)
    assert picture.count("is-done") == 1
    assert picture.count("is-now") == 3


def test_bars_are_where_their_time_is(scheduled: Job) -> None:
    picture = _drawn(scheduled)
    boxes = re.findall(
        r'class="bar is-now[^>]*><rect x="([\d.]+)" y="\d+" width="([\d.]+)"', picture
    )
    hours = {
        clock: float(x)
        for x, clock in re.findall(r'<text x="([\d.]+)"[^>]*>(\d\d:00)</text>', picture)
    }
    x, width = boxes[0]  # Wim's: 007 is fetched by those below
    hour_px = hours["08:00"] - hours["07:00"]
    assert float(x) == pytest.approx(hours["06:00"], abs=0.2)
    assert float(width) == pytest.approx(hour_px * SIX_MIN_S / 3600, abs=0.2)


def test_what_is_told_is_told_by_pattern_and_edge(scheduled: Job) -> None:
    picture = _drawn(scheduled)
    colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{3,6})"', picture))

    def is_grey(colour: str) -> bool:
        each = len(colour) // 3
        return len({colour[n : n + each] for n in range(1, len(colour), each)}) == 1

    assert [colour for colour in colours if not is_grey(colour)] == []
    assert {"of-vaults", "of-dock", "of-truck"} <= set(re.findall(r"of-\w+", picture))
    assert picture.count("<pattern") == 3


def test_a_narrow_picture_draws_small_bars_together(scheduled: Job) -> None:
    wide, narrow = _drawn(scheduled), _drawn(scheduled, 340)
    assert narrow.count('class="bar') <= wide.count('class="bar')
    boxes = re.findall(r'<rect x="(-?[\d.]+)" y="\d+" width="([\d.]+)"', narrow)
    assert all(float(x) >= 0 and float(x) + float(width) <= 340 for x, width in boxes)


def _bar(kind: str, begin_s: int, end_s: int, state: str = DONE) -> Bar:
    return Bar(Task(kind=kind, tag="001"), begin_s, end_s, state, False)


def test_neighbours_are_drawn_together_while_one_is_narrow() -> None:
    bars = [_bar("unpack", 0, 10), _bar("fetch", 10, 20), _bar("load", 20, 30)]
    assert [(run.group, run.tasks) for run in runs_of(bars, 60)] == [("dock", 2), ("truck", 1)]
    assert len(runs_of(bars, 5)) == 3
    apart = [_bar("unpack", 0, 10), _bar("unpack", 500, 510)]
    assert len(runs_of(apart, 60)) == 2
    states = [_bar("unpack", 0, 10), _bar("unpack", 10, 20, IN_HAND)]
    assert len(runs_of(states, 60)) == 2
    assert runs_of(bars[:1], 60) == [Run("dock", DONE, 0, 10, 1, "001")]


def test_late_jobs_come_first(scheduled: Job, dispatcher: User, load: Load) -> None:
    load.pk, load.reference = None, "other"
    load.save()
    early = job_create(
        load=load,
        day=DAY,
        window_start=NOW - timedelta(hours=2),
        window_end=NOW + timedelta(hours=1),
    )
    Job.objects.filter(pk=scheduled.pk).update(window_end=NOW + timedelta(hours=10))
    before = times_board(user=dispatcher, day=DAY, now=NOW)
    assert [line.job for line in before.lines] == [early, scheduled]
    Job.objects.filter(pk=scheduled.pk).update(window_end=NOW + timedelta(hours=2))
    board = times_board(user=dispatcher, day=DAY, now=NOW)
    assert [line.job for line in board.lines] == [scheduled, early]
    late, planned = board.lines
    assert late.forecast is not None
    assert late.forecast.late_min == 60
    assert planned.forecast is None


def test_the_page_says_how_late_a_job_is(client: Client, scheduled: Job, dispatcher: User) -> None:
    client.force_login(dispatcher)
    text = client.get(ADDRESS).content.decode()
    assert re.search(r"\d+ h \d+ min late\.", text)  # the scenario's day is long over
    assert "Probably ends at" in text
    assert "30 tasks are left." in text
    assert "our first guess" in text
    assert ADDRESS in client.get(f"/days/{DAY}/").content.decode()


def test_a_job_without_tasks_or_people_says_so(client: Client, job: Job, dispatcher: User) -> None:
    client.force_login(dispatcher)
    text = client.get(ADDRESS).content.decode()
    assert "There are no tasks yet." in text
    assert "Nobody is on the crew yet." in text
    assert "No jobs on this day." in client.get("/days/2026-07-01/times/").content.decode()


def test_only_what_one_may_see(client: Client, scheduled: Job, stranger: User) -> None:
    assert client.get(ADDRESS, headers={"Accept": "text/html"}).status_code == 302
    client.force_login(stranger)
    text = client.get(ADDRESS).content.decode()
    assert scheduled.load.reference not in text
    assert reverse("jobs:job", args=[scheduled.id]) not in text


@pytest.mark.parametrize(
    ("minutes", "said"), [(119, "119 min"), (120, "2 h 0 min"), (575, "9 h 35 min")]
)
def test_minutes_are_said_as_hours_where_they_are_many(minutes: int, said: str) -> None:
    assert minutes_said(minutes) == said


def test_a_day_asks_as_often_for_several_jobs_as_for_one(
    client: Client, scheduled: Job, dispatcher: User
) -> None:
    client.force_login(dispatcher)
    counts = []
    for jobs in (1, 2):
        if jobs == 2:
            other = make_load_at_another_dock(scheduled.branch, [{"do": "fetch", "tag": "007"}])
            plan = other.plans.get()
            job_accept_plan(job=make_job(other), plan=plan, by=dispatcher, now=NOW)
        assert client.get(ADDRESS).content.count(b'<section class="times">') == jobs
        with CaptureQueriesContext(connection) as queries:
            client.get(ADDRESS)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_day_says_when_each_job_ends_the_late_ones_first(
    client: Client, scheduled: Job, dispatcher: User, load: Load
) -> None:
    scheduled.window_end = NOW + timedelta(hours=1)
    scheduled.save()
    [first] = day_board(user=dispatcher, day=DAY, now=NOW)
    assert first.forecast is not None
    assert first.forecast == job_forecast(job=scheduled, now=NOW)
    assert first.forecast.late_min > 0
    load.pk, load.reference = None, "other"
    load.save()
    ends_first = make_job(load)
    Job.objects.filter(pk=ends_first.pk).update(window_end=NOW + timedelta(minutes=30))
    lines = day_board(user=dispatcher, day=DAY, now=NOW)
    assert [line.job.pk for line in lines] == [scheduled.pk, ends_first.pk]
    assert lines[1].forecast is None
    client.force_login(dispatcher)
    assert "Probably ends at" in client.get(f"/days/{DAY}/").content.decode()
