"""Many schedules made side by side, compiled: activity by activity, and the most promising go on.

Each schedule under way is a line of `lines`: what has begun, who is free from when on and where,
and what could begin next. An offer is a line with one more activity, begun by certain people as
early as can be, but not before the last that began. At each step all offers of all lines are
looked at, and as many as there are lines go on: those from which everything could end earliest.

What could begin is ruled as in `events`: nobody who is kept for some work does other work before,
and what opens a hold before its turn leaves room for the largest that should open earlier.
Nothing here makes an array, as there.
"""

from jobs.scheduling.solver.events import LATE_COST
from jobs.scheduling.solver.kernel import bare, inner
from jobs.scheduling.solver.offers import (
    BEGINS,
    COST,
    COUNT,
    ENDS,
    FIRST,
    GOES,
    LONG,
    SECOND,
    SEEN,
    WHOSE,
    earliest,
    judge,
    mixed,
)
from jobs.scheduling.solver.tables import BITS, FAR

NEVER = -1e15
LAST, LONGEST, READY, OPEN, UNDER_WAY, LATE, NEXT, CODE = range(8)
"""What the numbers of `lines.clock` are: times, counts, what is late, and a code of what began."""


@bare
def lay_out(tables, guide, lines):  # type: ignore[no-untyped-def]
    """One line on which nothing has begun."""
    clock = lines.clock
    for c in range(clock.shape[1]):
        clock[0, c] = 0
    for i in range(len(tables.release)):
        if tables.need_at[i] == tables.need_at[i + 1]:
            lines.ready[0, clock[0, READY]] = i
            clock[0, READY] += 1
    for w in range(lines.begun.shape[1]):
        lines.begun[0, w] = 0
    for p in range(len(tables.home)):
        lines.free[0, p], lines.where[0, p] = 0, tables.home[p]
        lines.kept_for[0, p] = guide.kept_for[p]
    for h in range(len(guide.opens)):
        if guide.opens[h] < 0:
            lines.open[0, clock[0, OPEN]] = h
            clock[0, OPEN] += 1
    for r in range(len(tables.capacity)):
        lines.next_turn[0, r] = tables.turn_at[r]
    for g in range(len(guide.share)):
        lines.left[0, g] = guide.total[g]
    for g in range(len(guide.marked)):
        for m in range(len(guide.mark_tail)):
            lines.before[0, g, m] = guide.marked[g, m]


@bare
def go_on(tables, guide, lines, others, count, offers, pad, trace, ruler):  # type: ignore[no-untyped-def]
    """As many activities more as `trace` has rows, from lines to others and back by turns.

    From how many lines it begins and with how many it ends; none where nothing could begin.
    """
    for n in range(len(trace)):
        if n % 2 == 0:
            count = _step(tables, guide, lines, count, others, offers, pad, trace[n], ruler)
        else:
            count = _step(tables, guide, others, count, lines, offers, pad, trace[n], ruler)
    return count


@bare
def _step(tables, guide, lines, count, after, offers, pad, trace, ruler):  # type: ignore[no-untyped-def]
    """From so many lines to those `after` the next activity; how many these are."""
    offers.counts[COUNT], offers.counts[SEEN] = 0, 0
    for k in range(len(offers.seen)):
        offers.seen[k] = 0
    for b in range(count):
        _offer_all(tables, guide, lines, b, offers, pad, ruler)
    for k in range(offers.counts[COUNT]):
        b, i, o = offers.line[k], offers.activity[k], offers.option[k]
        trace[k, 0], trace[k, 1], trace[k, 2] = b, i, o
        take(tables, guide, lines, b, i, o, after, k, pad)
    return offers.counts[COUNT]


@bare
def take(tables, guide, lines, b, i, o, after, k, pad):  # type: ignore[no-untyped-def]
    """Line k of `after` becomes line b with activity i begun in the way of option o."""
    _seat(tables, guide, lines, b, i, o, _since(tables, guide, lines, b, i), pad)
    goes, ends, clock = pad.times[GOES], pad.times[ENDS], after.clock
    _copy(guide, lines, b, after, k, i, goes)
    after.begun[k, i // BITS] |= 1 << i % BITS
    u = clock[k, UNDER_WAY]
    after.under_way[k, u], after.ends[k, u], after.mode[k, u] = i, ends, guide.mode[o]
    clock[k, UNDER_WAY] += 1
    clock[k, LAST], clock[k, LONGEST] = goes, max(clock[k, LONGEST], ends)
    clock[k, LATE] += max(0, ends - tables.due[i])
    clock[k, CODE] ^= mixed(i + 1)
    for s in range(guide.seats[o]):
        p = pad.team[s]
        after.free[k, p], after.where[k, p] = ends, tables.place_after[i]
        if guide.seat[o, s] < -1:
            after.kept_for[k, p] -= 1
    _follow(tables, guide, after, k, i, ends)


@inner
def _follow(tables, guide, lines, b, i, ends):  # type: ignore[no-untyped-def]
    """What i opens and what could begin after it."""
    clock = lines.clock
    for a in range(tables.after_at[i], tables.after_at[i + 1]):
        follower = tables.after[a]
        clock[b, LONGEST] = max(clock[b, LONGEST], ends + guide.tail[follower])
        met = True
        for n in range(tables.need_at[follower], tables.need_at[follower + 1]):
            met = met and _has_begun(lines, b, guide.need[n])
        if met:
            lines.ready[b, clock[b, READY]] = follower
            clock[b, READY] += 1
    for a in range(tables.open_at[i], tables.open_at[i + 1]):
        lines.open[b, clock[b, OPEN]] = tables.opens[a]
        clock[b, OPEN] += 1


@bare
def _copy(guide, lines, b, after, k, i, now):  # type: ignore[no-untyped-def]
    """Line b as it is at the time `now`, without i among what could begin."""
    for c in range(lines.clock.shape[1]):
        after.clock[k, c] = lines.clock[b, c]
    for w in range(lines.begun.shape[1]):
        after.begun[k, w] = lines.begun[b, w]
    for p in range(lines.free.shape[1]):
        after.free[k, p], after.where[k, p] = lines.free[b, p], lines.where[b, p]
        after.kept_for[k, p] = lines.kept_for[b, p]
    for r in range(lines.next_turn.shape[1]):
        after.next_turn[k, r] = lines.next_turn[b, r]
    for g in range(lines.left.shape[1]):
        after.left[k, g] = lines.left[b, g] - guide.work[i, g]
    for g in range(lines.before.shape[1]):
        for m in range(lines.before.shape[2]):
            after.before[k, g, m] = lines.before[b, g, m]
        for m in range(guide.mark[i], lines.before.shape[2]):
            after.before[k, g, m] -= guide.work[i, g]
    there = 0
    for e in range(lines.clock[b, READY]):
        after.ready[k, there] = lines.ready[b, e]
        there += lines.ready[b, e] != i
    after.clock[k, READY] = there
    there = 0
    for e in range(lines.clock[b, OPEN]):
        ends = _ends(lines, b, guide.closes[lines.open[b, e]])
        after.open[k, there] = lines.open[b, e]
        there += ends < 0 or ends > now
    after.clock[k, OPEN] = there
    there = 0
    for u in range(lines.clock[b, UNDER_WAY]):
        after.under_way[k, there], after.ends[k, there] = lines.under_way[b, u], lines.ends[b, u]
        after.mode[k, there] = lines.mode[b, u]
        there += lines.ends[b, u] > now
    after.clock[k, UNDER_WAY] = there


@inner
def _has_begun(lines, b, i):  # type: ignore[no-untyped-def]
    return lines.begun[b, i // BITS] >> i % BITS & 1 != 0


@inner
def _ends(lines, b, i):  # type: ignore[no-untyped-def]
    """When i ends: -1 where it has not begun, 0 where it ended before the last that began."""
    if not _has_begun(lines, b, i):
        return -1
    for u in range(lines.clock[b, UNDER_WAY]):
        if lines.under_way[b, u] == i:
            return lines.ends[b, u]
    return 0


@bare
def _offer_all(tables, guide, lines, b, offers, pad, ruler):  # type: ignore[no-untyped-def]
    """Put what could begin next on line b among the offers."""
    _look_ahead(tables, guide, lines, b, pad)
    for e in range(lines.clock[b, READY]):
        if pad.since[e] >= FAR:
            continue
        i = lines.ready[b, e]
        for o in range(guide.option_at[i], guide.option_at[i + 1]):
            if _seat(tables, guide, lines, b, i, o, pad.since[e], pad):
                _reckon(tables, guide, lines, b, i, pad)
                code = lines.clock[b, CODE] ^ mixed(i + 1)
                place, ready = tables.place_after[i], lines.clock[b, READY]
                judge(guide, lines, b, i, o, place, code, ready, offers, pad, ruler)


@bare
def _look_ahead(tables, guide, lines, b, pad):  # type: ignore[no-untyped-def]
    """From when on each activity could begin; how late the end is at least for the sake of each."""
    clock, times = lines.clock, pad.times
    for k in range(len(pad.earliest)):
        pad.earliest[k] = FAR
    for p in range(len(tables.home)):
        free = float(lines.free[b, p])
        pad.earliest[guide.kind[p]] = min(pad.earliest[guide.kind[p]], free)
    times[FIRST], times[SECOND], times[WHOSE] = 0, 0, -1
    for e in range(clock[b, READY]):
        i = lines.ready[b, e]
        pad.since[e] = _since(tables, guide, lines, b, i)
        then = float(FAR)
        for o in range(guide.option_at[i], guide.option_at[i + 1]):
            then = min(then, earliest(guide, o, float(pad.since[e]), pad))
        if pad.since[e] >= FAR or then >= FAR:
            continue
        then = int(then) + guide.tail[i]
        if then > times[FIRST]:
            times[SECOND], times[FIRST], times[WHOSE] = times[FIRST], then, i
        else:
            times[SECOND] = max(times[SECOND], then)
    for g in range(len(guide.share)):
        pad.base[g] = lines.left[b, g]
        for p in range(len(tables.home)):
            pad.base[g] -= guide.height[g, p, lines.where[b, p]]
    for g in range(len(guide.marked)):
        _sum_up(guide, lines, b, g, pad)


@inner
def _sum_up(guide, lines, b, g, pad):  # type: ignore[no-untyped-def]
    """What is left before a mark, and the time from there to the end, less than all that is left.

    The most for the marks before each and for the others. What is left must be more than the
    longest work takes, or who is busy longer would count too much.
    """
    last, left = len(guide.mark_tail), lines.left[b, g]
    first, most = last, NEVER
    while first > 0 and lines.before[b, g, first - 1] >= guide.longest[0]:
        first -= 1
    for m in range(last):
        pad.before[g, m] = most
        if m >= first:
            most = max(most, lines.before[b, g, m] + guide.mark_tail[m] - left)
    pad.before[g, last], most = most, NEVER
    for m in range(last, -1, -1):
        if first <= m < last:
            most = max(most, lines.before[b, g, m] + guide.mark_tail[m] - left)
        pad.behind[g, m] = most


@inner
def _reckon(tables, guide, lines, b, i, pad):  # type: ignore[no-untyped-def]
    """The longest way through the needs from line b with activity i begun, and what is late."""
    goes, ends = pad.times[GOES], pad.times[ENDS]
    longest = max(lines.clock[b, LONGEST], ends)
    for a in range(tables.after_at[i], tables.after_at[i + 1]):
        longest = max(longest, ends + guide.tail[tables.after[a]])
    n = lines.clock[b, NEXT]
    while n < len(guide.by_tail) and _has_begun(lines, b, guide.by_tail[n]):
        n += 1
    lines.clock[b, NEXT] = n
    while n < len(guide.by_tail) and (
        guide.by_tail[n] == i or _has_begun(lines, b, guide.by_tail[n])
    ):
        n += 1
    if n < len(guide.by_tail):
        longest = max(longest, goes + guide.tail[guide.by_tail[n]])
    others = pad.times[SECOND] if pad.times[WHOSE] == i else pad.times[FIRST]
    pad.times[LONG] = max(longest, others)
    late = lines.clock[b, LATE] + max(0, ends - tables.due[i])
    pad.times[COST] = int(LATE_COST) * late


@inner
def _since(tables, guide, lines, b, i):  # type: ignore[no-untyped-def]
    """From when on i could begin if there were people; FAR where that cannot be told yet."""
    since = max(lines.clock[b, LAST], tables.release[i])
    for n in range(tables.need_at[i], tables.need_at[i + 1]):
        since = max(since, _ends(lines, b, guide.need[n]))
    for r in range(len(tables.capacity)):
        if guide.takes[i, r] > 0 and since < FAR:
            needed = guide.takes[i, r] + _reserved(tables, guide, lines, b, i, r)
            since = _room(tables, guide, lines, b, r, needed, since)
    return since


@inner
def _reserved(tables, guide, lines, b, i, r):  # type: ignore[no-untyped-def]
    """Room for the largest hold that comes before those of i and is not open yet."""
    largest = 0
    for a in range(tables.open_at[i], tables.open_at[i + 1]):
        h = tables.opens[a]
        if tables.hold_resource[h] != r:
            continue
        k = lines.next_turn[b, r]
        while k < tables.turn_at[r + 1] and _is_open(guide, lines, b, tables.turns[k]):
            k += 1
        lines.next_turn[b, r] = k
        while k < tables.turn_at[r] + tables.hold_turn[h]:
            if not _is_open(guide, lines, b, tables.turns[k]):
                largest = max(largest, tables.hold_amount[tables.turns[k]])
            k += 1
    return largest


@inner
def _is_open(guide, lines, b, h):  # type: ignore[no-untyped-def]
    return guide.opens[h] < 0 or _has_begun(lines, b, guide.opens[h])


@inner
def _room(tables, guide, lines, b, r, needed, since):  # type: ignore[no-untyped-def]
    """The first time from `since` on at which so much of the resource is free."""
    while since < FAR:
        level, then = 0, FAR
        for e in range(lines.clock[b, OPEN]):
            h = lines.open[b, e]
            ends = _ends(lines, b, guide.closes[h])
            if tables.hold_resource[h] == r and (ends < 0 or ends > since):
                level += tables.hold_amount[h]
                then = min(then, ends) if ends >= 0 else then
        for u in range(lines.clock[b, UNDER_WAY]):
            amount = tables.amount[lines.mode[b, u], r]
            if amount > 0 and lines.ends[b, u] > since:
                level += amount
                then = min(then, lines.ends[b, u])
        if level + needed <= tables.capacity[r]:
            break
        since = then
    return since


@inner
def _seat(tables, guide, lines, b, i, o, since, pad):  # type: ignore[no-untyped-def]
    """Seat whoever can be there first; when they go, begin and end. Whether they ever can."""
    goes, duration, walk = since, tables.duration[guide.mode[o]], 0
    for s in range(guide.seats[o]):
        p = _first_there(tables, guide, lines, b, i, o, s, since, pad)
        if p < 0:
            return False
        pad.team[s] = p
        goes = max(goes, lines.free[b, p])
        walk = max(walk, tables.travel[lines.where[b, p], tables.place[i]])
    away = guide.seats[o] > 0
    while away and goes < FAR:
        away = False
        for s in range(guide.seats[o]):
            there = _there(tables, pad.team[s], goes, walk + duration)
            away = away or there > goes
            goes = there
    times = pad.times
    times[GOES], times[BEGINS], times[ENDS] = goes, goes + walk, goes + walk + duration
    return goes < FAR


@inner
def _first_there(tables, guide, lines, b, i, o, s, since, pad):  # type: ignore[no-untyped-def]
    """Who can be there first for a seat; -1 for nobody."""
    best, best_value = -1, FAR * 1000
    for p in range(len(tables.home)):
        if not _may(guide, lines, b, o, s, p, pad):
            continue
        way = tables.travel[lines.where[b, p], tables.place[i]]
        takes = way + tables.duration[guide.mode[o]]
        there = _there(tables, p, max(since, lines.free[b, p]), takes)
        if there >= FAR:
            continue
        # Of those who come at the same time, whoever has the lowest rank, then idled least.
        idle = min(7, (there - lines.free[b, p]) // 64)
        value = (there + way) * 1000 + guide.rank[o, s, p] * 8 + idle
        if value < best_value:
            best, best_value = p, value
    return best


@inner
def _may(guide, lines, b, o, s, p, pad):  # type: ignore[no-untyped-def]
    """Whether somebody may take the seat and has no other one."""
    if guide.seat[o, s] < -1:
        return p == -2 - guide.seat[o, s]
    if guide.kind[p] != guide.seat[o, s] or lines.kept_for[b, p] > 0:
        return False
    for q in range(s):
        if pad.team[q] == p:
            return False
    return True


@inner
def _there(tables, p, since, takes):  # type: ignore[no-untyped-def]
    """The first time from `since` on from which somebody is there for so long."""
    for a in range(tables.away_at[p], tables.away_at[p + 1]):
        if tables.away[a, 0] < since + takes and since < tables.away[a, 1]:
            since = tables.away[a, 1]
    return since
