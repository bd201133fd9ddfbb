"""The search over whole tiers: a beam of loads, each continued with tiers of many depths.

One iteration is one tier built. A worker repeats beams, first over the whole load, then from the
middle of its best load on, each wider than the one before, until its stopping rule says so.
"""

from __future__ import annotations

import random
from collections.abc import Callable

import numpy as np

from loading.planner.search.arrays import (
    BOXES,
    IN_TRUCK,
    LENGTH,
    PLACED,
    SLACK,
    TIER,
    TIERS,
    VOLUME,
    Goods,
    Longs,
    Reals,
    State,
    new_desk,
)
from loading.planner.search.costs import Costs
from loading.planner.search.drawing import PLAIN, Drawing
from loading.planner.search.following import EFFORTS, Follower
from loading.planner.search.former import TierLeft
from loading.planner.search.judging import LEFT, PRICE, tilt
from loading.planner.search.nodes import Drawn, Node, Outcome, grown
from loading.planner.search.step import DENSITY_HOPED, add_tier, promise, restore
from loading.planner.search.tight import MOST_PADS

STUBBORN = 16  # more tries before a load counts as ended
UNHELD = 60  # the same where something stands that has to be held
POLISHES = (8, 16, 32)  # times that a part of a tier is built anew: drawn for each beam
MISSED_MM, MISSED_MOST_MM = 80.0, 600.0  # truck length given for a piece that loads left off
FEW = 3.0  # more pieces than so many are left off for want of room, not for their shape
BEAMS_IN_ALL = 10  # a beam may take so much of the tiers built before it
LEAST_DENSE, HOPES = 0.45, (0.7, 0.95)  # density hoped for: at least, and times the best load's
LEAST_BRANCH, MOST_BRANCH = 6, 10  # tiers tried after each load of a beam
ANEW = 2  # every so many beams begin with the empty truck: chance decides much of a load
ANEW_KEPT = 8  # the same where a former plan is to be kept
LOOSE_DENSE = 0.3  # density of what fell out of its tier, in what is left before the doors
KEPT = 4  # finished loads kept as second choices


Judge = Callable[[State], tuple[float, ...]]


class Worker:
    """One seeded search; not shared between threads."""

    def __init__(
        self,
        goods: Goods,
        start: State,
        pull_orders: list[Longs],
        *,
        seed: int,
        judge: Judge,
        reached: Callable[[int], bool],
        former: list[TierLeft] | None = None,
        share: Callable[[int], float],
        out: Longs | None = None,
        enough_mm: int = 0,
        borne: int = 0,
        follows: bool = True,
        improve: bool = False,
    ) -> None:
        """`borne`: so many given pieces are loose for good. `follows`: it begins by keeping the
        former plan. `improve`: it looks for a better one though that holds."""
        self.goods, self.start, self.pull_orders = goods, start, pull_orders
        self.former, self.enough_mm, self.borne = former, enough_mm, borne
        self.follows, self.improve = follows, improve
        self.out = np.zeros(0, np.int64) if out is None else out
        self.random = random.Random(seed)
        self.drawing = Drawing(goods, self.random)
        self.dice = np.array([seed * 2654435761 + 88172645463325252], np.int64)
        self.judge, self.reached, self.share = judge, reached, share
        self.iterations = 0
        self.best: Outcome | None = None
        self.finished: list[Outcome] = []  # the best last
        self.others: list[Worker] = []  # whose best load is worth going on from
        self.content = False  # a former plan is kept well enough: nobody has to go on
        self.failure: BaseException | None = None
        self.unheld = 0  # beams that ended in an open tier which nothing held
        self.order, self.polish = 0, POLISHES[0]
        self.free: list[State] = []
        self.wish = np.ones(len(goods.weight))
        self.face = float(goods.interior[1]) * float(goods.interior[2])
        self.spare = self._blank()
        self.desk = new_desk(goods, len(start.box))
        self.volume: Reals = goods.volume.astype(np.float64)
        self.value, self.missed = self.volume, np.zeros(len(goods.weight))
        self.dense = DENSITY_HOPED
        self.costs = Costs(goods, self.volume)
        self.price = np.ones(len(goods.weight))
        self.leaving = int((goods.stays == 0).sum())
        self.pull_order = pull_orders[0]

    def run(self) -> None:
        """Search until the stopping rule says so; an error is kept in `failure`."""
        try:
            self._search()
        except Exception as error:  # handed to the thread that waits
            self.failure = error

    def _search(self) -> None:
        turn = 1 if self.former else 0  # what keeps a former plan is mended from its end first
        if self.former and self.follows:
            self._follow(self.former)
        while not self._is_over():
            self._listen()
            begin: list[State] = []
            anew = ANEW_KEPT if self._keeps() else ANEW
            if self.best is not None and turn % anew and self._can_go_on(self.best):
                begin = self.best.trail[: self._restart(len(self.best.trail) - 1)]
                self.order = self.best.order
            else:
                self.order = self.random.randrange(len(self.pull_orders)) if turn else 0
            width, branch = self._effort(len(begin))
            self.pull_order = self.pull_orders[self.order]
            self.value = self._worth()
            self.polish = self.random.choice(POLISHES) if self.best else POLISHES[0]
            before = self.iterations
            self._beam(begin, width, branch)
            if self.iterations == before:  # nothing is left to load
                return
            if self._is_hopeless():
                return
            turn += 1

    def _keeps(self) -> bool:
        """Whether a former plan is to be kept: not where that leaves more than a few off."""
        keeps = self.former is not None and not self.improve
        return keeps and self.best is not None and self.best.key[LEFT] <= FEW

    def _is_over(self) -> bool:
        """Whether there is a load that is good enough, or one at all and no time left."""
        if any(other.content for other in self.others):
            return True
        self.content = self._is_enough()
        return self.content or (self._has_load() and self.reached(self.iterations))

    def _has_load(self) -> bool:
        """Whether there is a load to go by; none in which a given piece is loose, if that may be
        held yet: it ends with the open tier, and any other that time cuts short looks better."""
        return self.best is not None and (not self._loose(self.best.state) or self._is_hopeless())

    def _is_hopeless(self) -> bool:
        """Whether nothing at hand seems to hold what stands in an open tier."""
        return self.best is not None and self.unheld > 1 and self._loose(self.best.state) > 0

    def _can_go_on(self, best: Outcome) -> bool:
        """Not where a piece is loose that was given: only the tier it stands in could hold it."""
        return len(best.trail) > 2 and not self._loose(best.state)

    def _loose(self, state: State) -> int:
        """How many pieces are loose that were given and that something may hold."""
        return max(0, int(state.tally[SLACK]) - self.borne)

    def _listen(self) -> None:
        """Go on from another worker's load if it is better; outcomes are never written again."""
        for other in self.others:
            if other.best is not None and (self.best is None or other.best.key < self.best.key):
                self.best = other.best
                self._hope_for(self.best.state)

    def _hope_for(self, state: State) -> None:
        length = max(1.0, float(state.tally[LENGTH]))
        self.dense = max(LEAST_DENSE, 1000.0 * float(state.tally[VOLUME]) / (length * self.face))

    def _follow(self, tiers: list[TierLeft]) -> None:
        """Build what the former plan has left; harder where that does not keep enough of it."""
        follower = Follower(
            self.goods._replace(out=self.out),
            self.start,
            self.desk,
            self.pull_order,
            self.dice,
            draw=lambda state: self._draw(state, desperate=self.random.random() < 0.3),
            plain=PLAIN,
            room=LOOSE_DENSE * self.face * max(0.0, float(self.goods.interior[0]) - self.enough_mm),
            take=self._blank,
            spent=lambda built: self.share(self.iterations + built),
            borne=self.borne,
        )
        for effort in EFFORTS:
            node = Node(self._copy(self.start), 0.0)
            trail, whole = follower.follow(tiers, effort)
            self.iterations += follower.built
            follower.built = 0
            if whole:
                for state in trail:
                    node = Node(state, 0.0, node)
                self._finish(node, [])
            elif self.best is None:
                self.value = self._worth()
                self._beam(trail, 1, 2)
            self._listen()
            if not whole or self._is_enough() or self.reached(self.iterations):
                return

    def _is_enough(self) -> bool:
        """Whether all goes along, much of the former plan is kept, and the load is not longer."""
        if self.best is None or self.former is None or self.improve or any(self.best.key[:PRICE]):
            return False
        return self.best.key[PRICE] <= self.enough_mm

    def _worth(self) -> Reals:
        """What each piece is worth (mm3) to the next beam, which hopes for about the best density.

        With too high a hope every tier looks like a loss, and the smallest one the best.
        """
        hope = DENSITY_HOPED * self.face / self.random.uniform(*HOPES)
        self.price = self.costs.prices(self.dense)
        length = self.costs.lengths(self.dense)
        return (length + self.missed * DENSITY_HOPED / self.dense) * hope

    def _restart(self, tiers: int) -> int:
        """How many tiers of the best load are kept: any number, half the time most of them."""
        if not self._keeps() and self.random.random() < 0.5:
            return self.random.randrange(tiers)
        return max(0, tiers - 1 - int(self.random.expovariate(3.0 / tiers)))

    def _effort(self, kept: int) -> tuple[int, int]:
        """Width and branching of the next beam: a fair share of the tiers built so far."""
        if self.best is None:
            return 1, 2
        tiers = max(1, len(self.best.trail) - kept)
        share = self.iterations / (BEAMS_IN_ALL * tiers)
        branch = min(MOST_BRANCH, max(LEAST_BRANCH, int((2 * share) ** 0.5)))
        return min(8, max(1, int(share / branch))), branch

    def _beam(self, trail: list[State], width: int, branch: int) -> None:
        root = Node(self._copy(trail[-1] if trail else self.start), 0.0)
        nodes, history = [root], [root]
        while nodes and not self._is_over():
            children: list[Node] = []
            for node in nodes:
                children += self._grow(node, trail, branch)
            nodes = self._keep(children, width)
            history += nodes
        for node in history:
            self.free.append(node.state)

    def _grow(self, node: Node, trail: list[State], branch: int) -> list[Node]:
        """The children of a node; none where its load ends, which is then judged."""
        children = self._children(node, branch)
        last = min(children, key=lambda child: child.order, default=node)
        if children and not (self._is_begun(node.state) and self._loose(last.state)):
            return children
        self.unheld += bool(children)
        self._finish(last, trail)
        return []

    def _children(self, node: Node, branch: int) -> list[Node]:
        if int(node.state.tally[PLACED]) == self.leaving:
            return []
        out: list[Node] = []
        tries, held = 0, not self._is_begun(node.state)
        most = branch + (STUBBORN if held else UNHELD)
        while (len(out) < branch or not held) and tries < most:
            if self._is_over():
                break
            tries += 1
            child = self._tier(node, desperate=tries > branch and (not out or tries % 2 == 0))
            if child is not None:
                out.append(child)
                held = held or not self._loose(child.state)
            elif tries >= branch and held and out:
                break
        return out

    def _is_begun(self, state: State) -> bool:
        """Whether some of the next tier was in the truck before the search."""
        boxes = self.start.box[: int(self.start.tally[BOXES])]
        return bool((boxes[:, TIER] > state.tally[TIERS]).any())

    def _tier(self, node: Node, *, desperate: bool) -> Node | None:
        target = self._take()
        drawn = Drawn(
            *self._draw(node.state, desperate=desperate),
            self.drawing.skipped(desperate=desperate),
            self.drawing.wishes(node.state, self.wish, self.price),
        )
        self.iterations += 1
        self._build(node.state, target, drawn, polish=0)
        if drawn.pieces == 0:
            self.free.append(target)
            return None
        return Node(target, self._promise(target), node, drawn)

    def _polish(self, node: Node) -> None:
        """Build parts of a node's last tier anew."""
        assert node.parent is not None
        assert node.drawn is not None
        self._build(node.parent.state, node.state, node.drawn, polish=self.polish)
        node.rank = self._promise(node.state)

    def _promise(self, state: State) -> float:
        return float(promise(self.goods, state, self.value)) + tilt(self.goods, state)

    def _build(self, before: State, state: State, drawn: Drawn, *, polish: int) -> None:
        drawn.pieces = add_tier(
            self.goods, before, state, self.spare, self.desk, self.pull_order, drawn.bounds,
            drawn.weights, self.dice, drawn.skip, drawn.wish, self.value, MOST_PADS, polish,
            drawn.pieces,
        )  # fmt: skip

    def _draw(self, state: State, *, desperate: bool) -> tuple[Longs, Reals]:
        tastes = self.best.tastes if self.best is not None else ()
        return self.drawing.tier(state, tastes, desperate=desperate)

    def _keep(self, children: list[Node], width: int) -> list[Node]:
        """The most promising nodes, none alike, polished."""
        children.sort(key=lambda node: node.order)
        kept: list[Node] = []
        seen: set[tuple[int, int]] = set()
        for node in children:
            mark = (int(node.state.tally[VOLUME]), int(node.state.tally[LENGTH]))
            if len(kept) < width and mark not in seen:
                seen.add(mark)
                kept.append(node)
            else:
                self.free.append(node.state)
        for node in kept:
            self._polish(node)
        return kept

    def _finish(self, node: Node, trail: list[State]) -> None:
        key = self.judge(node.state)
        self.costs.learn([self.start, *trail, *grown(node)], self.dense)
        left = (node.state.where != IN_TRUCK) & (self.goods.stays == 0)
        self.wish = np.where(left, np.minimum(self.wish * 1.3, 3.0), self.wish * 0.97 + 0.03)
        more = MISSED_MM * min(1.0, FEW / max(1, int(left.sum())))
        self.missed = np.where(
            left, np.minimum(self.missed + more, MISSED_MOST_MM), self.missed * 0.97
        )
        if self.best is not None and key >= self.best.key:
            return
        states: list[State] = []
        tastes: list[tuple[int, Reals]] = []
        at: Node | None = node
        while at is not None and at.parent is not None:
            states.append(self._copy(at.state, own=True))
            if at.drawn is not None:
                tastes.append(at.drawn.taste)
            at = at.parent
        states.reverse()
        last = states[-1] if states else self._copy(node.state, own=True)
        self._hope_for(last)
        self.best = Outcome(last, key, trail + states, self.order, tastes)
        self.finished = [*self.finished[1 - KEPT :], self.best]

    def _take(self) -> State:
        return self.free.pop() if self.free else self._blank()

    def _blank(self) -> State:
        return State._make(np.zeros_like(part) for part in self.start)

    def _copy(self, state: State, *, own: bool = False) -> State:
        target = self._blank() if own else self._take()
        restore(state, target)
        return target
