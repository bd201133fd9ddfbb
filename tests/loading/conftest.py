"""A branch, its people and a load. Models are imported late: pytest reads this before Django."""

import pytest


@pytest.fixture
def branch(db):
    from inventory.models import Branch

    return Branch.objects.create(code="north", name="North")


@pytest.fixture
def load(branch):
    from tests.loading.scenario import load_made

    return load_made(branch)


@pytest.fixture
def dispatcher(branch):
    return _user_with_role(branch, "dispatcher")


@pytest.fixture
def helper(branch):
    return _user_with_role(branch, "helper")


@pytest.fixture
def stranger(db):
    """Somebody who dispatches at another branch."""
    from inventory.models import Branch

    return _user_with_role(Branch.objects.create(code="south", name="South"), "dispatcher")


def _user_with_role(branch, kind):
    from inventory.models import Role, User

    user = User.objects.create_user(username=f"{kind}-{branch.code}")
    Role.objects.create(user=user, branch=branch, kind=kind)
    return user
