"""A person's word on a guessed kind."""

from datetime import datetime

from inventory.models import Branch, Item, ItemKind
from inventory.services import ImportOrder, inventory_import, item_kind_confirm


def _imported(branch: Branch, now: datetime, line: str) -> Item:
    header = "tag,name,fragile,length_mm,width_mm,height_mm,weight_kg"
    data = f"{header}\n{line}\n".encode()
    inventory_import(order=ImportOrder(branch, "SHP-9"), data=data, now=now)
    return Item.objects.get(shipment__reference="SHP-9")


def test_the_guess_was_right(branch: Branch, now: datetime) -> None:
    item = _imported(branch, now, "1,leather couch,,,,,")
    assert item.kind is not None
    assert not item.kind_confirmed
    before = Item.objects.filter(pk=item.pk).values().get()
    item_kind_confirm(item=item, kind=item.kind)
    assert Item.objects.filter(pk=item.pk).values().get() == before | {"kind_confirmed": True}


def test_another_kind_brings_its_own_values(branch: Branch, now: datetime) -> None:
    item = _imported(branch, now, "1,leather couch,,,,,")
    desk = ItemKind.objects.get(code="desk")
    item = item_kind_confirm(item=item, kind=desk)
    assert (item.kind, item.size_mm, item.weight_g) == (desk, desk.size_mm, desk.weight_g)
    assert (item.bears_g, item.pads, item.openings) == (desk.bears_g, desk.pads, desk.openings)
    assert item.size_from == "kind"


def test_what_the_list_told_stays(branch: Branch, now: datetime) -> None:
    item = _imported(branch, now, "1,leather couch,yes,1800,900,800,55")
    desk = ItemKind.objects.get(code="desk")
    item = item_kind_confirm(item=item, kind=desk)
    assert (item.size_mm, item.weight_g, item.fragile) == ((1800, 900, 800), 55_000, True)
    assert (item.openings, item.bears_g) == ([], desk.bears_g)
