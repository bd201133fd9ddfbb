"""Proposals on the day's page: sent to another job, pinned, let go; by whom, and once."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import User
from jobs.models import CrewMember, CrewPin, DayBalance, Event, Job
from jobs.services import job_accept_plan
from loading.models import Load
from tests.jobs.stage import DAY, NOW, make_job, store_plan

HTML = {"Accept": "text/html"}
TIMES = f"/days/{DAY}/times/"


@pytest.fixture
def second(accepted: Job, load: Load) -> Job:
    """Another accepted job of the day, without a crew."""
    load.pk, load.reference = None, "second"
    load.save()
    return job_accept_plan(job=make_job(load), plan=store_plan(load), by=None, now=NOW)


@pytest.fixture
def proposed(accepted: Job, second: Job, crew: dict[str, CrewMember]) -> User:
    """Hanne, of whom it is proposed that she goes to the second job."""
    row: dict[str, object] = {"person": crew["hanne"].user_id, "gain_min": 25, "late_gain_min": 0}
    row |= {"from_job": str(accepted.pk), "to_job": str(second.pk)}
    DayBalance.objects.update_or_create(
        branch=accepted.branch, day=DAY, defaults={"proposals": [row], "made_at": NOW}
    )
    return crew["hanne"].user


@pytest.fixture
def office(client: Client, dispatcher: User) -> Client:
    client.force_login(dispatcher)
    return client


def _send(client: Client, name: str, **sent: object) -> int:
    return client.post(reverse(f"jobs:{name}", args=[DAY]), sent, headers=HTML).status_code


def _way(person: User, from_job: Job, to_job: Job) -> dict[str, object]:
    return {
        "uuid": str(uuid4()),
        "person": person.pk,
        "from_job": from_job.pk,
        "to_job": to_job.pk,
    }


def test_a_proposal_is_said_and_accepted_once(
    office: Client, accepted: Job, second: Job, proposed: User
) -> None:
    assert "hanne from small to second" in office.get(TIMES).content.decode()
    way = _way(proposed, accepted, second)
    for _ in range(2):
        assert _send(office, "proposal-accept", **way) == 302
    assert not accepted.crew.get(user=proposed).active
    assert second.crew.get(user=proposed).active
    kinds = sorted(Event.objects.values_list("kind", flat=True))
    assert kinds == ["helper_off", "helper_on"]
    assert "hanne from small" not in office.get(TIMES).content.decode()


def test_a_pinned_person_is_not_proposed_until_let_go(
    office: Client, accepted: Job, proposed: User
) -> None:
    pin = {"person": proposed.pk, "job": accepted.pk}
    assert _send(office, "crew-pin", **pin) == 302
    assert CrewPin.objects.get().job == accepted
    text = office.get(TIMES).content.decode()
    assert "hanne from small" not in text
    assert "Stay where they are" in text
    assert _send(office, "crew-unpin", **pin) == 302
    assert "hanne from small" in office.get(TIMES).content.decode()


def test_who_has_left_meanwhile_is_not_sent(
    office: Client, accepted: Job, second: Job, proposed: User
) -> None:
    CrewMember.objects.filter(job=accepted, user=proposed).update(active=False)
    assert _send(office, "proposal-accept", **_way(proposed, accepted, second)) == 302
    assert "is not on the floor" in office.get(TIMES).content.decode()
    assert _send(office, "crew-pin", person=proposed.pk, job=accepted.pk) == 302
    assert not second.crew.exists()
    assert not CrewPin.objects.exists()


def test_what_cannot_be_read_changes_nothing(
    office: Client, accepted: Job, second: Job, proposed: User
) -> None:
    way = _way(proposed, accepted, second)
    assert _send(office, "proposal-accept", **{**way, "uuid": "7"}) == 404
    assert _send(office, "proposal-accept", **{**way, "person": 1_000_000}) == 404
    assert _send(office, "crew-pin", person=proposed.pk) == 404
    assert not second.crew.exists()


def test_only_a_dispatcher_of_the_branch_decides(
    client: Client,
    accepted: Job,
    second: Job,
    proposed: User,
    crew: dict[str, CrewMember],
    stranger: User,
) -> None:
    way, pin = _way(proposed, accepted, second), {"person": proposed.pk, "job": accepted.pk}
    for user, answer in ((crew["lou"].user, 403), (stranger, 404)):
        client.force_login(user)
        assert "hanne from small" not in client.get(TIMES).content.decode()
        assert _send(client, "proposal-accept", **way) == answer
        assert _send(client, "crew-pin", **pin) == answer
        assert _send(client, "crew-unpin", **pin) == answer
    assert not second.crew.exists()
    assert not CrewPin.objects.exists()
