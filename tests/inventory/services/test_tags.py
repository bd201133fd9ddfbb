"""Replacing a tag: by an event, once, and the old one still leads to the piece."""

from collections.abc import Callable
from datetime import datetime
from uuid import uuid4

import pytest

from inventory.errors import (
    InventoryError,
    TagMissingError,
    TagTakenError,
    UuidReusedError,
    WriteRefusedError,
)
from inventory.models import Branch, Item, ItemTag
from inventory.selectors import item_by_tag
from inventory.services import tag_replace

MakeItem = Callable[..., Item]


def test_the_old_tag_stays_findable(branch: Branch, make_item: MakeItem, now: datetime) -> None:
    item = make_item("017")
    event = uuid4()
    new = tag_replace(item=item, number="418", event_uuid=event, now=now)
    assert str(new) == "4411 blue 418"
    old = ItemTag.objects.get(number="017")
    assert (old.replaced_at, old.replaced_by_event) == (now, event)
    for number in ("017", "418"):
        assert item_by_tag(branch=branch, number=number) == [item]
    assert Item.objects.get(pk=item.pk).tag == "418"


def test_another_lot_and_color(make_item: MakeItem, now: datetime) -> None:
    new = tag_replace(
        item=make_item("017"),
        number="1",
        lot_number="77",
        label_color="Red",
        event_uuid=uuid4(),
        now=now,
    )
    assert str(new) == "77 red 001"


def test_the_same_event_twice(make_item: MakeItem, now: datetime) -> None:
    item, event = make_item("017"), uuid4()
    first = tag_replace(item=item, number="418", event_uuid=event, now=now)
    assert tag_replace(item=item, number="418", event_uuid=event, now=now) == first
    assert item.tags.count() == 2


def test_the_same_event_late_after_another(make_item: MakeItem, now: datetime) -> None:
    item, event = make_item("017"), uuid4()
    first = tag_replace(item=item, number="418", event_uuid=event, now=now)
    tag_replace(item=item, number="419", event_uuid=uuid4(), now=now)
    assert tag_replace(item=item, number="418", event_uuid=event, now=now) == first
    assert Item.objects.get(pk=item.pk).tag == "419"


def test_the_same_event_with_other_content(make_item: MakeItem, now: datetime) -> None:
    item, other, event = make_item("017"), make_item("018"), uuid4()
    tag_replace(item=item, number="418", event_uuid=event, now=now)
    for piece, number in ((item, "419"), (other, "418")):
        with pytest.raises(UuidReusedError):
            tag_replace(item=piece, number=number, event_uuid=event, now=now)


@pytest.mark.parametrize(
    ("told", "error"),
    [
        ({"number": "018"}, TagTakenError),
        ({"number": "01a"}, WriteRefusedError),
        ({"number": "020", "label_color": "#fff"}, WriteRefusedError),
    ],
)
def test_a_tag_that_cannot_be(
    make_item: MakeItem, now: datetime, told: dict[str, str], error: type[InventoryError]
) -> None:
    make_item("018")
    item = make_item("017")
    with pytest.raises(error):
        tag_replace(item=item, event_uuid=uuid4(), now=now, **told)
    assert Item.objects.get(pk=item.pk).tag == "017"


def test_a_piece_without_a_tag(make_item: MakeItem, now: datetime) -> None:
    with pytest.raises(TagMissingError):
        tag_replace(item=make_item(), number="001", event_uuid=uuid4(), now=now)
