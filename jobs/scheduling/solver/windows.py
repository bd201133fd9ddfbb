"""Better schedules by looking at one stretch of time after another, compiled.

A change early in a schedule shifts everything after it, mostly for no reason, so the last end says
little about whether it was good. Here changes to what begins within a stretch of time are judged
at the end of that stretch, by when everything could end from there at best; the best is kept and
the next stretch begins within the first.
"""

import numpy as np

from jobs.scheduling.solver.events import (
    BEGUN,
    LATE,
    LATE_COST,
    NOT_DONE,
    NOW,
    READY,
    UNDER_WAY,
    cost_of,
    forward,
)
from jobs.scheduling.solver.kernel import bare

_FUSS = 0.5
"""What a choice must gain at least that is not left open."""


@bare
def look(tables, now, best, strict, before, desk, made, near, until, tries, heat, soft, seed):  # type: ignore[no-untyped-def]
    """Try changes to what begins from `before` to `until`; `now` ends as the best; its cost."""
    np.random.seed(seed)
    cost = _judged(tables, now, strict, before, desk, made, until, soft)
    count = _taken(before, desk, near)
    _copy_choices(now, best)
    least = cost
    extra = 0
    for k in range(tries):
        if count == 0:
            break
        i = near[np.random.randint(0, count)]
        j = near[np.random.randint(0, count)]
        key, wait, mode, pick = now.key[i], now.wait[i], now.mode[i], now.pick[i]
        other_key = now.key[j]
        _change(tables, now, i, j)
        then = _judged(tables, now, strict, before, desk, made, until, soft)
        fuss = _set(now, i) - int(wait) - int(pick >= 0) - int(mode >= 0)
        then += _FUSS * (extra + fuss)
        if then <= cost - heat * (1.0 - k / tries) * np.log(1.0 - np.random.random()):
            cost = then
            extra += fuss
            count = _taken(before, desk, near)
            if cost < least:
                least = cost
                _copy_choices(now, best)
            continue
        now.key[i], now.wait[i], now.mode[i], now.pick[i] = key, wait, mode, pick
        if j != i:
            now.key[j] = other_key
    _copy_choices(best, now)
    return least


@bare
def advance(tables, choices, strict, before, desk, made, until):  # type: ignore[no-untyped-def]
    """Settle what begins before `until`: `before` stands there afterwards."""
    _copy_desk(before, desk)
    _sort_ready(desk, choices.key)
    forward(tables, choices, strict, desk, made, until)
    _copy_desk(desk, before)


@bare
def _judged(tables, choices, strict, before, desk, made, until, soft):  # type: ignore[no-untyped-def]
    """When everything can end as far as can be told at `until`, with what is late by then."""
    _copy_desk(before, desk)
    _sort_ready(desk, choices.key)
    forward(tables, choices, strict, desk, made, until)
    clock = desk.clock
    if clock[NOW] < until:
        undone = len(made.mode) - clock[BEGUN]
        if undone == 0:
            return cost_of(tables, made)
        return float(NOT_DONE) * undone
    return _outlook(tables, desk, made, soft) + LATE_COST * clock[LATE]


@bare
def _outlook(tables, desk, made, soft):  # type: ignore[no-untyped-def]
    """The greatest of the bounds that start from here, and a little of those close to it."""
    t = desk.clock[NOW]
    longest = t
    for u in range(desk.clock[UNDER_WAY]):
        i = desk.under_way[u]
        longest = max(longest, made.ends[i])
        for a in range(tables.after_at[i], tables.after_at[i + 1]):
            longest = max(longest, made.ends[i] + tables.tail[tables.after[a]])
    for k in range(desk.clock[READY]):
        i = desk.ready[k]
        longest = max(longest, max(t, tables.release[i]) + tables.tail[i])
    most = float(longest)
    for g in range(len(desk.left)):
        left = float(desk.left[g])
        for u in range(desk.clock[UNDER_WAY]):
            i = desk.under_way[u]
            took = max(1, made.ends[i] - made.goes[i])
            left += tables.gauge[i, g] * (made.ends[i] - t) / took
        desk.outlook[g] = t + left / tables.gauge_people[g]
        most = max(most, desk.outlook[g])
    total = np.exp((longest - most) / soft)
    for g in range(len(desk.left)):
        total += np.exp((desk.outlook[g] - most) / soft)
    return most + soft * np.log(total)


@bare
def _taken(before, desk, near):  # type: ignore[no-untyped-def]
    """What has begun since `before`, and what could begin next; gives how many."""
    count = 0
    for b in range(before.clock[BEGUN], desk.clock[BEGUN]):
        near[count] = desk.begun[b]
        count += 1
    for k in range(desk.clock[READY]):
        near[count] = desk.ready[k]
        count += 1
    return count


@bare
def _change(tables, now, i, j):  # type: ignore[no-untyped-def]
    """One choice of activity i made anew, most often when it comes."""
    people = len(tables.home)
    ways = tables.mode_at[i + 1] - tables.mode_at[i]
    kind = np.random.random()
    if kind < 0.3:
        now.key[i], now.key[j] = now.key[j], now.key[i]
    elif kind < 0.6:
        now.key[i] = now.key[j] + (np.random.random() - 0.5)
    elif kind < 0.75:
        now.wait[i] = not now.wait[i]
    elif ways > 1 and kind < 0.85:
        now.mode[i] = np.random.randint(-1, ways)
    elif now.pick[i] >= 0 and np.random.random() < 0.4:
        now.pick[i] = -1
    elif people > 0:
        now.pick[i] = np.random.randint(0, 2 * people)


@bare
def _set(now, i):  # type: ignore[no-untyped-def]
    """How many choices of i are not left open."""
    return int(now.wait[i]) + int(now.pick[i] >= 0) + int(now.mode[i] >= 0)


@bare
def _sort_ready(desk, key):  # type: ignore[no-untyped-def]
    """What is ready by the keys as they are now."""
    for k in range(1, desk.clock[READY]):
        i = desk.ready[k]
        b = k
        while b > 0 and key[desk.ready[b - 1]] > key[i]:
            desk.ready[b] = desk.ready[b - 1]
            b -= 1
        desk.ready[b] = i


@bare
def _copy_choices(one, other):  # type: ignore[no-untyped-def]
    for i in range(len(one.key)):
        other.key[i], other.wait[i] = one.key[i], one.wait[i]
        other.mode[i], other.pick[i] = one.mode[i], one.pick[i]


@bare
def _copy_desk(one, other):  # type: ignore[no-untyped-def]
    for c in range(len(one.clock)):
        other.clock[c] = one.clock[c]
    for i in range(len(one.missing)):
        other.missing[i] = one.missing[i]
    for k in range(one.clock[READY]):
        other.ready[k] = one.ready[k]
    for u in range(one.clock[UNDER_WAY]):
        other.under_way[u] = one.under_way[u]
    for b in range(one.clock[BEGUN]):
        other.begun[b] = one.begun[b]
    for r in range(len(one.level)):
        other.level[r], other.next_turn[r] = one.level[r], one.next_turn[r]
    for h in range(len(one.opened)):
        other.opened[h] = one.opened[h]
    for g in range(len(one.left)):
        other.left[g] = one.left[g]
    for p in range(len(one.busy)):
        other.busy[p], other.kept_for[p] = one.busy[p], one.kept_for[p]
        other.where[p], other.away[p] = one.where[p], one.away[p]
