"""Errors become problem documents (RFC 9457), the same for the API and for the pages."""

import importlib
import json
from types import ModuleType

import pytest
from django.http import Http404, HttpResponse
from django.test import Client, RequestFactory
from django.utils import translation
from rest_framework import exceptions, serializers
from rest_framework.test import APIRequestFactory
from rest_framework.views import APIView

from config.problems import (
    KINDS,
    ProblemMiddleware,
    page_not_found,
    permission_denied,
    problem_of,
)
from inventory.errors import ImportFault, ImportRefusedError, NothingThere, TagTakenError


class _Lines(serializers.Serializer):  # type: ignore[type-arg]
    code = serializers.CharField()
    sizes = serializers.ListField(child=serializers.IntegerField())


class _Raising(APIView):
    authentication_classes = ()
    permission_classes = ()
    error: Exception = RuntimeError()

    def get(self, request: object) -> HttpResponse:
        raise self.error


def told_by_api(error: Exception) -> tuple[int, str, dict[str, object]]:
    answer = _Raising.as_view(error=error)(APIRequestFactory().get("/api/things/"))
    answer.render()
    return answer.status_code, answer["Content-Type"], json.loads(answer.content)


def test_a_typed_error_carries_its_data() -> None:
    status, media_type, told = told_by_api(TagTakenError("0412"))

    assert (status, media_type) == (409, "application/problem+json")
    assert told == {
        "type": "/problems/tag-taken",
        "title": "The tag is in use",
        "status": 409,
        "detail": "tag 0412 is on another piece",
        "instance": "/api/things/",
        "tag": "0412",
    }


def test_faults_of_a_file_are_pointed_at() -> None:
    faults = (ImportFault(3, "weight_lb", "not a number"), ImportFault(None, "/items/0", "no tag"))

    status, _, told = told_by_api(ImportRefusedError(faults))

    assert status == 422
    assert told["errors"] == [
        {"pointer": "/3/weight_lb", "detail": "not a number"},
        {"pointer": "/items/0", "detail": "no tag"},
    ]


def test_faults_of_a_field_are_pointed_at() -> None:
    lines = _Lines(data={"sizes": [1, "x"]})
    with pytest.raises(exceptions.ValidationError) as caught:
        lines.is_valid(raise_exception=True)

    status, media_type, told = told_by_api(caught.value)

    assert (status, media_type) == (422, "application/problem+json")
    assert told["errors"] == [
        {"pointer": "/code", "detail": "This field is required."},
        {"pointer": "/sizes/1", "detail": "A valid integer is required."},
    ]


def test_the_frameworks_errors_are_problems_too() -> None:
    status, media_type, told = told_by_api(exceptions.NotAcceptable())

    assert (status, media_type, told["type"]) == (
        406,
        "application/problem+json",
        "/problems/not-acceptable",
    )


def test_an_unknown_error_is_not_dressed_up() -> None:
    with pytest.raises(ZeroDivisionError):
        told_by_api(ZeroDivisionError())


def test_a_page_shows_the_error_to_a_person_and_tells_it_to_a_program(rf: RequestFactory) -> None:
    middleware = ProblemMiddleware(lambda _: HttpResponse())
    told = {}
    for accept in ("text/html", "application/json"):
        request = rf.get("/", HTTP_ACCEPT=accept)
        told[accept] = middleware.process_exception(request, TagTakenError("0412"))

    page, document = told["text/html"], told["application/json"]
    assert page
    assert document
    assert (page.status_code, document.status_code) == (409, 409)
    assert "Tag 0412 is on another piece" in page.content.decode()
    assert document["Content-Type"] == "application/problem+json"
    assert middleware.process_exception(rf.get("/"), ZeroDivisionError()) is None


@pytest.mark.django_db
def test_an_unknown_address_is_a_problem_of_the_api_and_a_page_elsewhere(client: Client) -> None:
    of_api, of_page = client.get("/api/no-such/"), client.get("/no-such/")

    assert (of_api.status_code, of_api.json()["title"]) == (404, "Not found")
    assert of_page.status_code == 404
    assert of_page["Content-Type"].startswith("text/html")


def test_a_refusal_says_why(rf: RequestFactory) -> None:
    answer = permission_denied(rf.get("/api/x/"), exceptions.PermissionDenied("no"))

    assert (answer.status_code, json.loads(answer.content)["status"]) == (403, 403)


@pytest.mark.parametrize("app", ["inventory", "loading", "jobs"])
def test_every_typed_error_of_an_app_has_a_kind(app: str) -> None:
    errors: ModuleType = importlib.import_module(f"{app}.errors")
    base = getattr(errors, f"{app.capitalize()}Error")
    kinds = {cls for cls in vars(errors).values() if isinstance(cls, type)}

    named = {cls for cls in kinds if issubclass(cls, base) and cls is not base}

    assert named
    assert {cls.__name__ for cls in named if not any(k in KINDS for k in cls.__mro__)} == set()
    assert problem_of(base()) is None


def test_nothing_there_is_said_in_the_readers_language(client: Client) -> None:
    with translation.override("en"):  # the last request's language would stay for other tests
        of_api, of_page = (
            client.get(address, headers={"Accept-Language": "es"})
            for address in ("/api/no-such/", "/no-such/")
        )

    assert of_api.json()["detail"] == "No hay nada en esta dirección."
    assert "No hay nada en esta dirección." in of_page.content.decode()


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (Http404("No Job matches the given query."), "There is nothing at this address."),
        (NothingThere("no plan yet"), "no plan yet"),
    ],
)
def test_what_is_not_there_is_said_for_a_person(
    rf: RequestFactory, error: Http404, said: str
) -> None:
    _, _, told = told_by_api(error)
    page = page_not_found(rf.get("/"), error)

    assert (told["title"], told["detail"]) == ("Not found", said)
    assert said.lower() in page.content.decode().lower()
    assert "matches" not in page.content.decode()


def test_an_address_that_only_takes_presses_says_so(client: Client) -> None:
    """Whoever has to sign in first comes back to it without a press."""
    answer = client.get("/sign-out/")

    assert (answer.status_code, answer["Allow"]) == (405, "POST, OPTIONS")
    assert "press again" in answer.content.decode()
