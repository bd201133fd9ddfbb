"""Importing over HTTP: as the body or in a form, whole or refused with every fault."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rest_framework.test import APIClient

from inventory.models import Branch, ImportBatch, Item, Shipment, User
from tests.inventory.lists.test_request_form import REQUEST

SignedIn = Callable[..., APIClient]
URL = "/api/imports/?branch=north&shipment=SHP-9"
LIST = b"tag,name\n1,sofa\n2,strange thing of grandmother\n"


def send(client: APIClient, data: bytes, url: str = URL, kind: str = "text/csv") -> Any:
    return client.generic("POST", url, data, content_type=kind)


def test_a_csv_as_the_body(branch: Branch, signed_in: SignedIn) -> None:
    answer = send(signed_in(), LIST, f"{URL}&lot=55&color=red&filename=list.csv")
    assert answer.status_code == 201
    told = answer.json()
    assert (told["shipment"], told["form"], told["lines"], told["already_imported"]) == (
        *("SHP-9", "csv", 2, False),
    )
    assert (told["filename"], [guess["row"] for guess in told["guesses"]]) == ("list.csv", [3])
    assert str(Item.objects.get(name="sofa").current_tag) == "55 red 001"
    assert ImportBatch.objects.get().imported_by is not None


def test_a_load_request_as_the_body(branch: Branch, signed_in: SignedIn) -> None:
    answer = send(signed_in(), json.dumps(REQUEST).encode(), kind="application/json")
    assert (answer.status_code, answer.json()["form"]) == (201, "json")


def test_a_form(branch: Branch, signed_in: SignedIn) -> None:
    form = {"file": SimpleUploadedFile("list.csv", LIST), "branch": "north", "shipment": "SHP-9"}
    answer = signed_in().post("/api/imports/", form, format="multipart")
    assert (answer.status_code, answer.json()["filename"]) == (201, "list.csv")


def test_a_form_without_the_file(branch: Branch, signed_in: SignedIn) -> None:
    answer = signed_in().post(URL, {"note": "x"}, format="multipart")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/file"


def test_the_same_file_twice(branch: Branch, signed_in: SignedIn) -> None:
    client = signed_in()
    first = send(client, LIST).json()
    again = send(client, LIST)
    assert again.status_code == 200
    assert again.json() == first | {"already_imported": True}
    assert send(client, LIST, URL.replace("SHP-9", "SHP-10")).status_code == 409


def test_every_fault_as_a_problem_document(branch: Branch, signed_in: SignedIn) -> None:
    answer = send(signed_in(), b"tag,name,weight_kg\nx,sofa,1\n2,,heavy\n")
    assert answer.status_code == 422
    assert answer.headers["Content-Type"] == "application/problem+json"
    problem = answer.json()
    pointers = [error["pointer"] for error in problem["errors"]]
    assert pointers == ["/2/tag", "/3/name", "/3/weight_kg"]
    assert not Shipment.objects.exists()


@pytest.mark.parametrize(
    ("url", "pointer"),
    [
        ("/api/imports/?shipment=SHP-9", "/branch"),
        ("/api/imports/?branch=north", "/shipment"),
        ("/api/imports/?branch=south&shipment=SHP-9", "/branch"),
        ("/api/imports/?branch=north&shipment=SHP-9&lot=%00", "/lot"),
        ("/api/imports/?branch=north&shipment=SHP-9&color=%23fff", "color"),
    ],
)
def test_words_that_are_missing_or_wrong(
    branch: Branch, signed_in: SignedIn, url: str, pointer: str
) -> None:
    Branch.objects.create(code="south", name="South")
    answer = send(signed_in(), LIST, url)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [pointer]
    assert not Shipment.objects.exists()


def test_only_who_may(branch: Branch, signed_in: SignedIn) -> None:
    assert send(APIClient(), LIST).status_code == 401
    assert send(signed_in("helper"), LIST).status_code == 403
    assert not Shipment.objects.exists()


def test_too_large_is_refused_by_its_announced_length(branch: Branch, signed_in: SignedIn) -> None:
    answer = send(signed_in(), b"x" * 6_000_000)
    assert answer.status_code == 413
    assert answer.json()["limit_bytes"] == 5_000_000


def test_too_large_without_a_lie_in_the_length(branch: Branch, signed_in: SignedIn) -> None:
    with override_settings(UPLOAD_LIMIT_BYTES=40):
        assert send(signed_in(), LIST + b" " * 40).status_code == 413
        form = {"file": SimpleUploadedFile("list.csv", LIST + b" " * 40)}
        assert signed_in().post(URL, form, format="multipart").status_code == 413
    assert not Shipment.objects.exists()


def test_a_300_line_list(branch: Branch, signed_in: SignedIn) -> None:
    lines = ["tag,name,vault,lane,vault_depth,vault_level,lane_depth,lane_levels"]
    lines += [f"{n},dining chair,V{n % 9},A{n % 9},2,1,2,3" for n in range(1, 301)]
    answer = send(signed_in(), "\n".join(lines).encode())
    assert (answer.status_code, answer.json()["lines"]) == (201, 300)
    listed = signed_in().get("/api/items/?branch=north&shipment=SHP-9&limit=500").json()
    assert listed["count"] == 300
    assert len(listed["results"]) == 300


def test_listed_and_looked_up(branch: Branch, signed_in: SignedIn) -> None:
    client = signed_in()
    made = send(client, LIST).json()
    del made["already_imported"], made["cautions"]
    assert client.get("/api/imports/?branch=north").json()["results"] == [made]
    assert client.get(f"/api/imports/{made['id']}/").json() == made


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    data=st.binary(max_size=200)
    | st.text(max_size=100).map(lambda t: t.encode("utf-8", "replace")),
    kind=st.sampled_from(
        ["text/csv", "application/json", "multipart/form-data; boundary=x", "x/y", ""]
    ),
)
def test_rubbish_is_the_senders_fault(
    branch: Branch, signed_in: SignedIn, data: bytes, kind: str
) -> None:
    client = APIClient(raise_request_exception=True)
    client.force_login(User.objects.filter(roles__branch=branch).first() or _office(signed_in))
    answer = send(client, data, kind=kind)
    assert 400 <= answer.status_code < 500
    assert not Shipment.objects.exists()


def _office(signed_in: SignedIn) -> User:
    signed_in()
    return User.objects.get()
