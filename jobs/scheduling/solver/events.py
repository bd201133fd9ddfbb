"""Schedules made forward in time, compiled: what is ready begins, the most urgent first.

At each moment the ready activities are looked at in the order of their keys, lowest first; each
begins if people and room are there. Three more choices belong to each activity: whether people
are kept waiting for it, in which of its modes it is done (-1: the first that can begin), and who
is picked for it or passed over.

Holds cannot lock each other out: whatever opens a hold before its turn leaves room for the
largest that should open earlier; if that is not enough, `strict` opens all in their order.

Nothing here makes an array: without the counting of references to arrays, a schedule takes a
fraction of the time. What is needed on the way is in `desk`.
"""

import numpy as np

from jobs.scheduling.solver.kernel import bare
from jobs.scheduling.solver.tables import BITS, FAR

NOT_DONE = 1 << 30
LATE_COST = 20.0
NOW, WAKE, READY, UNDER_WAY, BEGUN, LATE = range(6)
"""What the numbers of `desk.clock` are: times, counts, and what is late so far."""


@bare
def run(tables, choices, strict, desk, made):  # type: ignore[no-untyped-def]
    """Make a schedule; gives its cost: the last end, what is late or not done, and the mean end."""
    lay_out(tables, choices, desk, made)
    forward(tables, choices, strict, desk, made, FAR)
    return cost_of(tables, made)


@bare
def forward(tables, choices, strict, desk, made, until):  # type: ignore[no-untyped-def]
    """Go on from where the desk stands until nothing is left that ends, or to the time `until`.

    The desk then stands at a moment at which what ends has ended and nothing has begun yet.
    """
    people, clock = len(tables.home), desk.clock
    while clock[NOW] < until:
        t = clock[NOW]
        for p in range(people):
            desk.kept[p] = False
            while desk.away[p] < tables.away_at[p + 1] and tables.away[desk.away[p], 1] <= t:
                desk.away[p] += 1
        _begin_all(tables, choices, strict, desk, made, t)
        then = FAR
        for u in range(clock[UNDER_WAY]):
            then = min(then, made.ends[desk.under_way[u]])
        while clock[WAKE] < len(tables.wake) and tables.wake[clock[WAKE]] <= t:
            clock[WAKE] += 1
        if clock[WAKE] < len(tables.wake):
            then = min(then, tables.wake[clock[WAKE]])
        if then == FAR:
            break
        clock[NOW] = then
        _end_all(tables, choices, desk, made, then)


@bare
def _begin_all(tables, choices, strict, desk, made, t):  # type: ignore[no-untyped-def]
    idle, clock = _idle(tables, desk, t), desk.clock
    k = 0
    while k < clock[READY]:
        i = desk.ready[k]
        mode = -1
        if tables.release[i] <= t and (choices.wait[i] or tables.lead_bits[i] & idle != 0):
            mode = _begin(tables, choices, strict, made, i, t, desk)
        if mode < 0:
            k += 1
            continue
        idle = _idle(tables, desk, t)
        clock[READY] -= 1
        for later in range(k, clock[READY]):
            desk.ready[later] = desk.ready[later + 1]
        desk.under_way[clock[UNDER_WAY]] = i
        clock[UNDER_WAY] += 1
        desk.begun[clock[BEGUN]] = i
        clock[BEGUN] += 1
        clock[LATE] += max(0, made.ends[i] - tables.due[i])
        for g in range(len(desk.left)):
            desk.left[g] -= tables.gauge[i, g]


@bare
def _end_all(tables, choices, desk, made, t):  # type: ignore[no-untyped-def]
    u = 0
    while u < desk.clock[UNDER_WAY]:
        i = desk.under_way[u]
        if made.ends[i] > t:
            u += 1
            continue
        desk.clock[UNDER_WAY] -= 1
        desk.under_way[u] = desk.under_way[desk.clock[UNDER_WAY]]
        _end(tables, made, i, desk)
        for a in range(tables.after_at[i], tables.after_at[i + 1]):
            after = tables.after[a]
            desk.missing[after] -= 1
            if desk.missing[after] == 0:
                _put(desk, after, choices.key)


@bare
def lay_out(tables, choices, desk, made):  # type: ignore[no-untyped-def]
    """Everything as it is at first."""
    count = len(tables.release)
    for r in range(len(tables.held)):
        desk.level[r] = tables.held[r]
        desk.next_turn[r] = tables.turn_at[r]
    for h in range(len(tables.hold_amount)):
        desk.opened[h] = False
    for p in range(len(tables.home)):
        desk.busy[p] = False
        desk.kept_for[p] = 0
        desk.where[p] = tables.home[p]
        desk.away[p] = tables.away_at[p]
    for g in range(len(desk.left)):
        desk.left[g] = tables.gauge_left[g]
    for c in range(len(desk.clock)):
        desk.clock[c] = 0
    for i in range(count):
        made.mode[i] = -1
        for s in range(made.team.shape[1]):
            made.team[i, s] = -1
        for a in range(tables.team_at[i], tables.team_at[i + 1]):
            desk.kept_for[tables.team[a]] += 1
        desk.missing[i] = tables.need_at[i + 1] - tables.need_at[i]
        if desk.missing[i] == 0:
            _put(desk, i, choices.key)


@bare
def _idle(tables, desk, t):  # type: ignore[no-untyped-def]
    """A bit for each person who is there and has nothing to do, and one that is always set."""
    idle = 1 << BITS
    for p in range(len(desk.busy)):
        if not desk.busy[p] and not (
            desk.away[p] < tables.away_at[p + 1] and tables.away[desk.away[p], 0] <= t
        ):
            idle |= 1 << p % BITS
    return idle


@bare
def cost_of(tables, made):  # type: ignore[no-untyped-def]
    cost, last, total = 0.0, 0, 0.0
    for i in range(len(made.mode)):
        if made.mode[i] < 0:
            cost += NOT_DONE
            continue
        last = max(last, made.ends[i])
        total += made.ends[i]
        cost += LATE_COST * max(0, made.ends[i] - tables.due[i])
    return cost + last + 0.01 * total / max(1, len(made.mode))


@bare
def _put(desk, i, key):  # type: ignore[no-untyped-def]
    """Put i among what is ready, lowest key first."""
    k = desk.clock[READY]
    while k > 0 and key[desk.ready[k - 1]] > key[i]:
        desk.ready[k] = desk.ready[k - 1]
        k -= 1
    desk.ready[k] = i
    desk.clock[READY] += 1


@bare
def _begin(tables, choices, strict, made, i, t, desk):  # type: ignore[no-untyped-def]
    """Begin activity i now if it can; its mode, or -1."""
    first, last = tables.mode_at[i], tables.mode_at[i + 1]
    if choices.mode[i] >= 0:
        first = first + choices.mode[i]
        last = first + 1
    level = desk.level
    if not _room(tables, strict, i, level, desk.opened, desk.next_turn):
        return -1
    for mode in range(first, last):
        fits = True
        for r in range(len(level)):
            if level[r] + tables.amount[mode, r] > tables.capacity[r]:
                fits = False
        if not fits:
            continue
        begins = _team(tables, i, mode, choices.pick[i], t, desk)
        if begins >= 0:
            made.mode[i], made.goes[i], made.begins[i] = mode, t, begins
            made.ends[i] = begins + tables.duration[mode]
            for s in range(made.team.shape[1]):
                made.team[i, s] = -1
            for s in range(_seats(tables, i, mode)):
                made.team[i, s] = desk.team[s]
                desk.busy[desk.team[s]] = True
                if tables.team_at[i + 1] > tables.team_at[i]:
                    desk.kept_for[desk.team[s]] -= 1
            for r in range(len(level)):
                level[r] += tables.amount[mode, r]
            for a in range(tables.open_at[i], tables.open_at[i + 1]):
                h = tables.opens[a]
                level[tables.hold_resource[h]] += tables.hold_amount[h]
                desk.opened[h] = True
            return mode
    if choices.wait[i]:
        _keep(tables, first, choices.pick[i], desk)
    return -1


@bare
def _room(tables, strict, i, level, opened, next_turn):  # type: ignore[no-untyped-def]
    """Whether the holds that i opens have room, and leave it for those that come before."""
    for a in range(tables.open_at[i], tables.open_at[i + 1]):
        h = tables.opens[a]
        r = tables.hold_resource[h]
        while next_turn[r] < tables.turn_at[r + 1] and opened[tables.turns[next_turn[r]]]:
            next_turn[r] += 1
        largest = 0
        for b in range(next_turn[r], tables.turn_at[r] + tables.hold_turn[h]):
            if not opened[tables.turns[b]]:
                if strict:
                    return False
                largest = max(largest, tables.hold_amount[tables.turns[b]])
        if level[r] + tables.hold_amount[h] + largest > tables.capacity[r]:
            return False
    return True


@bare
def _seats(tables, i, mode):  # type: ignore[no-untyped-def]
    fixed = tables.team_at[i + 1] - tables.team_at[i]
    return fixed if fixed > 0 else tables.seat_at[mode + 1] - tables.seat_at[mode]


@bare
def _team(tables, i, mode, pick, t, desk):  # type: ignore[no-untyped-def]
    """Seat people who are there long enough; when the work begins, or -1."""
    busy, kept, kept_for, where = desk.busy, desk.kept, desk.kept_for, desk.where
    away, team = desk.away, desk.team
    people = len(busy)
    seats = tables.seat_at[mode + 1] - tables.seat_at[mode]
    fixed = tables.team_at[i + 1] - tables.team_at[i]
    if fixed > 0 and fixed != seats:
        return -1
    begins = t
    for s in range(seats):
        best, best_rank = -1, FAR
        for p in range(people):
            if busy[p] or (away[p] < tables.away_at[p + 1] and tables.away[away[p], 0] <= t):
                continue
            rank = tables.rank[tables.seat_at[mode] + s, p]
            if fixed > 0:
                rank = 0 if tables.team[tables.team_at[i] + s] == p else -1
            elif kept[p] or kept_for[p] > 0:
                continue
            if rank < 0 or p == pick - people:
                continue
            walk = tables.travel[where[p], tables.place[i]]
            if (
                away[p] < tables.away_at[p + 1]
                and tables.away[away[p], 0] < t + walk + tables.duration[mode]
            ):
                continue
            value = -1 if p == pick else rank * 100_000 + walk
            if value < best_rank:
                taken = False
                for q in range(s):
                    taken = taken or team[q] == p
                if not taken:
                    best, best_rank = p, value
        if best < 0:
            return -1
        team[s] = best
        begins = max(begins, t + tables.travel[where[best], tables.place[i]])
    for s in range(seats):
        p = team[s]
        if (
            away[p] < tables.away_at[p + 1]
            and tables.away[away[p], 0] < begins + tables.duration[mode]
        ):
            return -1
    return begins


@bare
def _keep(tables, mode, pick, desk):  # type: ignore[no-untyped-def]
    """Let the idle people who suit best wait for an activity that cannot begin yet."""
    for s in range(tables.seat_at[mode], tables.seat_at[mode + 1]):
        best, best_rank = -1, FAR
        for p in range(len(desk.busy)):
            rank = tables.rank[s, p]
            if desk.busy[p] or desk.kept[p] or rank < 0 or p == pick - len(desk.busy):
                continue
            rank = -1 if p == pick else rank
            if rank < best_rank:
                best, best_rank = p, rank
        if best >= 0:
            desk.kept[best] = True


@bare
def _end(tables, made, i, desk):  # type: ignore[no-untyped-def]
    for r in range(len(desk.level)):
        desk.level[r] -= tables.amount[made.mode[i], r]
    for a in range(tables.close_at[i], tables.close_at[i + 1]):
        h = tables.closes[a]
        desk.level[tables.hold_resource[h]] -= tables.hold_amount[h]
    for s in range(made.team.shape[1]):
        p = made.team[i, s]
        if p >= 0:
            desk.busy[p] = False
            desk.where[p] = tables.place_after[i]


@bare
def anneal(tables, now, best, strict, desk, made, best_made, costs, tries, heat, seed):  # type: ignore[no-untyped-def]
    """Try changes one after another; `costs` are those of `now` and of `best`, kept up to date.

    Worse ones are accepted by the rule of simulated annealing at the temperature `heat`.
    """
    np.random.seed(seed)
    count = len(tables.release)
    for _ in range(tries):
        i = np.random.randint(0, count)
        kind = np.random.random()
        key, wait, mode = now.key[i], now.wait[i], now.mode[i]
        j = -1
        if kind < 0.55:
            j = np.random.randint(0, count)
            other_key = now.key[j]
            if np.random.random() < 0.5:
                now.key[i] = now.key[j] + (np.random.random() - 0.5)
                j = -1
            else:
                now.key[i], now.key[j] = now.key[j], now.key[i]
        elif kind < 0.85:
            now.key[i] += np.random.normal() * 0.03 * (costs[0] if costs[0] < NOT_DONE else 1e4)
        elif kind < 0.93:
            now.wait[i] = not now.wait[i]
        else:
            ways = tables.mode_at[i + 1] - tables.mode_at[i]
            if ways < 2:
                continue
            now.mode[i] = np.random.randint(-1, ways)
        cost = run(tables, now, strict, desk, made)
        if cost <= costs[0] or np.random.random() < np.exp((costs[0] - cost) / heat):
            costs[0] = cost
            if cost < costs[1]:
                costs[1] = cost
                for a in range(count):
                    best.key[a] = now.key[a]
                    best.wait[a] = now.wait[a]
                    best.mode[a] = now.mode[a]
                    best_made.mode[a] = made.mode[a]
                    best_made.goes[a] = made.goes[a]
                    best_made.begins[a] = made.begins[a]
                    best_made.ends[a] = made.ends[a]
                    for s in range(made.team.shape[1]):
                        best_made.team[a, s] = made.team[a, s]
            continue
        now.key[i], now.wait[i], now.mode[i] = key, wait, mode
        if j >= 0:
            now.key[j] = other_key
