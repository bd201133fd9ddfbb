"""Making a floor schedule: at once, and better in the time there is."""

from collections.abc import Callable

from jobs.scheduling.floor.request import FloorRequest
from jobs.scheduling.floor.schedule import Entry, FloorSchedule
from jobs.scheduling.solver import annealing, listing
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.portfolio import solve
from jobs.scheduling.solver.problem import Schedule, Start
from loading.planner.stopping import Stop

warm = annealing.warm


def schedule_first(request: FloorRequest) -> FloorSchedule:
    """The best of a few list schedules: some milliseconds. Its bound is 0, none was looked for."""
    return _named(request, listing.first_schedule(request.problem), 0)


def schedule_floor(
    request: FloorRequest,
    *,
    seed: int,
    stop: Stop,
    former: FloorSchedule | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> FloorSchedule:
    """The best schedule until `stop`, never worse than a list schedule.

    `former` is the schedule there was: the order of its tasks is where the search begins. The
    order in which the truck is loaded is in the needs of the tasks and is never changed.
    """
    solution = solve(
        request.problem,
        seed=seed,
        stop=stop,
        prove=False,
        former=_former(request, former),
        cancelled=cancelled,
    )
    return _named(request, solution.schedule, solution.bound)


def floor_bound(request: FloorRequest) -> int:
    """Seconds before which no schedule can end."""
    return lower_bound(request.problem)


def _former(request: FloorRequest, former: FloorSchedule | None) -> Schedule | None:
    if former is None:
        return None
    times = {entry.task: entry for entry in former.entries}
    starts: list[Start | None] = []
    last_s = 0
    for task in request.tasks:
        # A new task goes where its sequence puts it: with the one that stands before it.
        last_s = times[task].goes_s if task in times else last_s
        starts.append(Start(0, last_s, last_s, last_s))
    return Schedule(tuple(starts))


def _named(request: FloorRequest, schedule: Schedule, bound_s: int) -> FloorSchedule:
    names: dict[tuple[int, ...], tuple[str, ...]] = {}
    for start in schedule.starts:
        if start is not None and start.team not in names:
            people = [person for person in start.team if person < len(request.workers)]
            names[start.team] = tuple(request.workers[person] for person in people)
    entries = [
        Entry(
            task=task,
            people=request.begun.get(task) or names[start.team],
            goes_s=start.goes,
            start_s=start.begins,
            end_s=start.ends,
        )
        for task, start in zip(request.tasks, schedule.starts, strict=True)
        if start is not None
    ]
    left_over = tuple(request.tasks[number] for number in schedule.left_over)
    entries.sort(key=lambda entry: (entry.goes_s, entry.end_s))
    return FloorSchedule(tuple(entries), schedule.end, bound_s, left_over)
