"""What comes back into the rest of a load when it was left out by mistake."""

from dataclasses import replace

import pytest

from jobs.folding import EventKind, FoldEvent, empty_state, fold
from jobs.folding.state import State
from jobs.replanning import goods_now, with_returned
from loading.planner.request import Item, LoadRequest, Vault
from loading.planner.search.warming import tiny_request

TAGS = ("001", "002", "003", "004")


def _listed() -> LoadRequest:
    """Three cartons in a vault, door side first, and one that stands loose."""
    tiny = tiny_request()
    items: tuple[Item, ...] = tuple(replace(tiny.items[0], tag=tag) for tag in TAGS)
    return replace(tiny, items=items, vaults=(Vault("V1", "A", 1, 1, TAGS[:3]),))


def _state(*events: tuple[EventKind, dict[str, object]]) -> State:
    return fold(
        [
            FoldEvent(uuid=f"r{number}", kind=kind, payload=payload, at_ms=number)
            for number, (kind, payload) in enumerate(events)
        ]
    )


def _without(*tags: str) -> LoadRequest:
    listed = _listed()
    items = tuple(item for item in listed.items if item.tag not in tags)
    inside = tuple(tag for tag in TAGS[:3] if tag not in tags)
    return replace(listed, items=items, vaults=(Vault("V1", "A", 1, 1, inside),))


@pytest.mark.parametrize("tag", TAGS)
def test_what_is_missing_no_more_comes_back_to_its_place_in_the_vault(tag: str) -> None:
    back = with_returned(_without(tag), empty_state(), _listed())
    assert {item.tag for item in back.items} == set(TAGS)
    assert back.vaults == _listed().vaults


def test_what_is_missing_still_stays_out() -> None:
    state = _state((EventKind.PIECE_MISSING, {"tag": "002"}))
    back = with_returned(_without("002"), state, _listed())
    assert goods_now(back, state) == _without("002")


def test_a_piece_with_another_tag_by_now_is_no_second_one() -> None:
    state = _state((EventKind.PIECE_RETAGGED, {"tag": "002", "number": "902"}))
    now = goods_now(_without("003"), state)
    back = with_returned(now, state, _listed())
    assert sorted(item.tag for item in back.items) == ["001", "003", "004", "902"]
    assert back.vaults[0].items == ("001", "902", "003")


def test_a_request_that_lacks_nothing_is_left_as_it_is() -> None:
    more = replace(_listed(), items=(*_listed().items, replace(_listed().items[0], tag="190")))
    assert with_returned(more, empty_state(), _listed()) is more
