"""R10: vaults out of their lanes, pieces out of their vaults, over a dock with little room."""

from collections.abc import Iterator
from dataclasses import dataclass

from loading.planner.checker.lanes import Lanes
from loading.planner.checker.posture import turned
from loading.planner.checker.report import Broken
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import Item, LoadRequest

# On the floor a piece takes 1.3 times its smallest side, a carton that others can stand on half
# of that: counted in twentieths of a square millimetre, both are whole.
PART = 20
PIECE_PARTS, CARTON_PARTS = 26, 13
STACKED_BEARS_G = 25_000


@dataclass(frozen=True, slots=True)
class DockFigures:
    floor_peak_m2: float
    moves: int


def floor_parts(request: LoadRequest, item: Item) -> int:
    """The floor that a piece takes while it waits, in twentieths of mm2."""
    as_loaded = request.as_loaded_mm(item)
    floors = (turned(as_loaded, posture)[0] for posture in item.postures)
    smallest = min(one * other for one, other in floors)
    stacks = item.carton and not item.fragile and item.bears_g >= STACKED_BEARS_G
    return smallest * (CARTON_PARTS if stacks else PIECE_PARTS)


def walk_dock(request: LoadRequest, plan: LoadPlan) -> tuple[list[Broken], DockFigures]:
    """What breaks R10, and the figures of the dock. Steps of the progress are facts: they are
    followed as far as they can be, and not judged."""
    dock = _Dock(request)
    found: list[Broken] = []
    given = len(request.progress.steps) if request.progress else 0
    for number, step in enumerate(plan.steps, 1):
        dock.judged = number > given
        where = f"step {number} ({step.do})"
        messages = list(dock.do(step))
        if dock.judged:
            found += [Broken("R10", where, f"{where}: {message}") for message in messages]
    found += [Broken("R10", subject, message) for subject, message in dock.in_the_end(plan)]
    peak = round(dock.peak / PART / 1e6, 1)
    return found, DockFigures(floor_peak_m2=peak, moves=dock.moves)


class _Dock:
    """The state of lanes, open vaults and floor. Each step yields what is wrong with it."""

    def __init__(self, request: LoadRequest) -> None:
        self._request = request
        self._lanes = Lanes(request)
        self._left = {vault.code: list(vault.items) for vault in request.vaults}
        self._turn = {code: n for n, code in enumerate(request.pull_order or ())}
        self._last_turn = -1
        self._open: list[str] = []
        self._cleared: set[str] = set()
        self._floor: dict[str, int] = {}
        self._fetched: set[str] = set()
        self._aboard: set[str] = set()
        self._aboard_given: set[str] = set()
        self.judged = True
        self.peak = self.moves = 0

    def do(self, step: Step) -> Iterator[str]:
        does = {
            "move": self._move,
            "pull": self._pull,
            "unpack": self._unpack,
            "fetch": self._fetch,
            "load": self._load,
            "clear": self._clear,
            "take_out": self._take_out,
            "return": self._return,
            "store": self._store,
        }.get(step.do)
        if does is not None:
            yield from does(step)
        elif step.do not in ("fill", "close"):
            yield "there is no such step"
        used = sum(self._floor.values())
        self.peak = max(self.peak, used)
        limit = PART * self._request.dock.floor_mm2
        if step.do in ("unpack", "fetch", "take_out") and used > limit:
            has = self._request.dock.floor_mm2 / 1e6
            yield f"{used / PART / 1e6:.2f} m2 on a floor of {has:g} m2"

    def _out_of_lane(self, code: str) -> Iterator[str]:
        if not self._lanes.is_reachable(code):
            yield f"vault {code} cannot be reached"
        if self._lanes.lane_of(code) is not None:
            self._lanes.take(code)

    def _move(self, step: Step) -> Iterator[str]:
        code, lane = step.vault or "", step.lane or ""
        was_in = self._lanes.lane_of(code)
        yield from self._out_of_lane(code)
        if was_in is None:
            return
        self.moves += 1
        if lane == was_in:
            yield f"{lane} is no other lane"
        yield from self._into_lane(code, lane)

    def _into_lane(self, code: str, lane: str) -> Iterator[str]:
        problem = self._lanes.put(code, lane)
        if problem is not None:
            yield problem

    def _pull(self, step: Step) -> Iterator[str]:
        code = step.vault or ""
        stood = self._lanes.lane_of(code) is not None
        yield from self._out_of_lane(code)
        if code not in self._left:
            yield f"vault {code} is not of this shipment"
            return
        if not stood:
            return
        if self._request.pull_order is not None:
            yield from self._in_turn(code)
        self._open.append(code)
        spots = self._request.dock.vault_spots
        if len(self._open) > spots:
            yield f"{len(self._open)} vaults on {spots} spots"

    def _in_turn(self, code: str) -> Iterator[str]:
        turn = self._turn.get(code, -1)
        if turn < self._last_turn or turn < 0:
            yield f"vault {code} is pulled out of turn"
        if self.judged:
            self._last_turn = max(self._last_turn, turn)

    def _put_on_floor(self, tag: str) -> None:
        if self._request.has_item(tag):
            self._floor[tag] = floor_parts(self._request, self._request.item(tag))

    def _unpack(self, step: Step) -> Iterator[str]:
        tag = step.tag or ""
        code = self._request.vault_of(tag)
        left = self._left[code] if code is not None else []
        if code not in self._open or not left or left[0] != tag:
            yield f"{tag} cannot be reached in vault {code}"
        if tag in left:
            left.remove(tag)
        self._put_on_floor(tag)

    def _fetch(self, step: Step) -> Iterator[str]:
        tag = step.tag or ""
        is_loose = self._request.has_item(tag) and self._request.vault_of(tag) is None
        if not is_loose or tag in self._fetched:
            yield f"{tag} does not stand loose in the warehouse"
        self._fetched.add(tag)
        self._put_on_floor(tag)

    def _load(self, step: Step) -> Iterator[str]:
        tag = step.tag or ""
        if tag not in self._floor:
            yield f"{tag} is not on the dock floor"
        if tag in self._aboard:
            yield f"{tag} is loaded already"
        self._floor.pop(tag, None)
        self._aboard.add(tag)
        if not self.judged:
            self._aboard_given.add(tag)
            # It is in the truck, whatever was written down of its way there.
            left = self._left.get(self._request.vault_of(tag) or "", [])
            if tag in left:
                left.remove(tag)

    def _clear(self, step: Step) -> Iterator[str]:
        code = step.vault or ""
        if code not in self._open or self._left[code]:
            yield f"{code} is not an empty vault on the dock"
            return
        self._open.remove(code)
        self._cleared.add(code)

    def _take_out(self, step: Step) -> Iterator[str]:
        tag = step.tag or ""
        if tag not in self._aboard_given:
            yield f"{tag} is not in the truck since before the plan"
            return
        self._aboard_given.discard(tag)
        self._aboard.discard(tag)
        self._put_on_floor(tag)

    def _return(self, step: Step) -> Iterator[str]:
        tag = step.tag or ""
        code = self._request.vault_of(tag)
        if tag not in self._floor or (code is not None and code not in self._open):
            yield f"{tag} cannot go back"
        self._floor.pop(tag, None)
        self._fetched.discard(tag)
        if code is not None and tag not in self._left[code]:
            self._left[code].insert(0, tag)

    def _store(self, step: Step) -> Iterator[str]:
        code = step.vault or ""
        if code not in self._open or not self._left[code]:
            yield f"{code} is no vault on the dock with something in it"
            return
        self._open.remove(code)
        yield from self._into_lane(code, step.lane or "")

    def in_the_end(self, plan: LoadPlan) -> Iterator[tuple[str, str]]:
        """Every pulled vault is cleared, or stored with what stays; a piece that is left off may
        keep its vault where it is."""
        left_off = {left.tag for left in plan.left_off}
        stays = {item.tag for item in self._request.items if not item.leaves}
        for code, left in self._left.items():
            is_open = code in self._open
            if code in self._cleared or left_off.intersection(left) or not (left or is_open):
                continue
            if is_open or not stays.intersection(left):
                yield code, f"vault {code} is neither cleared nor stored"
            elif not stays.issuperset(left):
                wrong = next(tag for tag in left if tag not in stays)
                yield code, f"vault {code} goes back with {wrong} in it"
        for tag in sorted(stays & set(self._floor)):
            yield tag, f"{tag} stays in storage and is left on the dock"
