"""Who may do what where."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import AnonymousUser

from inventory.errors import NotPermittedError
from inventory.models import Branch, Role, User
from inventory.permissions import ACTIONS, branches_where, user_may, user_must
from inventory.selectors import branch_visible

Person = Callable[..., User]


@pytest.mark.parametrize(
    ("kind", "may", "may_not"),
    [
        ("helper", "event.record", "plan.make"),
        ("loader", "plan.make", "job.dispatch"),
        ("warehouse", "inventory.import", "inventory.release"),
        ("dispatcher", "job.dispatch", "inventory.hold"),
        ("office", "inventory.hold", "event.record"),
    ],
)
def test_by_role(branch: Branch, person: Person, kind: str, may: str, may_not: str) -> None:
    user = person(kind)
    assert user_may(user=user, branch=branch, action=may)
    assert not user_may(user=user, branch=branch, action=may_not)
    with pytest.raises(NotPermittedError, match=may_not):
        user_must(user=user, branch=branch, action=may_not)


def test_every_role_may_read_and_has_a_line() -> None:
    assert set(ACTIONS) == set(Role.Kind)
    for actions in ACTIONS.values():
        assert {"inventory.read", "plan.read", "job.read"} <= actions


def test_nothing_at_another_branch(branch: Branch, person: Person) -> None:
    south = Branch.objects.create(code="south", name="South")
    user = person("office")
    assert not user_may(user=user, branch=south, action="inventory.read")
    assert not user_may(user=user, branch=None, action="inventory.read")
    assert list(branch_visible(user=user)) == [branch]


def test_roles_add_up(branch: Branch, person: Person) -> None:
    user = person("helper")
    Role.objects.create(user=user, branch=branch, kind="dispatcher")
    assert user_may(user=user, branch=branch, action="job.dispatch")


def test_the_superuser_everywhere_and_the_departed_nowhere(branch: Branch, person: Person) -> None:
    chief = User.objects.create_superuser("chief")
    assert user_may(user=chief, branch=branch, action="anything.at_all")
    assert list(branch_visible(user=chief)) == [branch]
    gone = person("office")
    gone.is_active = False
    gone.save()
    assert not user_may(user=gone, branch=branch, action="inventory.read")
    assert not branch_visible(user=gone).exists()


def test_a_stranger(branch: Branch) -> None:
    assert not user_may(user=AnonymousUser(), branch=branch, action="inventory.read")
    assert not branch_visible(user=AnonymousUser()).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("kind", [*Role.Kind.values, "superuser", "nobody", "inactive"])
def test_branches_where_agrees_with_user_may(kind: str) -> None:
    near, far = (Branch.objects.create(code=code, name=code) for code in ("NEAR", "FAR"))
    user = User.objects.create(
        username="u", is_superuser=kind == "superuser", is_active=kind != "inactive"
    )
    if kind not in ("superuser", "nobody"):
        role = kind if kind in Role.Kind.values else Role.Kind.DISPATCHER
        Role.objects.create(user=user, branch=near, kind=role)
    for action in sorted(frozenset().union(*ACTIONS.values())):
        allowed = {b for b in (near, far) if user_may(user=user, branch=b, action=action)}
        assert set(branches_where(user=user, action=action)) == allowed
