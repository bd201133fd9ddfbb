"""The invented day can be stored, twice as well as once, and never in production."""

from datetime import UTC, datetime

import pytest
from django.core.management import CommandError, call_command
from pytest_django import Settings

from inventory.models import Item, Role, Shipment, User, Vault
from inventory.selectors import shipment_cautions, shipment_is_held
from jobs.models import CrewMember, Job, Shift
from loading.models import LoadPlan
from loading.selectors import road_sheet
from seed_fixtures.scenario import PASSWORD, scenario_load

NOW = datetime(2026, 3, 4, 11, 30, tzinfo=UTC)

pytestmark = pytest.mark.django_db


def counts() -> dict[str, int]:
    kinds = (Shipment, Vault, Item, User, Role, Job, CrewMember)
    return {kind.__name__: kind._default_manager.count() for kind in kinds}


def test_twice_changes_nothing() -> None:
    first = scenario_load(now=NOW)
    before = counts()

    assert scenario_load(now=NOW) == first
    assert counts() == before


def test_a_day_with_two_jobs_six_helpers_and_a_held_shipment() -> None:
    jobs = scenario_load(now=NOW)

    assert [str(job.day) for job in jobs] == ["2026-03-04", "2026-03-04"]
    assert Role.objects.filter(kind="helper").count() == 6
    assert all(set(job.crew.values_list("part", flat=True)) == {*PARTS} for job in jobs)
    held = [s.reference for s in Shipment.objects.all() if shipment_is_held(shipment=s)]
    assert held == ["SHP-0377"]


PARTS = ("loader", "warehouse", "helper")


def test_everybody_on_a_crew_has_a_shift_that_day() -> None:
    jobs = scenario_load(now=NOW)
    crews = CrewMember.objects.filter(job__in=jobs)
    shifts = Shift.objects.filter(day=jobs[0].day, breaks__isnull=False)
    assert set(crews.values_list("user", flat=True)) <= set(shifts.values_list("person", flat=True))


def test_one_piece_waits_for_a_person_to_confirm_its_kind() -> None:
    scenario_load(now=NOW)

    unsure = Item.objects.filter(kind_confirmed=False).values_list("name", flat=True)
    assert [*unsure] == ["grandmother's sewing table"]


def test_its_people_can_sign_in() -> None:
    scenario_load(now=NOW)

    assert all(user.check_password(PASSWORD) for user in User.objects.all())


def test_production_does_not_get_people_with_a_known_password(settings: Settings) -> None:
    settings.PRODUCTION = True

    with pytest.raises(CommandError, match="production"):
        call_command("load_scenario")

    assert not User.objects.exists()


def test_one_load_overloads_a_support_after_its_first_stop_and_can_be_mended() -> None:
    scenario_load(now=NOW)

    plan = LoadPlan.objects.get(load__reference="LOAD-0440")
    sheet = road_sheet(plan=plan)
    (over,) = sheet.over
    assert (over.kind.value, over.name, over.after_stop) == ("support", "front axle", 1)
    assert over.over_g > 10_000
    assert [(line.change.value, line.what) for line in sheet.advice] == [("swap", ("001", "003"))]
    assert sheet.mends
    assert (sheet.strap_name, sheet.strap_wll_g) == ("ratchet", 680_000)


def test_a_carton_is_heavier_than_its_usual_certificate() -> None:
    scenario_load(now=NOW)

    cautions = shipment_cautions(shipment=Shipment.objects.get(reference="SHP-0431"))
    assert [(one.tag, one.caution.source) for one in cautions] == [("005", "Rule 41 / Item 222")]
