"""Phones: paired once by a code, kept to one job and one shift, ended at once."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.models import Device, User
from jobs.errors import CodeSpent, JobClosed
from jobs.middleware import COOKIE
from jobs.models import CrewMember, Job, Pairing
from jobs.selectors.pairings import paired_phone
from jobs.services import device_revoke, job_close, pairing_create, pairing_take
from jobs.services.pairings import AFTER_THE_WINDOW, CODE_VALID
from tests.jobs.stage import NOW, account_for_all


@pytest.fixture
def lou(crew: dict[str, CrewMember]) -> CrewMember:
    return crew["lou"]


def _paired(member: CrewMember) -> tuple[Device, str]:
    _, code = pairing_create(member=member, by=None, now=NOW)
    return pairing_take(code=code, label="Android", now=NOW)


def test_only_hashes_are_kept(lou: CrewMember) -> None:
    _, code = pairing_create(member=lou, by=None, now=NOW)
    device, token = pairing_take(code=code, label="Android", now=NOW)
    kept = f"{Pairing.objects.values().get()} {Device.objects.values().get()}"
    assert code not in kept
    assert token not in kept
    assert (device.user, device.branch) == (lou.user, lou.job.branch)


def test_a_code_is_for_one_phone(lou: CrewMember) -> None:
    _, code = pairing_create(member=lou, by=None, now=NOW)
    pairing_take(code=code, label="Android", now=NOW)
    with pytest.raises(CodeSpent):
        pairing_take(code=code, label="Android", now=NOW)


def test_a_code_is_for_a_short_while(lou: CrewMember) -> None:
    _, code = pairing_create(member=lou, by=None, now=NOW)
    with pytest.raises(CodeSpent):
        pairing_take(code=code, label="Android", now=NOW + CODE_VALID)
    with pytest.raises(CodeSpent):
        pairing_take(code="guessed", label="Android", now=NOW)


def test_a_closed_job_pairs_no_phone(lou: CrewMember) -> None:
    _, code = pairing_create(member=lou, by=None, now=NOW)
    account_for_all(lou.job, lou.user)
    job_close(job=lou.job, now=NOW)
    lou.job.refresh_from_db()
    with pytest.raises(JobClosed):
        pairing_create(member=lou, by=None, now=NOW)
    with pytest.raises(CodeSpent):
        pairing_take(code=code, label="Android", now=NOW)


def test_a_phone_works_for_its_shift(lou: CrewMember) -> None:
    device, token = _paired(lou)
    end = lou.job.window_end + AFTER_THE_WINDOW
    before = paired_phone(device_id=device.pk, token=token, now=end - timedelta(seconds=1))
    assert before is not None
    assert (before.user, before.job_id) == (lou.user, lou.job_id)
    assert paired_phone(device_id=device.pk, token=token, now=end) is None


def test_a_phone_needs_its_own_token(lou: CrewMember, crew: dict[str, CrewMember]) -> None:
    device, token = _paired(lou)
    other, _ = _paired(crew["wim"])
    assert paired_phone(device_id=other.pk, token=token, now=NOW) is None
    assert paired_phone(device_id=device.pk, token="", now=NOW) is None


@pytest.mark.parametrize("ended_by", ["revoking", "closing", "leaving the company"])
def test_a_phone_ends(lou: CrewMember, ended_by: str) -> None:
    device, token = _paired(lou)
    if ended_by == "revoking":
        device_revoke(device=device, now=NOW)
        device_revoke(device=device, now=NOW)
    elif ended_by == "closing":
        account_for_all(lou.job, lou.user)
        job_close(job=lou.job, now=NOW)
    else:
        User.objects.filter(pk=lou.user_id).update(is_active=False)
    assert paired_phone(device_id=device.pk, token=token, now=NOW) is None


@pytest.fixture
def phone(lou: CrewMember, client: Client) -> tuple[Client, str]:
    """A client with Lou's phone cookie, and the address that the phone's pages lie under."""
    now = timezone.now()
    _, code = pairing_create(member=lou, by=None, now=now)
    device, token = pairing_take(code=code, label="Android", now=now)
    client.cookies[COOKIE] = token
    return client, f"/w/{device.pk}"


def test_a_phone_sees_its_job_and_nothing_else(
    phone: tuple[Client, str], lou: CrewMember, accepted: Job
) -> None:
    client, base = phone
    page = client.get(f"{base}/jobs/{accepted.pk}/loader/")
    assert page.status_code == 200
    assert f"{base}/jobs/{accepted.pk}/tell/" in page.content.decode()
    other = f"{base}/jobs/00000000-0000-0000-0000-000000000000/loader/"
    barred = ("/", "/admin/", "/api/jobs/", f"/jobs/{accepted.pk}/", "/sign-out/")
    for address in (other, *(base + path for path in barred)):
        assert client.get(address).status_code == 403, address
    assert client.get("/my-task/").status_code == 302


def test_a_cookie_opens_only_its_own_address(phone: tuple[Client, str], accepted: Job) -> None:
    client, _ = phone
    for device in ("00000000-0000-0000-0000-000000000000", "------------------------------------"):
        assert client.get(f"/w/{device}/my-task/").status_code == 401


def test_who_may_not_dispatch_shows_no_code(client: Client, lou: CrewMember) -> None:
    client.force_login(lou.user)
    address = f"/jobs/{lou.job_id}/phones/"
    assert client.get(address).status_code == 403
    assert client.post(f"{address}{lou.pk}/").status_code == 403
    assert not Pairing.objects.exists()


def test_a_pairing_page_outlives_signing_in_beside_it(lou: CrewMember) -> None:
    """Whoever opens the four windows of a day signs in in one of them before pairing the others."""
    _, code = pairing_create(member=lou, by=None, now=timezone.now())
    browser = Client(enforce_csrf_checks=True)
    assert browser.get(f"/pair/{code}/").status_code == 200
    browser.force_login(lou.user)
    assert browser.post(f"/pair/{code}/").status_code == 302


@pytest.mark.parametrize("origin", ["https://elsewhere.example", "null"])
def test_a_press_on_another_sites_page_pairs_nothing(lou: CrewMember, origin: str) -> None:
    _, code = pairing_create(member=lou, by=None, now=timezone.now())
    browser = Client()
    answer = browser.post(f"/pair/{code}/", headers={"Origin": origin})
    assert (answer.status_code, dict(answer.cookies)) == (200, {})
    assert not Device.objects.exists()
    assert (
        browser.post(f"/pair/{code}/", headers={"Origin": "http://testserver"}).status_code == 302
    )


def test_a_form_that_is_too_old_says_so(lou: CrewMember) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(lou.user)
    answer = browser.post(f"/jobs/{lou.job_id}/tell/", {"event": "{}"})
    assert answer.status_code == 403
    assert "This page is too old" in answer.content.decode()


def test_a_phones_address_does_not_stay_for_the_next_request(phone: tuple[Client, str]) -> None:
    client, address = phone
    client.get(f"{address}/my-task/")
    assert reverse("sign-in") == "/sign-in/"
