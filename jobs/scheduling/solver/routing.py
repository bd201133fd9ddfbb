"""The most that one person's way through work can be worth in a time, compiled.

A state is a place and which of the work that ends there was done since coming: only that cannot
be done again without a way. So what is found is never too little.

Nothing here makes an array, see `kernel`.
"""

from typing import NamedTuple

from jobs.scheduling.solver.kernel import bare
from jobs.scheduling.solver.tables import Array


class States(NamedTuple):
    """What a state is worth by time, at best (-1: not reached), and how it was reached."""

    worth: Array  # (time, state)
    item: Array
    from_time: Array
    from_state: Array


@bare
def spread(worth, takes, bit, place_after, first, home, states):  # type: ignore[no-untyped-def]
    """Fill the states from `home` on with items of that worth.

    `takes` is how long each takes from each place (place, item): a unit or more. `bit` is that of
    its activity among those of its place, 0 where it is not remembered; `first` is the first state
    of each place.
    """
    times, count = states.worth.shape
    for t in range(times):
        for s in range(count):
            states.worth[t, s] = -1
    states.worth[0, first[home]] = 0
    states.item[0, first[home]] = -1
    for t in range(times):
        for p in range(len(first) - 1):
            for s in range(first[p], first[p + 1]):
                if states.worth[t, s] >= 0:
                    _go_on(worth, takes, bit, place_after, first, states, t, p, s)


@bare
def _go_on(worth, takes, bit, place_after, first, states, t, p, s):  # type: ignore[no-untyped-def]
    has, done = states.worth[t, s], s - first[p]
    times = len(states.worth)
    for i in range(len(worth)):
        then = t + takes[p, i]
        if worth[i] <= 0 or then >= times:
            continue
        to = first[place_after[i]] + bit[i]
        if place_after[i] == p:
            if done & bit[i] != 0:
                continue
            to += done
        if has + worth[i] > states.worth[then, to]:
            states.worth[then, to] = has + worth[i]
            states.item[then, to] = i
            states.from_time[then, to] = t
            states.from_state[then, to] = s
