"""Made-up floors: vaults of pieces that are unpacked, some wrapped, carried and loaded in order."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from jobs.scheduling import FloorTask, TaskKind
from jobs.scheduling.assigning import Part
from jobs.scheduling.floor import FloorRequest, Site, Worker, floor_request

CREWS: dict[int, tuple[Part, ...]] = {
    3: ("loader", "warehouse", "helper"),
    5: ("loader", "warehouse", "helper", "helper", "helper"),
    8: ("loader", "loader", "warehouse", "helper", "helper", "helper", "helper", "helper"),
}
"""Parts by the size of the crew."""


def floor_of(
    *,
    crew: int,
    places: int,
    seed: int,
    pieces: int = 108,
    shifts: bool = False,
    forklift_away_s: tuple[tuple[int, int], ...] = (),
    ways: bool = True,
) -> FloorRequest:
    """Some 400 tasks for 108 pieces. Every piece takes one place of the dock.

    With `shifts`, everybody has a break of 15 minutes at another time. Without `ways`, people are
    wherever their next work is; a carry takes as long as with them.
    """
    rng = random.Random(f"{crew}-{places}-{seed}")
    tasks = _tasks(rng, pieces, places)
    workers = [
        Worker(
            f"{part}-{k}",
            part,
            breaks_s=((3600 + 1200 * k, 4500 + 1200 * k),) if shifts else (),
        )
        for k, part in enumerate(CREWS[crew])
    ]
    tags = {task.tag: 1 for task in tasks if task.tag}
    site = Site(dock_floor_mm2=places, vault_spots=2, forklift_away_s=forklift_away_s)
    request = floor_request(tasks, workers, site=site, floor_mm2=tags)
    if ways:
        return request
    nowhere = tuple((0,) * len(row) for row in request.problem.travel)
    return replace(request, problem=replace(request.problem, travel=nowhere))


def _tasks(rng: random.Random, pieces: int, places: int) -> list[FloorTask]:
    tags = [f"{number:03d}" for number in range(1, pieces + 1)]
    vaults = [tags[at : at + 8] for at in range(0, pieces, 8)]
    # Nobody loads a piece long before or after it comes out of its vault: the dock is small.
    reach = max(1, places // 2)
    order = sorted(range(pieces), key=lambda k: k + rng.uniform(0, reach - 0.5))
    tasks: list[FloorTask] = []
    made: set[str] = set()

    def add(key: str, kind: TaskKind, needs: list[str], **more: object) -> None:
        kept = tuple(need for need in needs if need in made)
        made.add(key)
        tasks.append(FloorTask(key, len(tasks) + 1, kind, needs=kept, **more))  # type: ignore[arg-type]

    loaded: list[str] = []
    out: set[str] = set()
    for number, those in enumerate(vaults):
        vault = f"V{number}"
        add(f"pull:{vault}", TaskKind.PULL, [f"pull:V{number - 1}"], vault=vault)
        before = f"pull:{vault}"
        for tag in those:
            _piece(rng, add, tag, vault, before)
            before = f"unpack:{tag}"
            out.add(tag)
            while len(loaded) < pieces and tags[order[len(loaded)]] in out:
                loaded.append(tags[order[len(loaded)]])
                _load(add, loaded, tasks)
        add(f"clear:{vault}", TaskKind.CLEAR, [before], vault=vault)
    return tasks


def _piece(rng: random.Random, add: Callable[..., None], tag: str, vault: str, before: str) -> None:
    weight_g = round(min(120_000, rng.lognormvariate(9.7, 0.8)))
    people = 1 if weight_g <= 23_000 else 2
    piece = {"tag": tag, "vault": vault, "weight_g": weight_g, "people": people}
    add(f"unpack:{tag}", TaskKind.UNPACK, [before], **piece)
    if rng.random() < 0.4:
        add(f"wrap:{tag}", TaskKind.WRAP, [f"unpack:{tag}"], tag=tag)


def _load(add: Callable[..., None], loaded: list[str], tasks: list[FloorTask]) -> None:
    tag = loaded[-1]
    first = next(task for task in tasks if task.key == f"unpack:{tag}")
    piece = {"tag": tag, "weight_g": first.weight_g, "people": first.people}
    ahead = f"load:{loaded[-4]}" if len(loaded) > 3 else ""
    last = f"load:{loaded[-2]}" if len(loaded) > 1 else ""
    needs = [f"unpack:{tag}", f"wrap:{tag}", ahead]
    add(f"carry:{tag}", TaskKind.CARRY, needs, **piece)
    add(f"load:{tag}", TaskKind.LOAD, [f"carry:{tag}", last], **piece)
