"""What is made once for everybody is completed for each who asks; a part is only a part."""

import re

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import User
from jobs.middleware import COOKIE
from jobs.models import Job
from jobs.services import events_record, pairing_create, pairing_take
from tests.jobs import stage
from tests.jobs.reports import report

PAGES = ("loader", "warehouse")


def _page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def _signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


@pytest.mark.parametrize("page", PAGES)
def test_each_gets_forms_of_their_own(accepted: Job, dispatcher: User, page: str) -> None:
    crew = stage.make_crew(accepted)
    address = f"/jobs/{accepted.id}/{page}/"
    first = _page(_signed_in(dispatcher), address)
    second = _page(_signed_in(crew["lou"].user), address)
    for name in ("uuid", "csrfmiddlewaretoken"):
        value = re.compile(rf'name="{name}" value="([^"]+)"')
        assert not set(value.findall(first)) & set(value.findall(second))
        assert value.findall(first)
    for told in (first, second):
        assert f'action="/jobs/{accepted.id}/tell/"' in told
        assert f'name="next" value="{address}"' in told
        assert not re.search(r"(prefix|csrf|once)-[0-9a-f]{16}", told)


@pytest.mark.parametrize("page", PAGES)
def test_a_phone_stays_under_its_own_address(
    client: Client, accepted: Job, dispatcher: User, page: str
) -> None:
    crew = stage.make_crew(accepted)
    _page(_signed_in(dispatcher), f"/jobs/{accepted.id}/{page}/")
    now = timezone.now()
    _, code = pairing_create(member=crew["lou"], by=dispatcher, now=now)
    device, client.cookies[COOKIE] = pairing_take(code=code, label="Android", now=now)
    told = _page(client, f"/w/{device.pk}/jobs/{accepted.id}/{page}/")
    assert f'action="/w/{device.pk}/jobs/{accepted.id}/tell/"' in told
    assert f'action="/jobs/{accepted.id}/tell/"' not in told


def test_units_language_and_news_make_another_page(accepted: Job, dispatcher: User) -> None:
    crew = stage.make_crew(accepted)
    reader = crew["lou"].user
    address = f"/jobs/{accepted.id}/loader/"
    english = _page(_signed_in(dispatcher), address)
    User.objects.filter(pk=reader.pk).update(language="es", units="metric")
    spanish = _page(_signed_in(reader), address)
    assert "Placed elsewhere" in english
    assert "Placed elsewhere" not in spanish
    assert " kg" in spanish
    tag = re.search(r'data-subject="(\d+)"', english)[1]  # type: ignore[index]
    told = [report("piece_loaded", tag=tag)]
    events_record(job=accepted, events=told, actor=dispatcher, now=stage.NOW)
    later = _page(_signed_in(dispatcher), address)
    assert f'<li class="in" data-subject="{tag}"' in later
    assert f'<li class="in" data-subject="{tag}"' not in english


@pytest.mark.parametrize("page", ["day", "times", "job", "loader", "warehouse", "hands", "my-task"])
def test_a_script_that_looks_again_gets_the_part_alone(
    accepted: Job, dispatcher: User, page: str
) -> None:
    """The whole page in its place would lie within itself."""
    addresses = {
        "day": f"/days/{stage.DAY}/",
        "times": f"/days/{stage.DAY}/times/",
        "job": f"/jobs/{accepted.id}/",
        "my-task": "/my-task/",
    }
    address = addresses.get(page, f"/jobs/{accepted.id}/{page}/")
    client = _signed_in(dispatcher)
    whole = _page(client, address)
    part = client.get(address, headers={"HX-Request": "true"}).content.decode()
    assert "<main" in whole
    assert part.strip()
    assert "<main" not in part
