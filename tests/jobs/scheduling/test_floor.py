"""The floor's schedule: who does what when, with what changes during the day."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.scheduling import FloorTask, Person, TaskKind, hand_out
from jobs.scheduling.checker import broken_rules
from jobs.scheduling.floor import (
    Begun,
    FloorRequest,
    FloorSchedule,
    Site,
    Worker,
    floor_request,
    hand_out_scheduled,
    parse_schedule,
    schedule_document,
)
from jobs.scheduling.floor.schedule import ScheduleError
from jobs.scheduling.floor.solving import floor_bound, schedule_first, schedule_floor
from jobs.scheduling.solver.listing import first_schedule
from jobs.scheduling.solver.portfolio import solve
from loading.planner.stopping import Iterations
from tests.benchmarks._floors import floor_of

LOADER, HELPER, OTHER = Worker("L", "loader"), Worker("H", "helper"), Worker("O", "helper")
WAREHOUSE = Worker("W", "warehouse")
CREW = (LOADER, WAREHOUSE, HELPER, OTHER)


def piece(tag: str, *needs: str, weight_g: int = 10_000, people: int = 1) -> list[FloorTask]:
    """A piece that is unpacked, carried and loaded."""
    about = {"tag": tag, "vault": "V", "weight_g": weight_g, "people": people}
    return [
        FloorTask(f"unpack:{tag}", 1, TaskKind.UNPACK, needs=needs, **about),  # type: ignore[arg-type]
        FloorTask(f"carry:{tag}", 2, TaskKind.CARRY, needs=(f"unpack:{tag}",), **about),  # type: ignore[arg-type]
        FloorTask(f"load:{tag}", 3, TaskKind.LOAD, needs=(f"carry:{tag}",), **about),  # type: ignore[arg-type]
    ]


def people_of(schedule: FloorSchedule) -> dict[str, tuple[str, ...]]:
    return {entry.task: entry.people for entry in schedule.entries}


def test_each_does_the_work_of_the_own_part() -> None:
    who = people_of(schedule_first(floor_request(piece("1"), CREW)))
    assert who["load:1"] == ("L",)
    assert who["carry:1"][0] in ("H", "O")
    assert who["unpack:1"][0] in ("H", "O", "W")


def test_a_heavy_piece_takes_two() -> None:
    schedule = schedule_first(floor_request(piece("1", weight_g=40_000, people=2), CREW))
    assert {len(entry.people) for entry in schedule.entries} == {2}


def test_a_piece_for_two_is_left_over_when_one_is_there() -> None:
    request = floor_request(piece("1", weight_g=40_000, people=2), [HELPER])
    assert schedule_first(request).left_over == ("unpack:1", "carry:1", "load:1")


def test_the_way_to_the_work_takes_time() -> None:
    far = Site(places={"dock": (0, 0), "truck": (60_000, 0), "lanes": (0, 0)})
    entry = schedule_first(floor_request(piece("1")[2:], [LOADER], site=far)).entries[0]
    assert entry.start_s - entry.goes_s == 50


def test_nobody_works_in_a_break_or_after_the_shift() -> None:
    tired = replace(HELPER, breaks_s=((10, 500),), until_s=2000)
    request = floor_request([*piece("1"), *piece("2", "unpack:1")], [LOADER, tired])
    schedule = schedule_first(request)
    assert all(e.end_s <= 10 or e.goes_s >= 500 for e in schedule.of("H"))
    assert schedule.left_over == ()
    gone = floor_request(piece("1"), [LOADER, replace(HELPER, until_s=5)])
    assert schedule_first(gone).left_over == ("unpack:1", "carry:1", "load:1")


def test_who_comes_late_begins_late() -> None:
    request = floor_request(piece("1"), [LOADER, replace(HELPER, from_s=300)])
    assert schedule_first(request).entries[0].goes_s == 300


def test_one_forklift_pulls_one_vault_at_a_time() -> None:
    pulls = [FloorTask(f"pull:{v}", k, TaskKind.PULL, vault=v) for k, v in enumerate("AB")]
    drivers = [WAREHOUSE, replace(WAREHOUSE, key="X")]
    one, other = schedule_first(floor_request(pulls, drivers)).entries
    assert other.goes_s >= one.end_s
    two = schedule_first(floor_request(pulls, drivers, site=Site(forklifts=2))).entries
    assert two[0].goes_s == two[1].goes_s == 0


def test_what_needs_the_forklift_waits_until_it_is_back_and_its_driver_does_not() -> None:
    """It is elsewhere in the first minute, and again too soon for a pull in between."""
    tasks = [
        FloorTask("pull:A", 1, TaskKind.PULL, vault="A"),
        FloorTask("fetch:1", 2, TaskKind.FETCH, tag="1", weight_g=10_000),
    ]
    site = Site(forklift_away_s=((0, 60), (100, 400)))
    request = floor_request(tasks, [WAREHOUSE], site=site)
    for schedule in (
        schedule_first(request),
        schedule_floor(request, seed=1, stop=Iterations(5)),
    ):
        times = {entry.task: entry for entry in schedule.entries}
        assert times["pull:A"].goes_s >= 400
        assert times["fetch:1"].goes_s == 0
        assert people_of(schedule) == {"pull:A": ("W",), "fetch:1": ("W",)}


def test_next_pulls_stay_with_their_driver_while_the_forklift_is_elsewhere() -> None:
    pulls = [FloorTask(f"pull:{v}", k, TaskKind.PULL, vault=v) for k, v in enumerate("AB")]
    drivers = [WAREHOUSE, replace(WAREHOUSE, key="X")]
    site = Site(forklift_away_s=((0, 60),))
    request = floor_request(pulls, drivers, site=site, frozen={"X": ("pull:A", "pull:B")})
    assert set(people_of(schedule_first(request)).values()) == {("X",)}


@given(
    away=st.lists(st.tuples(st.integers(0, 2_000), st.integers(1, 900)), max_size=4),
    seed=st.integers(0, 50),
)
@settings(max_examples=25, deadline=None)
def test_with_the_forklift_elsewhere_no_rule_is_broken(
    away: list[tuple[int, int]], seed: int
) -> None:
    times = tuple((begins, begins + takes) for begins, takes in away)
    request = floor_of(crew=5, places=3, seed=seed, pieces=8, forklift_away_s=times)
    solution = solve(request.problem, seed=1, stop=Iterations(2), prove=False)
    assert broken_rules(request.problem, solution.schedule) == ()
    pulls = [
        start
        for kind, start in zip(request.kinds, solution.schedule.starts, strict=True)
        if start and kind == TaskKind.PULL
    ]
    assert not any(one.goes < back and gone < one.ends for one in pulls for gone, back in times)


def test_who_may_drive_drives() -> None:
    driver = replace(OTHER, skills=frozenset({"forklift"}))
    pull = [FloorTask("pull:A", 1, TaskKind.PULL, vault="A")]
    assert people_of(schedule_first(floor_request(pull, [WAREHOUSE, driver]))) == {"pull:A": ("O",)}


def test_a_small_dock_floor_is_never_overfull_and_never_locks() -> None:
    tasks = [*piece("1"), *piece("2", "unpack:1"), *piece("3", "unpack:2")]
    site = Site(dock_floor_mm2=100)
    request = floor_request(tasks, CREW, site=site, floor_mm2={"1": 60, "2": 60, "3": 60})
    schedule = schedule_first(request)
    times = {entry.task: entry for entry in schedule.entries}
    assert times["unpack:2"].goes_s >= times["carry:1"].end_s
    assert schedule.left_over == ()


def test_work_under_way_goes_on_with_those_who_do_it() -> None:
    request = floor_request(piece("1"), CREW, begun=[Begun("unpack:1", ("H",), 40)])
    schedule = schedule_first(request)
    assert schedule.entries[0].people == ("H",)
    assert (schedule.entries[0].goes_s, schedule.entries[0].end_s) == (0, 40)
    assert schedule.entries[1].goes_s >= 40


def test_frozen_tasks_stay_with_their_people() -> None:
    tasks = [*piece("1"), *piece("2")]
    frozen = {"O": ("carry:1", "carry:2")}
    schedule = schedule_first(floor_request(tasks, CREW, frozen=frozen))
    who = people_of(schedule)
    assert who["carry:1"] == who["carry:2"] == ("O",)


def test_heavy_pieces_go_to_who_has_carried_least() -> None:
    tasks = piece("1", weight_g=20_000)[1:2]
    for carried_g, name in (({"H": 900_000}, "O"), ({"O": 900_000}, "H")):
        schedule = schedule_first(floor_request(tasks, CREW, carried_g=carried_g))
        assert people_of(schedule)["carry:1"] == (name,)


def floors(**more: object) -> FloorRequest:
    return floor_of(crew=5, places=4, seed=3, pieces=16, **more)  # type: ignore[arg-type]


@given(st.integers(0, 500), st.sampled_from([3, 5, 8]), st.sampled_from([4, 10]), st.booleans())
@settings(max_examples=12)
def test_every_schedule_keeps_every_rule(seed: int, crew: int, places: int, shifts: bool) -> None:
    request = floor_of(crew=crew, places=places, seed=seed, pieces=12, shifts=shifts)
    first = first_schedule(request.problem)
    better = solve(request.problem, seed=seed, stop=Iterations(3), prove=False)
    for schedule in (first, better.schedule):
        assert broken_rules(request.problem, schedule) == ()
        assert schedule.left_over == ()
    assert better.bound <= better.schedule.end <= first.end


def test_the_search_is_no_worse_than_the_list_schedule_and_repeats() -> None:
    request = floors()
    one, other = (schedule_floor(request, seed=2, stop=Iterations(5)) for _ in range(2))
    assert one == other
    assert floor_bound(request) <= one.end_s <= schedule_first(request).end_s


def test_a_schedule_comes_back_from_its_document() -> None:
    schedule = schedule_first(floors())
    assert parse_schedule(schedule_document(schedule)) == schedule


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"entries": {}}, "entries: must be a list"),
        ({"entries": [["a", [], 0, 0]]}, r"entries\[0\]: must be"),
        ({"end_s": "1"}, "end_s: must be a whole number"),
        ({"left_over": [1]}, "left_over: must be a list of texts"),
    ],
)
def test_a_document_that_makes_no_sense_is_refused(change: dict[str, object], said: str) -> None:
    document = {"entries": [], "end_s": 0, "bound_s": 0, "left_over": []} | change
    with pytest.raises(ScheduleError, match=said):
        parse_schedule(document)


def people(*busy: str) -> list[Person]:
    return [Person(w.key, w.part, busy=w.key in busy) for w in CREW]


def test_ready_tasks_go_to_whom_the_schedule_names() -> None:
    tasks = [*piece("1"), *piece("2")]
    schedule = schedule_first(floor_request(tasks, CREW, frozen={"O": ("carry:1",)}))
    ready = [task for task in tasks if task.kind == TaskKind.CARRY]
    given = dict(hand_out_scheduled(schedule, ready, people()).given)
    assert given["carry:1"] == ("O",)


def test_nobody_waits_because_somebody_else_is_late() -> None:
    tasks = piece("1")
    schedule = schedule_first(floor_request(tasks, CREW, frozen={"O": ("carry:1",)}))
    given = dict(hand_out_scheduled(schedule, tasks[1:2], people("O")).given)
    assert given == {"carry:1": ("H",)}


def test_without_a_schedule_tasks_go_out_in_tier_order() -> None:
    tasks = piece("1")
    assert hand_out_scheduled(None, tasks, people()) == hand_out(tasks, people())
