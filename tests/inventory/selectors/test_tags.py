"""Finding pieces by their tags."""

from collections.abc import Callable
from datetime import datetime
from uuid import uuid4

from inventory.models import Branch, Item, Shipment
from inventory.selectors import item_by_tag
from inventory.services import tag_replace


def test_001_of_every_lot(branch: Branch, make_item: Callable[..., Item]) -> None:
    other = Shipment.objects.create(
        branch=branch, reference="SHP-2", lot_number="7", label_color="red"
    )
    blue, red = make_item("001"), make_item("001", shipment=other)
    assert item_by_tag(branch=branch, number="001") == [blue, red]
    assert item_by_tag(branch=branch, number="001", lot_number="7") == [red]
    assert item_by_tag(branch=branch, number="001", label_color="blue") == [blue]
    assert item_by_tag(branch=branch, number="002") == []


def test_who_carries_it_now_comes_first(
    branch: Branch, make_item: Callable[..., Item], now: datetime
) -> None:
    before = make_item("001")
    tag_replace(item=before, number="500", event_uuid=uuid4(), now=now)
    holder = make_item("001")
    assert item_by_tag(branch=branch, number="001") == [holder, before]


def test_not_of_another_branch(make_item: Callable[..., Item]) -> None:
    make_item("001")
    south = Branch.objects.create(code="south", name="South")
    assert item_by_tag(branch=south, number="001") == []
