"""`manage.py load_plan`: what it says when it cannot plan."""

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Branch
from loading.models import Load, PlanRun
from tests.loading.scenario import load_made


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["LOAD-9999"], "there is no load LOAD-9999"),
        (["LOAD-0001", "--seconds", "0"], "--seconds must be more than 0"),
        (["LOAD-0001", "--branch", "south"], "there is no load LOAD-0001"),
    ],
)
def test_bad_input_is_told_with_status_two(load, arguments, said):
    with pytest.raises(CommandError, match=said) as caught:
        call_command("load_plan", *arguments)
    assert caught.value.returncode == 2
    assert not PlanRun.objects.exists()


def test_reference_of_two_branches_asks_for_the_branch(load):
    load_made(Branch.objects.create(code="south", name="South"))
    assert Load.objects.count() == 2
    with pytest.raises(CommandError, match="say --branch") as caught:
        call_command("load_plan", "LOAD-0001")
    assert caught.value.returncode == 2


def test_storage_that_cannot_be_planned_is_told_by_its_key(load):
    load.release.shipment.items.all().delete()
    with pytest.raises(CommandError, match="/items: is empty") as caught:
        call_command("load_plan", "LOAD-0001")
    assert caught.value.returncode == 2
