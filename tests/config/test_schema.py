"""The API's schema is complete, and its door lists every collection."""

import pytest
from django.core.management import call_command
from django.test import Client

from inventory.models import User


@pytest.mark.django_db
def test_the_schema_is_valid_and_without_a_warning(tmp_path: object) -> None:
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", f"{tmp_path}/schema.yml")


@pytest.mark.django_db
def test_the_door_of_the_api_leads_to_every_collection(client: Client) -> None:
    client.force_login(User.objects.create_user("ann"))

    found = client.get("/api/", HTTP_ACCEPT="application/json").json()

    assert {"imports", "releases", "trucks", "loads", "plan-runs", "plans", "jobs"} <= set(found)
    assert [client.get(address).status_code for address in found.values()] == [
        204 if name == "my-task" else 200 for name in found
    ]


@pytest.mark.django_db
def test_nobody_enters_unknown(client: Client) -> None:
    answer = client.get("/api/", HTTP_ACCEPT="application/json")

    assert answer.status_code == 401
    assert answer["Content-Type"] == "application/problem+json"
    assert answer["WWW-Authenticate"].startswith("Basic")
