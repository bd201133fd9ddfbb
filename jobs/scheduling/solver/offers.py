"""Which of the next steps of many schedules are the best, compiled: see `abreast`.

An offer is judged by the bounds that start from it: the longest way through the needs, and for
each pool of people of the guide the time at which they could share what is left, which sees every
idle moment and every way. The greatest counts, and the others the more the closer they are.
"""

import numpy as np

from jobs.scheduling.solver.kernel import inner

COUNT, SEEN = range(2)
"""What the numbers of `offers.counts` are."""
GOES, BEGINS, ENDS, FIRST, SECOND, WHOSE, LONG, COST = range(8)
"""What the numbers of `pad.times` are: of the offer, of what could begin next, of the bounds."""
_FAR = 8.0
"""What is so many times as far from the greatest bound does not count."""
SOFT, NEEDS, CHANCE, SEED = range(4)
"""What the numbers of `ruler` are: how close to the greatest bound another counts; how much the
longest way through the needs counts beside a pool; how much chance adds, and of which kind."""


@inner
def judge(guide, lines, b, i, o, place, code, ready, offers, pad, ruler):  # type: ignore[no-untyped-def]
    """Put an offer among the best, unless there is the same already or it is not one of them."""
    code = _arrange(guide, lines, b, o, place, code, pad)
    if _is_seen(offers, code):
        return
    soft, full = ruler[SOFT], offers.counts[COUNT] == len(offers.worth)
    longest, cost = float(pad.times[LONG]), float(pad.times[COST])
    most = max(longest, _look_out(guide, lines, b, i, o, place, pad))
    if full and most + cost >= offers.worth[0]:
        return
    most = max(longest, _look_further(guide, lines, b, i, ready, pad))
    if full and most + cost >= offers.worth[0]:
        return
    total = ruler[NEEDS] * _close(longest - most, soft)
    for g in range(len(pad.outlook)):
        total += _close(pad.outlook[g] - most, soft)
    worth = most + cost + soft * np.log(total)
    if full and worth >= offers.worth[0]:
        return
    _see(offers, code)
    chance = mixed(code + int(ruler[SEED])) & 1023
    _put(offers, worth + ruler[CHANCE] * chance / 1024, b, i, o)


@inner
def _close(less, soft):  # type: ignore[no-untyped-def]
    """How much something counts that is so much less than the most."""
    return np.exp(less / soft) if less > -_FAR * soft else 0.0


@inner
def _arrange(guide, lines, b, o, place, code, pad):  # type: ignore[no-untyped-def]
    """From when on everybody is free and where; a code of it and of what has begun, never 0."""
    for p in range(len(pad.until)):
        pad.until[p] = float(max(pad.times[GOES], lines.free[b, p]))
        pad.place[p] = lines.where[b, p]
    for s in range(guide.seats[o]):
        p = pad.team[s]
        pad.until[p], pad.place[p] = pad.times[ENDS], place
    for p in range(len(pad.until)):
        there = int(pad.until[p]) * guide.height.shape[2] + pad.place[p]
        code += mixed(there * 64 + guide.kind[p] + 1)
    return code | 1


@inner
def _look_out(guide, lines, b, i, o, place, pad):  # type: ignore[no-untyped-def]
    """When all that is left could be paid for by each tariff, and what is left before a mark, with
    the time from there to the end; the latest of these."""
    most, tariffs, mark = 0.0, len(guide.share), guide.mark[i]
    for g in range(tariffs):
        total = pad.base[g]
        for p in range(len(pad.until)):
            total += guide.share[g, p] * pad.until[p]
        for s in range(guide.seats[o]):
            p = pad.team[s]
            total -= guide.height[g, p, place] - guide.height[g, p, lines.where[b, p]]
        pad.outlook[g] = total - guide.work[i, g]
        most = max(most, pad.outlook[g])
    for g in range(len(guide.marked)):
        # Without the activity, less is left before the marks that need it, and of all work.
        before = max(pad.before[g, mark] + guide.work[i, g], pad.behind[g, mark])
        pad.outlook[tariffs + g] = pad.outlook[g] + before
        most = max(most, pad.outlook[tariffs + g])
    return most


@inner
def _look_further(guide, lines, b, i, ready, pad):  # type: ignore[no-untyped-def]
    """The same with how long people have nothing to do after the offer.

    What cannot begin yet waits for something that has not begun, so for the shortest at least.
    """
    goes = float(pad.times[GOES])
    then = goes + guide.shortest[0]
    for k in range(len(pad.soonest)):
        pad.soonest[k], pad.earliest[k] = then, then
    for p in range(len(pad.until)):
        k = guide.kind[p]
        pad.earliest[k] = min(pad.earliest[k], pad.until[p])
    for e in range(ready):
        a = lines.ready[b, e]
        if a != i and pad.since[e] < then:
            for o in range(guide.option_at[a], guide.option_at[a + 1]):
                _may_begin(guide, o, max(goes, float(pad.since[e])), pad)
    most, tariffs = 0.0, len(guide.share)
    for g in range(tariffs):
        idle = 0.0
        for p in range(len(pad.until)):
            idle += guide.share[g, p] * max(0.0, pad.soonest[guide.kind[p]] - pad.until[p])
        pad.outlook[g] += idle
        most = max(most, pad.outlook[g])
        if g < len(guide.marked):
            pad.outlook[tariffs + g] += idle
            most = max(most, pad.outlook[tariffs + g])
    return most


@inner
def _may_begin(guide, o, since, pad):  # type: ignore[no-untyped-def]
    """Let all who have a seat in option o have something to do from when on it could begin."""
    begins = earliest(guide, o, since, pad)
    for s in range(guide.seats[o]):
        k = guide.seat[o, s]
        k = k if k >= 0 else guide.kind[-2 - k]
        pad.soonest[k] = min(pad.soonest[k], begins)


@inner
def earliest(guide, o, since, pad):  # type: ignore[no-untyped-def]
    """From when on somebody of each kind that option o asks for is free."""
    for s in range(guide.seats[o]):
        if guide.seat[o, s] >= 0:
            since = max(since, pad.earliest[guide.seat[o, s]])
    return since


@inner
def _is_seen(offers, code):  # type: ignore[no-untyped-def]
    """Whether an offer that leads to the same is among the best, or was."""
    size = len(offers.seen)
    k = (code >> 8) & (size - 1)
    while offers.seen[k] != 0:
        if offers.seen[k] == code:
            return True
        k = (k + 1) & (size - 1)
    return False


@inner
def _see(offers, code):  # type: ignore[no-untyped-def]
    size = len(offers.seen)
    if offers.counts[SEEN] < size // 2:
        k = (code >> 8) & (size - 1)
        while offers.seen[k] != 0:
            k = (k + 1) & (size - 1)
        offers.seen[k] = code
        offers.counts[SEEN] += 1


@inner
def mixed(number):  # type: ignore[no-untyped-def]
    """A number that looks like chance and is always the same."""
    mix = number * 0x1E3779B97F4A7C15
    mix ^= (mix >> 29) & 0x7FFFFFFFF
    mix *= 0x3F58476D1CE4E5B9
    return mix ^ ((mix >> 32) & 0xFFFFFFFF)


@inner
def _put(offers, worth, b, i, o):  # type: ignore[no-untyped-def]
    """Put an offer into the heap, whose first is the worst; that one goes if there are too many."""
    k, size = offers.counts[COUNT], len(offers.worth)
    if k < size:
        offers.counts[COUNT] += 1
        while k > 0 and offers.worth[(k - 1) // 2] < worth:
            _move(offers, (k - 1) // 2, k)
            k = (k - 1) // 2
    else:
        k = 0
        while 2 * k + 1 < size:
            below = 2 * k + 1
            if below + 1 < size and offers.worth[below + 1] > offers.worth[below]:
                below += 1
            if offers.worth[below] <= worth:
                break
            _move(offers, below, k)
            k = below
    offers.worth[k], offers.line[k], offers.activity[k], offers.option[k] = worth, b, i, o


@inner
def _move(offers, k, to):  # type: ignore[no-untyped-def]
    offers.worth[to], offers.line[to] = offers.worth[k], offers.line[k]
    offers.activity[to], offers.option[to] = offers.activity[k], offers.option[k]
