"""The pages: importing a list, confirming kinds, and nobody else's business."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, override_settings

from inventory.models import Branch, Item, Shipment, User

Person = Callable[..., User]
IMPORT = "/inventory/north/import/"
LIST = b"tag,name\n1,sofa\n2,leather couch <b>\n"


@pytest.fixture
def page(person: Person) -> Callable[..., Client]:
    def signed_in(kind: str = "office", at: Branch | None = None) -> Client:
        client = Client()
        client.force_login(person(kind, at) if at else person(kind))
        return client

    return signed_in


def upload(client: Client, data: bytes, **words: str) -> Any:
    form = {"file": SimpleUploadedFile("list.csv", data), "shipment": "SHP-9"} | words
    return client.post(IMPORT, form, follow=True)


def test_a_list_is_imported_and_its_guess_confirmed(
    branch: Branch, page: Callable[..., Client]
) -> None:
    client = page()
    assert b"Import an inventory list" in client.get(IMPORT).content
    shown = upload(client, LIST).content.decode()
    assert "2 pieces imported" in shown
    assert "leather couch &lt;b&gt;" in shown
    guess = Item.objects.get(kind_confirmed=False)
    url = f"/inventory/north/items/{guess.pk}/kind/"
    assert "no such kind" in client.post(url, {"kind": "x y"}, follow=True).content.decode()
    confirmed = client.post(url, {"kind": "sofa-3-cushion"}, follow=True).content.decode()
    assert "Please confirm" not in confirmed
    assert Item.objects.get(pk=guess.pk).kind_confirmed
    assert "imported already" in upload(client, LIST).content.decode()


@pytest.mark.parametrize(
    ("data", "words", "said"),
    [
        (b"tag,name\nx,sofa\n", {}, "2 tag a tag is a number"),
        (b"", {}, "the file is empty"),
        (LIST, {"color": "#fff"}, "color a label colour is a word"),
        (LIST, {"shipment": ""}, "This field is required"),
    ],
)
def test_a_list_with_faults(
    branch: Branch, page: Callable[..., Client], data: bytes, words: dict[str, str], said: str
) -> None:
    answer = upload(page(), data, **words)
    shown = " ".join(re.sub("<[^>]*>", " ", answer.content.decode()).split())
    assert (answer.status_code, said in shown) == (422, True)
    assert not Shipment.objects.exists()


def test_looking_first_stores_nothing_and_importing_needs_no_second_file(
    branch: Branch, page: Callable[..., Client]
) -> None:
    client = page()
    shown = upload(client, LIST, look="1").content.decode()
    assert "2 pieces" in shown
    assert "leather couch &lt;b&gt;: sofa" in shown
    assert not Shipment.objects.exists()
    held = re.search('name="held" value="([^"]+)"', shown)
    assert held
    words = {"held": held[1], "shipment": "SHP-9", "lot": "", "color": ""}
    assert "2 pieces imported" in client.post(IMPORT, words, follow=True).content.decode()
    assert Item.objects.count() == 2


def test_a_held_file_that_somebody_changed_is_refused(
    branch: Branch, page: Callable[..., Client]
) -> None:
    answer = page().post(IMPORT, {"held": "e30:1:x", "shipment": "SHP-9"})
    assert (answer.status_code, b"choose the file again" in answer.content) == (422, True)
    assert not Shipment.objects.exists()


def test_too_large(branch: Branch, page: Callable[..., Client]) -> None:
    with override_settings(UPLOAD_LIMIT_BYTES=10):
        answer = upload(page(), LIST)
    assert (answer.status_code, b"larger than 10 bytes" in answer.content) == (422, True)


def test_who_may_see_and_do(
    branch: Branch, shipment: Shipment, page: Callable[..., Client]
) -> None:
    url = f"/inventory/north/shipments/{shipment.pk}/"
    assert Client().get(IMPORT).status_code == 302
    assert page("helper").get(IMPORT).status_code == 403
    assert page("helper").get(url).status_code == 200
    south = Branch.objects.create(code="south", name="South")
    stranger = page("office", south)
    for address in (IMPORT, url, url.replace("north", "south")):
        assert stranger.get(address).status_code == 404


def test_a_held_shipment_says_so(
    shipment: Shipment, page: Callable[..., Client], person: Person
) -> None:
    url = f"/inventory/north/shipments/{shipment.pk}/"
    assert b"office holds" not in page().get(url).content
    shipment.holds.create(kind="lien", placed_by=person())
    assert b"office holds" in page().get(url).content


def test_confirming_takes_a_post_and_the_right(
    make_item: Callable[..., Item], page: Callable[..., Client]
) -> None:
    item = make_item("001", kind_confirmed=False)
    url = f"/inventory/north/items/{item.pk}/kind/"
    assert page().get(url).status_code == 405
    assert page("helper").post(url, {"kind": "desk"}).status_code == 403
    item.refresh_from_db()
    assert not item.kind_confirmed
