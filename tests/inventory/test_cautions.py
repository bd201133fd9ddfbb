"""Cautions where people meet them: in the answer to an import and on the shipment's page."""

from collections.abc import Callable
from typing import Any

from rest_framework.test import APIClient

from inventory.models import Branch, Item, ItemKind, Shipment
from inventory.selectors import item_cautions, shipment_cautions
from tests.inventory.test_views import page, upload

__all__ = ["page"]

LIST = b"tag,name\n1,sofa\n2,propane tank <b>\n3,gasoline and bleach\n"
URL = "/api/imports/?branch=north&shipment=SHP-9"


def test_the_answer_to_an_import_names_each_piece_and_what_to_do(
    branch: Branch, signed_in: Callable[..., APIClient]
) -> None:
    told = signed_in().generic("POST", URL, LIST, content_type="text/csv").json()
    assert [(one["tag"], one["group"], one["verdict"]) for one in told["cautions"]] == [
        ("002", "gas", "never"),
        ("003", "fuel", "never"),
        ("003", "corrosive", "never"),
    ]
    assert told["cautions"][0]["what_to_do"].startswith("Do not load.")


def test_the_page_of_the_shipment_shows_them(branch: Branch, page: Callable[..., Any]) -> None:
    shown = upload(page(), LIST).content.decode()
    assert "Look at these before they ride" in shown
    assert "propane tank &lt;b&gt;: <strong>gas</strong>" in shown


def test_a_harmless_list_shows_nothing(branch: Branch, page: Callable[..., Any]) -> None:
    assert "before they ride" not in upload(page(), b"tag,name\n1,sofa\n").content.decode()


def test_a_confirmed_kind_tells_too(make_item: Callable[..., Item], shipment: Shipment) -> None:
    mower = ItemKind.objects.get(code="lawn-mower")
    item = make_item("007", name="the green one", kind=mower, kind_confirmed=True)
    assert [caution.group for caution in item_cautions(item=item)] == ["fuelled machine"]
    item.kind_confirmed = False
    assert item_cautions(item=item) == ()
    assert [piece.tag for piece in shipment_cautions(shipment=shipment)] == ["007"]
