"""Pieces, tags and kinds over HTTP."""

from collections.abc import Callable
from uuid import uuid4

from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from inventory.models import Branch, Item, ItemKind, Shipment, Vault

SignedIn = Callable[..., APIClient]
MakeItem = Callable[..., Item]


def names(client: APIClient, query: str) -> list[str]:
    answer = client.get(f"/api/items/?{query}")
    assert answer.status_code == 200
    return [item["name"] for item in answer.json()["results"]]


def test_found_by_tag_words_and_place(
    branch: Branch, vault: Vault, make_item: MakeItem, signed_in: SignedIn
) -> None:
    other = Shipment.objects.create(
        branch=branch, reference="SHP-2", lot_number="7", label_color="red"
    )
    make_item("001", name="blue sofa", vault=vault, vault_position=1)
    make_item("002", name="oak desk", kind=ItemKind.objects.get(code="desk"))
    make_item("001", name="red sofa", shipment=other, kind_confirmed=False)
    client = signed_in()
    assert names(client, "tag=1") == ["blue sofa", "red sofa"]
    assert names(client, "tag=001&lot=7") == ["red sofa"]
    assert names(client, "tag=001&color=blue") == ["blue sofa"]
    assert names(client, "words=Sofas") == ["blue sofa", "red sofa"]
    assert names(client, "words=desk+oak") == ["oak desk"]
    assert names(client, "shipment=SHP-2") == ["red sofa"]
    assert names(client, "vault=V100") == ["blue sofa"]
    assert names(client, "unconfirmed=true") == ["red sofa"]
    assert names(client, "words=piano") == []


def test_a_list_of_pieces_costs_the_same_for_many(
    branch: Branch, make_item: MakeItem, signed_in: SignedIn
) -> None:
    client = signed_in()

    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            assert client.get("/api/items/").status_code == 200
        return len(asked)

    make_item("001")
    few = queries()
    for number in range(2, 30):
        make_item(f"{number:03}")
    assert queries() == few


def test_a_new_tag(make_item: MakeItem, signed_in: SignedIn) -> None:
    item, client = make_item("017"), signed_in("warehouse")
    make_item("018")
    url, sent = f"/api/items/{item.pk}/tag/", {"uuid": str(uuid4()), "number": "418"}
    answer = client.post(url, sent)
    assert (answer.status_code, answer.json()["tag"]) == (200, "418")
    assert [tag["number"] for tag in answer.json()["tags"]] == ["017", "418"]
    assert client.post(url, sent).json() == answer.json()
    assert client.post(url, sent | {"number": "419"}).status_code == 409
    assert client.post(url, {"uuid": str(uuid4()), "number": "018"}).status_code == 409
    assert client.post(url, {"uuid": str(uuid4()), "number": "x"}).status_code == 422
    assert client.post(url, {"uuid": "x", "number": "500"}).status_code == 422
    assert signed_in("helper").post(url, sent).status_code == 403
    assert names(client, "tag=017") == ["carton"]


def test_a_kind_is_confirmed(make_item: MakeItem, signed_in: SignedIn) -> None:
    guess = ItemKind.objects.get(code="stool")
    item = make_item("001", kind=guess, kind_confirmed=False)
    client, url = signed_in(), f"/api/items/{item.pk}/kind/"
    assert client.post(url, {"kind": "no-such"}).status_code == 422
    answer = client.post(url, {"kind": "desk"}).json()
    assert (answer["kind"], answer["kind_confirmed"]) == ("desk", True)
    assert signed_in("helper").post(url, {"kind": "stool"}).status_code == 403
    assert Item.objects.get(pk=item.pk).kind != guess


def test_the_catalogue(branch: Branch, signed_in: SignedIn) -> None:
    client = signed_in("helper")
    assert client.get("/api/kinds/").json()["count"] >= 120
    found = client.get("/api/kinds/?words=upright+piano").json()["results"]
    assert [kind["code"] for kind in found] == ["piano-upright"]
    piano = client.get("/api/kinds/piano-upright/").json()
    assert (piano["level"], piano["weight_g"]) == ("base", 217_000)
    assert client.get("/api/kinds/no-such/").status_code == 404
    assert client.post("/api/kinds/", {"code": "x"}).status_code == 405
