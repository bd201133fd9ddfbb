"""Docks written as short lines of steps, and random ones that keep the dock's rules."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from loading.planner.plan import Fill, LoadPlan, Step
from loading.planner.request import LoadRequest, Progress, parse_request
from tests.loading.planner.scene import empty_request, item

FIELD = {"tag": "tag", "vault": "vault", "lane": "lane"}
OF_A_VAULT = ("move", "pull", "clear", "store")
SIDE_MM = 1000  # 1.3 m2 of floor for each piece


def request_of(
    vaults: dict[str, str], *, spots: int = 1, floor_m2: float = 20, **items: dict[str, Any]
) -> LoadRequest:
    """Vaults by code with their tags, door side first; tags in no vault stand loose."""
    document = empty_request()
    document["dock"] = {"vault_spots": spots, "floor_m2": floor_m2}
    document["lanes"] = {"depth": 9, "levels": 2, "names": ["A", "B"]}
    document["vaults"] = [
        {"code": code, "lane": "A", "depth": 9 - n, "level": 1, "items": tags.split()}
        for n, (code, tags) in enumerate(vaults.items())
    ]
    tags = [tag for inside in vaults.values() for tag in inside.split()]
    tags += [tag for tag in items if tag not in tags]
    document["items"] = [
        item(tag, (SIDE_MM, SIDE_MM, SIDE_MM), **items.get(tag, {})) for tag in tags
    ]
    return parse_request(document)


def steps_of(*lines: str) -> tuple[Step, ...]:
    """Steps as `do what [lane]`: `pull V1`, `load 001`, `close 1`, `store V1 B`."""
    steps = []
    for line in lines:
        do, what, *lane = line.split()
        if do in OF_A_VAULT:
            steps.append(Step(do, vault=what, lane=lane[0] if lane else None))
        elif do == "close":
            steps.append(Step(do, tier=int(what)))
        elif do == "fill":
            steps.append(Step(do, fill=int(what)))
        else:
            steps.append(Step(do, tag=what))
    return tuple(steps)


def plan_of(*lines: str, fills: tuple[Fill, ...] = ()) -> LoadPlan:
    return LoadPlan("scene", steps_of(*lines), (), fills)


def begun(request: LoadRequest, *lines: str) -> LoadRequest:
    return replace(request, progress=Progress(steps_of(*lines), (), ()))


@st.composite
def dock_days(draw: st.DrawFn) -> tuple[LoadRequest, LoadPlan]:
    """Up to four vaults emptied over a dock with little room, in an order that keeps its rules."""
    spots, places = draw(st.integers(1, 3)), draw(st.integers(1, 4))
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=4))
    vaults = {f"V{v}": " ".join(f"{v}{k}" for k in range(size)) for v, size in enumerate(sizes)}
    request = request_of(vaults, spots=spots, floor_m2=1.3 * places)
    left = {code: tags.split() for code, tags in reversed(vaults.items())}
    waiting, opened, floor, lines = list(left), list[str](), list[str](), list[str]()
    while waiting or opened or floor:
        can = ["pull"] if waiting and len(opened) < spots else []
        can += ["unpack"] if any(left[c] for c in opened) and len(floor) < places else []
        can += ["load"] if floor else []
        can += ["clear"] if any(not left[c] for c in opened) else []
        do = draw(st.sampled_from(can))
        if do == "pull":
            opened.append(waiting.pop(0))
            lines.append(f"pull {opened[-1]}")
        elif do == "unpack":
            code = draw(st.sampled_from([c for c in opened if left[c]]))
            floor.append(left[code].pop(0))
            lines.append(f"unpack {floor[-1]}")
        elif do == "load":
            lines.append(f"load {floor.pop(draw(st.integers(0, len(floor) - 1)))}")
        else:
            opened.remove(code := next(c for c in opened if not left[c]))
            lines.append(f"clear {code}")
    return request, plan_of(*lines)
