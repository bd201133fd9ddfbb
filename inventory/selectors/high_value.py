"""The high-value list of a release: what somebody put on it, and what its name tells."""

from collections.abc import Sequence

from inventory.may_not_ride import Verdict
from inventory.models import Item, Release
from inventory.selectors.cautions import item_cautions
from inventory.selectors.request_parts import item_labels


def item_is_high_value(*, item: Item) -> bool:
    """Whether a piece is signed for apart. Somebody's decision counts more than its name."""
    if item.high_value is not None:
        return item.high_value
    return any(caution.verdict is Verdict.OFFICE for caution in item_cautions(item=item))


def high_value_labels(*, release: Release, besides: Sequence[Release] = ()) -> frozenset[str]:
    """Those pieces, by their names in a load request; also what has left already."""
    return frozenset(
        label
        for item, label in item_labels(release=release, besides=besides, left=True)
        if item_is_high_value(item=item)
    )
