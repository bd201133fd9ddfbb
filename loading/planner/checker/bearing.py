"""R5: what a piece carries is at most what it bears; a fragile piece carries nothing."""

from collections.abc import Iterator

from loading.planner.checker.footing import DECK, Contact, Footing, shared_out
from loading.planner.checker.layout import Layout
from loading.planner.checker.report import Broken

SLACK_G = 50


def resting(layout: Layout) -> dict[str, list[Contact]]:
    """For each piece what it rests on, through fills of any number."""
    footing = Footing(layout)
    height = layout.request.truck.interior_mm[2]
    return {tag: footing.solid(body, fills_mm=height) for tag, body in layout.pieces.items()}


def resting_pieces(
    layout: Layout, contacts: dict[str, list[Contact]]
) -> dict[str, tuple[str, ...]]:
    """For each piece the tags of the pieces that it rests on."""
    pieces = {body.index: tag for tag, body in layout.pieces.items()}
    return {
        tag: tuple({pieces[c.under]: None for c in found if c.under in pieces})
        for tag, found in contacts.items()
    }


def broken(layout: Layout, contacts: dict[str, list[Contact]]) -> Iterator[Broken]:
    carried = carried_g(layout, contacts)
    for tag in layout.pieces:
        item = layout.item(tag)
        bears = 0 if item.fragile else item.bears_g
        # 1 % tolerance on what it bears
        if 100 * (carried[tag] - SLACK_G) > 101 * bears:
            kg = carried[tag] / 1000
            message = f"{tag} ({item.name}) carries {kg:.1f} kg, bears {bears / 1000:g} kg"
            yield Broken("R5", tag, message, kg)


def carried_g(layout: Layout, contacts: dict[str, list[Contact]]) -> dict[str, float]:
    """What rests on each piece in all: every load is shared out by contact area, top down."""
    on = [0.0] * len(layout.bodies)
    for tag, body in sorted(layout.pieces.items(), key=lambda entry: -entry[1].at[2]):
        load = layout.item(tag).weight_g + on[body.index]
        for under, share in shared_out(contacts[tag]):
            if under != DECK:
                on[under] += load * share
    return {tag: on[body.index] for tag, body in layout.pieces.items()}
