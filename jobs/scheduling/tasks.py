"""From a load plan to the floor work it asks for, in tier order, with what must come first.

Every task needs only tasks that stand before it in the list, so the list itself is one order
in which everything can be done, and no order of finishing can end in a deadlock.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace
from enum import StrEnum

from jobs.scheduling.lifting import LiftAdvice, lift_advice
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import Item, LoadRequest

CARRY_AHEAD = 3
"""Pieces that may wait inside the truck for the loader; more would stand in the way."""


class TaskKind(StrEnum):
    """All of them are steps of plans but STOW, which is of a vault that comes from outside."""

    MOVE = "move"
    PULL = "pull"
    UNPACK = "unpack"
    FETCH = "fetch"
    WRAP = "wrap"
    CARRY = "carry"
    LOAD = "load"
    FILL = "fill"
    CLOSE = "close"
    CLEAR = "clear"
    RETURN = "return"
    STORE = "store"
    STOW = "stow"
    TAKE_OUT = "take_out"


@dataclass(frozen=True, slots=True)
class FloorTask:
    """One piece of floor work. `key` names it and stays the same in every version of the plan.

    `turn` counts repetitions: the second shift of a vault has turn 2. `needs` are keys of
    tasks that come first; `weight_g` is what is carried by hand, 0 where nothing is.
    """

    key: str
    sequence: int
    kind: TaskKind
    tier: int | None = None
    tag: str | None = None
    vault: str | None = None
    lane: str | None = None
    fill: int | None = None
    turn: int = 1
    people: int = 1
    weight_g: int = 0
    needs_equipment: bool = False
    needs: tuple[str, ...] = ()


def floor_tasks(
    request: LoadRequest, plan: LoadPlan, *, carry_ahead: int = CARRY_AHEAD
) -> tuple[FloorTask, ...]:
    """The tasks of a plan in the order of its steps; what `progress` has done already is no task.

    The precedence kept, whatever the order in which people finish: vaults come out of a lane
    in the order of the steps and are pulled one after another, a pull waits for a free dock
    spot, pieces leave a vault in its order and only when the dock floor has room for them,
    the truck is loaded, filled and closed in the order of the steps, and a vault is cleared
    or stored after its last piece.
    """
    maker = _Maker(request, plan, carry_ahead)
    given = len(request.progress.steps) if request.progress else 0
    for number, step in enumerate(plan.steps):
        maker.add(step, done=number < given)
    return maker.tasks()


@dataclass(slots=True)
class _Maker:
    """Walks the steps once and remembers the last task of each lane, vault, piece and truck."""

    request: LoadRequest
    plan: LoadPlan
    carry_ahead: int
    made: list[FloorTask] = field(default_factory=list)
    keys: set[str] = field(default_factory=set)
    turns: Counter[tuple[TaskKind, str]] = field(default_factory=Counter)
    lane_of: dict[str, str] = field(init=False)
    tier_of: dict[str, int] = field(init=False)
    tier_of_fill: dict[int, int] = field(init=False)
    last_in_lane: dict[str, str] = field(default_factory=dict)
    last_of_vault: dict[str, str] = field(default_factory=dict)
    out_of_vault: defaultdict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    last_of_tag: dict[str, str] = field(default_factory=dict)
    last_pull: str | None = None
    last_truck: str | None = None
    pulls: int = 0
    freed: list[str] = field(default_factory=list)
    loads: list[str] = field(default_factory=list)
    taken_mm2: int = 0
    given_back: list[tuple[str, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.lane_of = {vault.code: vault.lane for vault in self.request.vaults}
        self.lane_of |= {vault.code: vault.lane for vault in self.request.other_vaults}
        self.tier_of = {placed.tag: placed.tier for placed in self.plan.placements}
        self.tier_of_fill = {fill.fill: fill.tier for fill in self.plan.fills}

    def tasks(self) -> tuple[FloorTask, ...]:
        return tuple(self.made)

    def add(self, step: Step, *, done: bool) -> None:
        kind = TaskKind(step.do)
        if kind in (TaskKind.MOVE, TaskKind.PULL, TaskKind.STORE):
            self._vault_travels(kind, step, done)
        elif kind is TaskKind.CLEAR:
            self._clear(step, done)
        elif kind in (TaskKind.UNPACK, TaskKind.FETCH):
            self._to_the_floor(kind, step, done)
        elif kind is TaskKind.RETURN:
            self._back_to_its_vault(step, done)
        elif kind is TaskKind.LOAD:
            self._load(step, done)
        else:
            self._in_the_truck(kind, step, done)

    def _vault_travels(self, kind: TaskKind, step: Step, done: bool) -> None:
        code = _named(step.vault)
        key = self._key(kind, code)
        lanes = {lane for lane in (self.lane_of.get(code), step.lane) if lane}
        needs = [self.last_in_lane.get(lane) for lane in sorted(lanes)]
        needs.append(self.last_of_vault.get(code))
        if kind is TaskKind.PULL:
            needs += [self.last_pull, self._spot_before()]
            self.last_pull, self.pulls = key, self.pulls + 1
            self.lane_of.pop(code, None)
        elif step.lane:
            self.lane_of[code] = step.lane
        if kind is TaskKind.STORE:
            needs += self.out_of_vault[code]
            self.freed.append(key)
        self.last_in_lane |= dict.fromkeys(lanes, key)
        self.last_of_vault[code] = key
        self._make(key, kind, needs, done, vault=code, lane=step.lane)

    def _spot_before(self) -> str | None:
        """The clearing that frees the spot for the next pull (pulls come one after another)."""
        number = self.pulls - self.request.dock.vault_spots
        return self.freed[number] if 0 <= number < len(self.freed) else None

    def _clear(self, step: Step, done: bool) -> None:
        code = _named(step.vault)
        key = self._key(TaskKind.CLEAR, code)
        needs = [self.last_of_vault.get(code), *self.out_of_vault[code]]
        self.freed.append(key)
        self._make(key, TaskKind.CLEAR, needs, done, vault=code)

    def _to_the_floor(self, kind: TaskKind, step: Step, done: bool) -> None:
        item = self.request.item(_named(step.tag))
        key = self._key(kind, item.tag)
        code = self.request.vault_of(item.tag) if kind is TaskKind.UNPACK else None
        needs = [self.last_of_tag.get(item.tag), self._room_for(item)]
        if code:
            needs += [self.last_of_vault.get(code), *self.out_of_vault[code][-1:]]
            self.out_of_vault[code].append(key)
        self.last_of_tag[item.tag] = key
        self._make(key, kind, needs, done, item=item, vault=code)
        if item.wrap and self._is_to_be_loaded(item.tag):
            self._wrap(item)

    def _wrap(self, item: Item) -> None:
        if self.turns[TaskKind.WRAP, item.tag]:
            return
        key = self._key(TaskKind.WRAP, item.tag)
        self._make(key, TaskKind.WRAP, [self.last_of_tag.get(item.tag)], False, item=item)
        self.last_of_tag[item.tag] = key

    def _is_to_be_loaded(self, tag: str) -> bool:
        given = self.request.progress.steps if self.request.progress else ()
        loaded = any(step.do == TaskKind.LOAD and step.tag == tag for step in given)
        return tag in self.tier_of and not loaded

    def _room_for(self, item: Item) -> str | None:
        """The load that leaves room on the floor for this piece and all before it."""
        self.taken_mm2 += _floor_mm2_doubled(self.request, item)
        left_mm2 = 2 * self.request.dock.floor_mm2 - self.taken_mm2
        waited_for = None
        for key, area_mm2 in self.given_back:
            if left_mm2 >= 0:
                break
            left_mm2 += area_mm2
            waited_for = key
        return waited_for

    def _back_to_its_vault(self, step: Step, done: bool) -> None:
        item = self.request.item(_named(step.tag))
        key = self._key(TaskKind.RETURN, item.tag)
        code = self.request.vault_of(item.tag)
        needs = [self.last_of_tag.get(item.tag), self._last_given_back()]
        if code:
            needs += self.out_of_vault[code][-1:]
            self.out_of_vault[code].append(key)
        self.last_of_tag[item.tag] = key
        self.given_back.append((key, _floor_mm2_doubled(self.request, item)))
        self._make(key, TaskKind.RETURN, needs, done, item=item, vault=code)

    def _load(self, step: Step, done: bool) -> None:
        item = self.request.item(_named(step.tag))
        carry, load = self._key(TaskKind.CARRY, item.tag), self._key(TaskKind.LOAD, item.tag)
        ahead = self.loads[-self.carry_ahead :][0] if len(self.loads) >= self.carry_ahead else None
        self._make(carry, TaskKind.CARRY, [self.last_of_tag.get(item.tag), ahead], done, item=item)
        needs = [carry, self.last_truck, self._last_given_back()]
        self._make(load, TaskKind.LOAD, needs, done, item=item)
        self.last_of_tag[item.tag] = self.last_truck = load
        self.loads.append(load)
        self.given_back.append((load, _floor_mm2_doubled(self.request, item)))

    def _last_given_back(self) -> str | None:
        return self.given_back[-1][0] if self.given_back else None

    def _in_the_truck(self, kind: TaskKind, step: Step, done: bool) -> None:
        item = self.request.item(step.tag) if step.tag else None
        number = step.tier if step.fill is None else step.fill
        key = self._key(kind, step.tag or str(number))
        needs = [self.last_truck]
        if item:
            needs += [self.last_of_tag.get(item.tag), self._room_for(item)]
            self.last_of_tag[item.tag] = key
        self.last_truck = key
        tier = self.tier_of_fill.get(step.fill) if step.fill is not None else step.tier
        self._make(key, kind, needs, done, item=item, fill=step.fill, tier=tier)

    def _key(self, kind: TaskKind, subject: str) -> str:
        """`load:012`, and `load#2:012` when the same is to be done again."""
        self.turns[kind, subject] += 1
        turn = self.turns[kind, subject]
        return f"{kind}:{subject}" if turn == 1 else f"{kind}#{turn}:{subject}"

    def _make(
        self,
        key: str,
        kind: TaskKind,
        needs: list[str | None],
        done: bool,
        *,
        item: Item | None = None,
        vault: str | None = None,
        lane: str | None = None,
        fill: int | None = None,
        tier: int | None = None,
    ) -> None:
        if done:
            return
        task = FloorTask(
            key=key,
            sequence=len(self.made) + 1,
            kind=kind,
            tier=tier if item is None else self.tier_of.get(item.tag),
            vault=vault,
            lane=lane,
            fill=fill,
            turn=self.turns[kind, (item.tag if item else None) or vault or key.partition(":")[2]],
            needs=tuple(sorted({need for need in needs if need in self.keys})),
        )
        self.keys.add(key)
        self.made.append(_with_piece(task, item) if item else task)


def _with_piece(task: FloorTask, item: Item) -> FloorTask:
    advice: LiftAdvice = lift_advice(size_mm=item.size_mm, weight_g=item.weight_g)
    return replace(
        task,
        tag=item.tag,
        people=1 if task.kind is TaskKind.WRAP else advice.people,
        weight_g=0 if task.kind is TaskKind.WRAP else item.weight_g,
        needs_equipment=advice.needs_equipment and task.kind is not TaskKind.WRAP,
    )


def _floor_mm2_doubled(request: LoadRequest, item: Item) -> int:
    """Twice the dock floor a piece takes (doubled, so that half a carton's share stays whole).

    1.3 times its smallest as-loaded floor area among its postures; a carton that is not
    fragile and bears at least 25 kg takes half, for two stand on each other.
    """
    length, width, height = request.as_loaded_mm(item)
    areas = {"standing": length * width, "on_side": length * height, "on_end": width * height}
    smallest_mm2 = min(areas[posture] for posture in item.postures)
    stacks = item.carton and not item.fragile and item.bears_g >= 25_000
    return -(-smallest_mm2 * 13 // (10 if stacks else 5))


def _named(name: str | None) -> str:
    if name is None:
        raise ValueError("a step of the plan lacks the vault or piece it is about")
    return name
