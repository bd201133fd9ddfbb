"""The rows of `stage`, one fixture each.

pytest reads this file before Django is set up, so `stage`, which imports models, is imported late.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from django.test import Client

    from inventory.models import Branch, Hold, User, Vault
    from jobs.models import CrewMember, Job
    from loading.models import Load, LoadPlan


@pytest.fixture
def branch(db: None) -> Branch:
    from tests.jobs import stage

    return stage.make_branch()


@pytest.fixture
def dispatcher(branch: Branch) -> User:
    from tests.jobs import stage

    return stage.make_person(branch, "dana", "dispatcher")


@pytest.fixture
def stranger(branch: Branch) -> User:
    """A dispatcher of another branch."""
    from tests.jobs import stage

    return stage.make_person(stage.make_branch("SOUTH"), "sasha", "dispatcher")


@pytest.fixture
def load(branch: Branch) -> Load:
    from tests.jobs import stage

    return stage.make_load(branch)


@pytest.fixture
def plan(load: Load) -> LoadPlan:
    from tests.jobs import stage

    return stage.store_plan(load)


@pytest.fixture
def job(load: Load) -> Job:
    from tests.jobs import stage

    return stage.make_job(load)


@pytest.fixture
def accepted(job: Job, plan: LoadPlan) -> Job:
    from jobs.services import job_accept_plan
    from tests.jobs import stage

    return job_accept_plan(job=job, plan=plan, by=None, now=stage.NOW)


@pytest.fixture
def crew(accepted: Job) -> dict[str, CrewMember]:
    from tests.jobs import stage

    return stage.make_crew(accepted)


@pytest.fixture
def hold(load: Load) -> Hold:
    from tests.jobs import stage

    return stage.make_hold(load)


@pytest.fixture
def shipped(load: Load) -> None:
    """The load's shipment has a piece, so that it can be planned."""
    from tests.jobs import stage

    stage.make_piece(load.release.shipment)


@pytest.fixture
def warehouse(branch: Branch) -> Client:
    """Somebody of the warehouse at a browser."""
    from django.test import Client

    from tests.jobs import stage

    client = Client()
    client.force_login(stage.make_person(branch, "wim", "warehouse"))
    return client


@pytest.fixture
def empty(branch: Branch) -> Vault:
    """A vault that became empty and waits to be swept."""
    from inventory.models import Vault

    return Vault.objects.create(branch=branch, code="V-7", upkeep="sweep")
