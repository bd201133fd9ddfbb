"""R11: no piece of a later stop bars or burdens an earlier one. R13: the same for `last_on`."""

from collections.abc import Callable, Iterator

import numpy as np

from loading.planner.checker.layout import Layout
from loading.planner.checker.report import Broken
from loading.planner.request import Item

Before = Callable[[Item, Item], bool]
RestsOn = dict[str, tuple[str, ...]]


def broken(layout: Layout, rests_on: RestsOn) -> Iterator[Broken]:
    """R11."""
    return _broken("R11", "later stop", layout, rests_on, lambda a, b: a.stop < b.stop)


def last_on_broken(layout: Layout, rests_on: RestsOn) -> Iterator[Broken]:
    """R13: within a stop, nothing stands before or on a piece that is wanted first at the door."""
    return _broken(
        "R13",
        "not last on",
        layout,
        rests_on,
        lambda a, b: a.stop == b.stop and a.last_on and not b.last_on,
    )


def _broken(
    rule: str, other_is: str, layout: Layout, rests_on: RestsOn, goes_before: Before
) -> Iterator[Broken]:
    tags = {body.index: tag for tag, body in layout.pieces.items()}
    for i, j in np.argwhere(layout.barring).tolist():
        if i in tags and j in tags and goes_before(layout.item(tags[i]), layout.item(tags[j])):
            message = f"{tags[i]} is behind {tags[j]} ({other_is})"
            yield Broken(rule, f"{tags[i]} behind {tags[j]}", message)
    for upper, under in rests_on.items():
        for lower in under:
            if goes_before(layout.item(lower), layout.item(upper)):
                message = f"{upper} ({other_is}) rests on {lower}"
                yield Broken(rule, f"{upper} on {lower}", message)
