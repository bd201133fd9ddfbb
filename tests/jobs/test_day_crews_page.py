"""The page on which a dispatcher mans a day: hours, proposals, accepting."""

import pytest
from django.test import Client

from inventory.models import Branch, User
from jobs.models import CrewPin, DayCrews, Job, Shift, Skill
from jobs.services import day_crews_make
from tests.jobs import stage
from tests.jobs.stage import DAY, NOW
from tests.jobs.test_day_crews import one_crew_each

PAGE = f"/days/{DAY}/crews/"
HTML = {"Accept": "text/html"}
HOURS = {"starts": "06:00", "ends": "15:00", "break_from": "10:00", "break_until": "10:30"}


@pytest.fixture
def office(client: Client, dispatcher: User) -> Client:
    client.force_login(dispatcher)
    return client


@pytest.fixture
def people(branch: Branch) -> dict[str, User]:
    parts = {"lou": "loader", "wim": "warehouse", "ada": "helper"}
    return {name: stage.make_person(branch, name, part) for name, part in parts.items()}


def text(client: Client) -> str:
    return client.get(PAGE).content.decode()


def test_hours_are_taken_down_by_the_branchs_clock(
    office: Client, branch: Branch, people: dict[str, User]
) -> None:
    sent = {"username": "ada", **HOURS}
    office.post(f"{PAGE}NORTH/shift/", sent, headers=HTML)
    shift = Shift.objects.get()
    assert shift.starts_at.isoformat() == "2026-03-04T12:00:00+00:00"
    assert shift.breaks.get().ends_at.isoformat() == "2026-03-04T16:30:00+00:00"
    shown = text(office)
    assert "06:00\u201315:00" in shown
    assert "break 10:00\u201310:30" in shown


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"username": "nobody", **HOURS}, "Sign-in name: nobody signs in as nobody"),
        ({"username": "wim", "starts": "06:00"}, "Until: This field is required."),
        ({"username": "wim", **HOURS, "break_until": ""}, "A break needs both of its times."),
        ({"username": "wim", "starts": "15:00", "ends": "06:00"}, "a shift ends after it begins"),
    ],
)
def test_hours_that_cannot_be_are_refused_by_their_field(
    office: Client, branch: Branch, people: dict[str, User], sent: dict[str, str], said: str
) -> None:
    answer = office.post(f"{PAGE}NORTH/shift/", sent, headers=HTML, follow=True)
    assert said in answer.content.decode()
    assert not Shift.objects.exists()


def test_who_drives_the_forklift_stays_so_until_it_is_taken_back(
    office: Client, branch: Branch, people: dict[str, User]
) -> None:
    driver = {"username": "wim"}
    office.post(f"{PAGE}NORTH/driver/", {**driver, "drives": "on"}, headers=HTML)
    office.post(f"{PAGE}NORTH/shift/", {**driver, **HOURS}, headers=HTML)
    assert Skill.objects.get().person == people["wim"]
    office.post(f"{PAGE}NORTH/driver/", driver, headers=HTML)
    assert not Skill.objects.exists()


def test_crews_are_proposed_with_reasons_and_accepted(
    office: Client, branch: Branch, accepted: Job, people: dict[str, User]
) -> None:
    for name in people:
        office.post(f"{PAGE}NORTH/shift/", {"username": name, **HOURS}, headers=HTML)
    assert "No crews have been proposed" in text(office)
    office.post(f"{PAGE}NORTH/ask/", headers=HTML)
    assert "Crews are being proposed" in text(office)
    day_crews_make(branch_id=branch.pk, day=DAY, worker="w", now=NOW, balance=one_crew_each)
    shown = text(office)
    for said in ("leads the loading", "gets the vaults", "It ends 3 h 0 min before its window"):
        assert said in shown
    one = {"job": accepted.pk, "person": people["lou"].pk, "pin": "on"}
    office.post(f"{PAGE}accept/", one, headers=HTML)
    assert CrewPin.objects.get().person == people["lou"]
    assert accepted.crew.count() == 1
    office.post(f"{PAGE}accept/", {"job": accepted.pk}, headers=HTML)
    assert accepted.crew.count() == 3
    assert "Accept this crew" not in text(office)


def test_a_job_for_which_nobody_is_left_is_named(
    office: Client, branch: Branch, accepted: Job
) -> None:
    DayCrews.objects.create(branch=branch, day=DAY, unmanned=[str(accepted.pk)], made_at=NOW)
    assert "Nobody is left for small" in text(office)


def test_a_crew_that_was_not_proposed_is_refused(
    office: Client, branch: Branch, accepted: Job
) -> None:
    answer = office.post(f"{PAGE}accept/", {"job": accepted.pk}, headers=HTML, follow=True)
    assert "no such crew was proposed" in answer.content.decode()
    assert office.post(f"{PAGE}accept/", {"job": "x"}, headers=HTML).status_code == 404


def test_others_may_send_nobody(
    client: Client, branch: Branch, accepted: Job, people: dict[str, User], stranger: User
) -> None:
    assert client.get(PAGE).status_code == 302
    client.force_login(people["ada"])
    assert "You may send nobody." in text(client)
    assert client.post(f"{PAGE}NORTH/ask/", headers=HTML).status_code == 403
    client.force_login(stranger)
    assert client.post(f"{PAGE}NORTH/ask/", headers=HTML).status_code == 404
    assert client.post(f"{PAGE}accept/", {"job": accepted.pk}, headers=HTML).status_code == 404
    assert not DayCrews.objects.exists()
