"""Schedules from activity lists, compiled: the serial scheme, justification and a population.

Only resources that are limited by an amount are known here; people, holds and absences are not
(see `events`).

The free amounts of all resources at one time stand side by side in one or more words of 64 bits,
each in a lane with a guard bit on top, so that one subtraction compares them all.

Double justification: V. Valls, F. Ballestin, S. Quintanilla, European Journal of Operational
Research 165 (2005); crossover of activity lists: S. Hartmann, Naval Research Logistics 45 (1998).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from jobs.scheduling.solver.kernel import kernel
from jobs.scheduling.solver.problem import Problem

Array = np.ndarray[Any, Any]
_LANE_BITS = 16


class Tables(NamedTuple):
    """A problem of single modes as arrays; lists of indexes as one array with `_at` offsets."""

    duration: Array
    amount: Array  # (activity, word), lanes
    full: Array  # (word,), every guard bit set, every resource free
    guard: Array  # (word,)
    need_at: Array
    need: Array
    after_at: Array
    after: Array
    latest: Array  # latest end by precedence alone, as if the last had to end at `horizon`
    horizon: int


@dataclass(slots=True)
class Population:
    """Activity lists, the starts they lead to, their ends, and the best of them all so far."""

    lists: Array
    starts: Array
    ends: Array
    best_starts: Array
    best_end: Array  # (1,)


def tables_of(problem: Problem) -> Tables:
    """Arrays of a problem whose activities have one mode each, without people and holds."""
    modes = [activity.modes[0] for activity in problem.activities]
    duration = np.array([mode.duration for mode in modes], np.int64)
    per_word = 64 // _LANE_BITS if max(problem.capacities, default=0) < 1 << 15 else 1
    bits, words = 64 // per_word, -(-max(1, len(problem.capacities)) // per_word)
    amount = np.zeros((len(modes), words), np.uint64)
    full, guard = np.zeros(words, np.uint64), np.zeros(words, np.uint64)
    for resource, capacity in enumerate(problem.capacities):
        word, shift = resource // per_word, bits * (resource % per_word)
        guard[word] |= np.uint64(1 << (shift + bits - 1))
        full[word] |= np.uint64(capacity << shift)
        for number, mode in enumerate(modes):
            if mode.amounts:
                amount[number, word] |= np.uint64(mode.amounts[resource] << shift)
    followers = problem.followers
    need_at, need = _joined([activity.needs for activity in problem.activities])
    after_at, after = _joined(followers)
    horizon = int(duration.sum()) + 1
    latest = np.full(len(modes), horizon, np.int64)
    for number in reversed(problem.order):
        for follower in followers[number]:
            latest[number] = min(latest[number], latest[follower] - duration[follower])
    return Tables(
        duration, amount, full | guard, guard, need_at, need, after_at, after, latest, horizon
    )


def _joined(lists: Sequence[Sequence[int]]) -> tuple[Array, Array]:
    at = np.zeros(len(lists) + 1, np.int64)
    at[1:] = np.cumsum([len(those) for those in lists])
    return at, np.array([number for those in lists for number in those], np.int64)


def population_of(tables: Tables, *, size: int, seed: int) -> Population:
    """A first population, sampled by latest ends and justified."""
    count = len(tables.duration)
    made = Population(
        lists=np.zeros((size, count), np.int64),
        starts=np.zeros((size, count), np.int64),
        ends=np.zeros(size, np.int64),
        best_starts=np.zeros(count, np.int64),
        best_end=np.array([np.iinfo(np.int64).max]),
    )
    _found(tables, made.lists, made.starts, made.ends, made.best_starts, made.best_end, seed)
    return made


def population_advance(tables: Tables, population: Population, *, children: int, seed: int) -> None:
    """Breed so many children, each in the place of a worse one."""
    _advance(
        tables,
        population.lists,
        population.starts,
        population.ends,
        population.best_starts,
        population.best_end,
        children,
        seed,
    )


@kernel
def _serial(  # type: ignore[no-untyped-def]
    duration, amount, full, guard, need_at, need, order, free, horizon, start
):
    """Each activity of `order` as early as it fits; gives the last end. Scratch: `free`."""
    count, words = len(order), len(full)
    for t in range(horizon + 1):
        for w in range(words):
            free[t, w] = full[w]
    last = 0
    for k in range(count):
        i = order[k]
        t = 0
        for a in range(need_at[i], need_at[i + 1]):
            j = need[a]
            t = max(t, start[j] + duration[j])
        if duration[i] > 0:
            u = t
            while u < t + duration[i]:
                fits = True
                for w in range(words):
                    if ((free[u, w] - amount[i, w]) & guard[w]) != guard[w]:
                        fits = False
                        break
                if not fits:
                    t = u + 1
                u += 1
            for u in range(t, t + duration[i]):
                for w in range(words):
                    free[u, w] -= amount[i, w]
        start[i] = t
        last = max(last, t + duration[i])
    return last


@kernel
def _by_time(value, horizon, bucket, order):  # type: ignore[no-untyped-def]
    """Indexes by value, lowest first, ties by place in `order`, by counting. Scratch: `bucket`."""
    count = len(value)
    bucket[: horizon + 2] = 0
    for i in range(count):
        bucket[value[i] + 1] += 1
    for t in range(horizon + 1):
        bucket[t + 1] += bucket[t]
    result = np.empty(count, np.int64)
    for k in range(count):
        i = order[k]
        result[bucket[value[i]]] = i
        bucket[value[i]] += 1
    return result


@kernel
def _justified(tables, order, free, bucket, start, late):  # type: ignore[no-untyped-def]
    """Decode `order`, push everything late, then early again; gives the end and the new list."""
    t = tables
    last = _serial(
        t.duration, t.amount, t.full, t.guard, t.need_at, t.need, order, free, t.horizon, start
    )
    # From the end: each activity's distance from the last end is a start in reversed time.
    late[:] = last - (start + t.duration)
    backward = _by_time(late, t.horizon, bucket, order[::-1])
    span = _serial(
        t.duration, t.amount, t.full, t.guard, t.after_at, t.after, backward, free, t.horizon, late
    )
    late[:] = span - (late + t.duration)
    forward = _by_time(late, t.horizon, bucket, backward[::-1])
    last = _serial(
        t.duration, t.amount, t.full, t.guard, t.need_at, t.need, forward, free, t.horizon, start
    )
    return last, _by_time(start, t.horizon, bucket, forward)


@kernel
def _sampled(tables, sharp):  # type: ignore[no-untyped-def]
    """A random activity list in which what must end early tends to come first."""
    count = len(tables.duration)
    order = np.empty(count, np.int64)
    missing = np.empty(count, np.int64)
    ready = np.empty(count, np.int64)
    ready_count = 0
    for i in range(count):
        missing[i] = tables.need_at[i + 1] - tables.need_at[i]
        if missing[i] == 0:
            ready[ready_count] = i
            ready_count += 1
    weight = np.empty(count, np.float64)
    for k in range(count):
        worst = tables.latest[ready[0]]
        for r in range(ready_count):
            worst = max(worst, tables.latest[ready[r]])
        total = 0.0
        for r in range(ready_count):
            weight[r] = (worst - tables.latest[ready[r]] + 1.0) ** sharp
            total += weight[r]
        point = np.random.random() * total
        chosen = 0
        while chosen < ready_count - 1 and point > weight[chosen]:
            point -= weight[chosen]
            chosen += 1
        i = ready[chosen]
        ready_count -= 1
        ready[chosen] = ready[ready_count]
        order[k] = i
        for a in range(tables.after_at[i], tables.after_at[i + 1]):
            j = tables.after[a]
            missing[j] -= 1
            if missing[j] == 0:
                ready[ready_count] = j
                ready_count += 1
    return order


@kernel
def _found(tables, lists, starts, ends, best_starts, best_end, seed):  # type: ignore[no-untyped-def]
    np.random.seed(seed)
    count = len(tables.duration)
    free = np.empty((tables.horizon + 1, len(tables.full)), np.uint64)
    bucket = np.empty(tables.horizon + 3, np.int64)
    late = np.empty(count, np.int64)
    for p in range(len(lists)):
        order = _sampled(tables, 0.0 if p % 8 == 7 else 1.0 + p % 4)
        last, order = _justified(tables, order, free, bucket, starts[p], late)
        lists[p], ends[p] = order, last
        if last < best_end[0]:
            best_end[0] = last
            best_starts[:] = starts[p]


@kernel
def _crossed(mother, father, low, high, taken, child):  # type: ignore[no-untyped-def]
    """Mother's first `low`, then as many of the rest in father's order, then mother's rest."""
    count = len(mother)
    taken[:] = False
    for k in range(low):
        child[k] = mother[k]
        taken[mother[k]] = True
    k = low
    for f in range(count):
        if k >= high:
            break
        if not taken[father[f]]:
            child[k] = father[f]
            taken[father[f]] = True
            k += 1
    for m in range(count):
        if not taken[mother[m]]:
            child[k] = mother[m]
            k += 1


@kernel
def _mutated(tables, child, share):  # type: ignore[no-untyped-def]
    """Some activities moved to another place among those they may change places with."""
    count = len(child)
    for k in range(count):
        if np.random.random() >= share:
            continue
        i = child[k]
        first, last = k, k
        while first > 0 and not _follows(tables, i, child[first - 1]):
            first -= 1
        while last < count - 1 and not _follows(tables, child[last + 1], i):
            last += 1
        to = np.random.randint(max(first, k - 12), min(last, k + 12) + 1)
        if to < k:
            child[to + 1 : k + 1] = child[to:k].copy()
        else:
            child[k:to] = child[k + 1 : to + 1].copy()
        child[to] = i


@kernel
def _follows(tables, i, j):  # type: ignore[no-untyped-def]
    for a in range(tables.need_at[i], tables.need_at[i + 1]):
        if tables.need[a] == j:
            return True
    return False


@kernel
def _advance(tables, lists, starts, ends, best_starts, best_end, children, seed):  # type: ignore[no-untyped-def]
    np.random.seed(seed)
    count, size = len(tables.duration), len(lists)
    free = np.empty((tables.horizon + 1, len(tables.full)), np.uint64)
    bucket = np.empty(tables.horizon + 3, np.int64)
    late = np.empty(count, np.int64)
    start = np.empty(count, np.int64)
    taken = np.empty(count, np.bool_)
    child = np.empty(count, np.int64)
    for _ in range(children):
        a, b = np.random.randint(0, size), np.random.randint(0, size)
        c, d = np.random.randint(0, size), np.random.randint(0, size)
        mother = a if ends[a] <= ends[b] else b
        father = c if ends[c] <= ends[d] else d
        length = np.random.randint(count // 4, max(3 * count // 4, count // 4 + 1))
        low = np.random.randint(0, count - length + 1)
        _crossed(lists[mother], lists[father], low, low + length, taken, child)
        _mutated(tables, child, 3.0 / count)
        last, order = _justified(tables, child, free, bucket, start, late)
        if last < best_end[0]:
            best_end[0] = last
            best_starts[:] = start
        same = False
        for p in range(size):
            if ends[p] == last and (starts[p] == start).all():
                same = True
                break
        if same:
            continue
        worst = mother
        for _ in range(4):
            p = np.random.randint(0, size)
            if ends[p] > ends[worst]:
                worst = p
        if last <= ends[worst]:
            lists[worst], starts[worst], ends[worst] = order, start, last
