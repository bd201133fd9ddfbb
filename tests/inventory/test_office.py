"""The office's pages: releases, holds, search, labels, language and units."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.labels.codes import tag_code, vault_code
from inventory.selectors import request_parts

if TYPE_CHECKING:
    from inventory.models import Branch, Item, Shipment, User, Vault

Person = Callable[..., "User"]
KEY = UUID(int=7)
TAG = tag_code(lot_number="4411", label_color="blue", number="017")


@pytest.fixture
def page(person: Person) -> Callable[..., Client]:
    def signed_in(kind: str = "office", at: Branch | None = None) -> Client:
        client = Client()
        client.force_login(person(kind, at) if at else person(kind))
        return client

    return signed_in


def address(shipment: Shipment, rest: str = "") -> str:
    return f"/inventory/north/shipments/{shipment.pk}/{rest}"


def release_form(**changed: str) -> dict[str, str]:
    told = {"uuid": str(KEY), "reference": "REL-1", "receiver_name": "B. Reed", "tags": ""}
    return told | changed


def test_a_shipment_is_released_once_however_often_the_button_is_pressed(
    shipment: Shipment, page: Callable[..., Client]
) -> None:
    client = page()
    for _ in range(2):
        shown = client.post(address(shipment, "releases/"), release_form(), follow=True)
        assert "REL-1" in shown.content.decode()
    assert shipment.releases.count() == 1
    assert "receiver not yet checked" in client.get("/inventory/north/").content.decode()


def test_only_some_pieces_are_released_by_their_tags(
    shipment: Shipment, make_item: Callable[..., Item], page: Callable[..., Client]
) -> None:
    first, _second = make_item("001"), make_item("002")
    page().post(address(shipment, "releases/"), release_form(tags="1"))
    assert list(shipment.releases.get().items.all()) == [first]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"tags": "1, 77"}, "no such tags: 077"),
        ({"receiver_name": ""}, "This field is required"),
        ({"uuid": "x"}, "valid UUID"),
    ],
)
def test_a_release_with_a_fault_is_not_made(
    shipment: Shipment,
    make_item: Callable[..., Item],
    page: Callable[..., Client],
    changed: dict[str, str],
    said: str,
) -> None:
    make_item("001")
    answer = page().post(address(shipment, "releases/"), release_form(**changed))
    assert (answer.status_code, said in answer.content.decode()) == (422, True)
    assert not shipment.releases.exists()


def test_a_reference_is_used_once(shipment: Shipment, page: Callable[..., Client]) -> None:
    client = page()
    client.post(address(shipment, "releases/"), release_form())
    answer = client.post(address(shipment, "releases/"), release_form(uuid=str(UUID(int=8))))
    assert (answer.status_code, b"release of that reference" in answer.content) == (422, True)


def test_the_receiver_is_checked(shipment: Shipment, page: Callable[..., Client]) -> None:
    client = page()
    client.post(address(shipment, "releases/"), release_form())
    release = shipment.releases.get()
    shown = client.post(f"/inventory/north/releases/{release.pk}/identity/", follow=True)
    assert "receiver checked by office" in shown.content.decode()


def test_a_hold_is_placed_and_lifted(shipment: Shipment, page: Callable[..., Client]) -> None:
    client = page()
    told = {"uuid": str(KEY), "kind": "lien", "reason": "<unpaid>"}
    shown = client.post(address(shipment, "holds/"), told, follow=True).content.decode()
    assert "office holds this shipment" in shown
    assert "&lt;unpaid&gt;" in shown
    hold = shipment.holds.get()
    shown = client.post(f"/inventory/north/holds/{hold.pk}/lift/", follow=True).content.decode()
    assert "office holds this shipment" not in shown
    assert "lifted by office" in shown


def test_only_the_office_releases_and_holds(
    shipment: Shipment, page: Callable[..., Client]
) -> None:
    dispatcher = page("dispatcher")
    assert dispatcher.post(address(shipment, "releases/"), release_form()).status_code == 403
    told = {"uuid": str(KEY), "kind": "lien"}
    assert dispatcher.post(address(shipment, "holds/"), told).status_code == 403
    assert b'name="receiver_name"' not in dispatcher.get(address(shipment)).content


@pytest.mark.parametrize(
    "said", ["17", "017", "SOFA", tag_code(lot_number="4411", label_color="blue", number="017")]
)
def test_a_piece_is_found_by_number_word_and_code(
    make_item: Callable[..., Item], page: Callable[..., Client], said: str
) -> None:
    item = make_item("017", name="long sofa")
    make_item("018", name="lamp")
    shown = page().get("/inventory/north/search/", {"q": said}).content.decode()
    assert f"/office/pieces/{item.pk}/" in shown
    assert "lamp" not in shown


@pytest.mark.parametrize("said", ["v100", vault_code(code="V100"), vault_code(code="V100").lower()])
def test_a_vault_is_found_by_what_it_says(
    vault: Vault, page: Callable[..., Client], said: str
) -> None:
    shown = page().get("/inventory/north/search/", {"q": said}).content.decode()
    assert '<span class="tag">V100</span>' in shown


def test_a_mistyped_code_is_told_from_one_that_is_not_there(
    vault: Vault, page: Callable[..., Client]
) -> None:
    client = page()
    wrong = vault_code(code="V100").replace("V100", "V101")
    assert (
        b"scanned or typed wrongly" in client.get("/inventory/north/search/", {"q": wrong}).content
    )
    right = vault_code(code="V999")
    assert b"Nothing was found" in client.get("/inventory/north/search/", {"q": right}).content


def test_labels_are_a_pdf(
    shipment: Shipment, vault: Vault, make_item: Callable[..., Item], page: Callable[..., Client]
) -> None:
    make_item("001")
    client = page("warehouse")
    for where in (address(shipment, "labels.pdf"), "/inventory/north/vaults/labels.pdf"):
        answer = client.get(where, {"stock": "4x2in", "skip": "0"})
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
        assert client.get(where, {"stock": "parchment"}).status_code == 404


def test_language_and_units_are_a_persons_own(shipment: Shipment, person: Person) -> None:
    user = person("helper")
    client = Client()
    client.force_login(user)
    client.post("/inventory/me/", {"language": "es", "units": "metric"})
    user.refresh_from_db()
    assert (user.language, user.units) == ("es", "metric")
    refused = client.post("/inventory/me/", {"language": "xx", "units": "metric"})
    assert refused.status_code == 422


@pytest.mark.parametrize(
    "where", ["", "shipments/", "vaults/", "search/", "vaults/labels.pdf?stock=a4"]
)
def test_nobody_and_strangers_see_nothing(
    branch: Branch, page: Callable[..., Client], where: str
) -> None:
    from inventory.models import Branch

    assert Client().get(f"/inventory/north/{where}").status_code == 302
    south = Branch.objects.create(code="south", name="South")
    assert page("office", south).get(f"/inventory/north/{where}").status_code == 404


def test_who_sees_one_branch_goes_straight_there(
    branch: Branch, page: Callable[..., Client]
) -> None:
    assert page().get("/inventory/")["Location"] == "/inventory/north/"


def test_the_lists_ask_the_database_as_often_for_many_rows(
    shipment: Shipment,
    make_item: Callable[..., Item],
    page: Callable[..., Client],
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    for number in range(1, 30):
        make_item(f"{number:03}")
    client = page()
    with django_assert_max_num_queries(26):
        client.get(address(shipment))


def test_looking_at_a_list_first_says_what_may_not_ride(
    branch: Branch, page: Callable[..., Client]
) -> None:
    data = SimpleUploadedFile("list.csv", b"tag,name\n1,couch\n2,propane tank\n")
    told = {"file": data, "shipment": "SHP-7", "look": "1"}
    shown = page().post(f"/inventory/{branch.code}/import/", told)
    said = shown.content.decode()
    assert "Look at these before they ride" in said
    assert "Stand it upright outdoors and call the office" in said
    assert not apps.get_model("inventory", "Shipment").objects.exists()


def test_a_stop_is_added_later_and_the_next_request_has_it(
    branch: Branch, shipment: Shipment, make_item: Callable[..., Item], page: Callable[..., Client]
) -> None:
    for number in ("001", "002"):
        make_item(number)
    client = page("dispatcher")
    where = f"/inventory/{branch.code}/shipments/{shipment.pk}/"
    asks = f"/office/shipments/{shipment.pk}/stops/"
    for wrong, said in (({"tags": "2, 9"}, "no such tags: 009"), ({"stop": 0}, "greater than")):
        answer = client.post(asks, {"stop": 2, "tags": "2", **wrong}, follow=True)
        assert said in answer.content.decode()
    assert set(shipment.items.values_list("stop", flat=True)) == {1}
    assert client.post(asks, {"stop": 2, "tags": "2"}).status_code == 302
    release = shipment.releases.create(reference="R", receiver_name="A. Reed")
    items = request_parts(release=release)["items"]
    assert isinstance(items, list)
    assert [(item["tag"], item["stop"]) for item in items] == [("001", 1), ("002", 2)]
    assert "stop 2" in client.get(where).content.decode()


def test_a_shipments_pieces_are_listed_with_tag_place_and_size(
    shipment: Shipment,
    vault: Vault,
    make_item: Callable[..., Item],
    page: Callable[..., Client],
) -> None:
    chest = make_item("001", name="<b>chest</b>", vault=vault, vault_position=3, stop=2)
    left = datetime(2026, 5, 4, 3, 0, tzinfo=UTC)
    make_item("002", left_at=left, left_vault="V7")
    shipment.branch.time_zone = "America/Denver"
    shipment.branch.save()
    shown = page().get(address(shipment)).content.decode()
    assert (
        f'<a href="{reverse("jobs:piece", args=[chest.pk])}">&lt;b&gt;chest&lt;/b&gt;</a>' in shown
    )
    assert "vault V100, 3 from the door <span" in shown
    assert ">stop 2</span>" in shown
    assert "left 05/03/2026 out of vault V7" in shown
    assert "1 ft 3½ in" in shown


def test_a_shipments_page_asks_as_often_for_many_pieces_as_for_one(
    shipment: Shipment, make_item: Callable[..., Item], page: Callable[..., Client]
) -> None:
    client, counts = page(), []
    for number in range(1, 40):
        make_item(f"{number:03d}", kind_confirmed=False)
        if number in (1, 39):
            client.get(address(shipment))
            with CaptureQueriesContext(connection) as queries:
                client.get(address(shipment))
            counts.append(len(queries))
    assert counts[0] == counts[1]
