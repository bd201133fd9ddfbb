"""Who may do what where. `user_may` is the one place that decides; all else asks it."""

from collections.abc import Callable

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from inventory.errors import NotPermittedError
from inventory.models import Branch, Role, User

_READ = frozenset({"inventory.read", "plan.read", "job.read"})
_FLOOR = _READ | {"event.record"}

#: Actions by role. An action that no role has is open to superusers only.
ACTIONS: dict[str, frozenset[str]] = {
    Role.Kind.HELPER: _FLOOR,
    Role.Kind.LOADER: _FLOOR | {"plan.make", "inventory.tag"},
    Role.Kind.WAREHOUSE: _FLOOR
    | {"inventory.import", "inventory.write", "inventory.tag", "inventory.identity"},
    Role.Kind.DISPATCHER: _FLOOR
    | {"inventory.import", "inventory.write", "inventory.tag"}
    | {"plan.make", "job.write", "job.dispatch"},
    Role.Kind.OFFICE: _READ
    | {"inventory.import", "inventory.write", "inventory.release", "inventory.hold"}
    | {"inventory.identity", "plan.make", "job.write"},
}


def user_may(*, user: User | AnonymousUser, branch: Branch | None, action: str) -> bool:
    """Tell whether a person may do something at a branch.

    Nobody sees anything of a branch where they have no role; only an active superuser may do
    everything everywhere. Without a branch the question is always whether one is a superuser.
    """
    return user_at(user=user, branch=branch)(action)


def user_at(*, user: User | AnonymousUser, branch: Branch | None) -> Callable[[str], bool]:
    """`user_may` for many actions at one branch: whoever asks for several looks up roles once."""
    if not isinstance(user, User) or not user.is_active:
        return lambda action: False  # noqa: ARG005
    if user.is_superuser:
        return lambda action: True  # noqa: ARG005
    if branch is None:
        return lambda action: False  # noqa: ARG005
    kinds = Role.objects.filter(user=user, branch=branch).values_list("kind", flat=True)
    permitted = frozenset[str]().union(*(ACTIONS.get(kind, frozenset()) for kind in kinds))
    return permitted.__contains__


def branches_where(*, user: User | AnonymousUser, action: str) -> QuerySet[Branch]:
    """The branches at which `user_may` do something, to be asked for within another query."""
    if not isinstance(user, User) or not user.is_active:
        return Branch.objects.none()
    if user.is_superuser:
        return Branch.objects.all()
    kinds = [kind for kind, actions in ACTIONS.items() if action in actions]
    roles = Role.objects.filter(user=user, kind__in=kinds)
    return Branch.objects.filter(pk__in=roles.values("branch"))


def user_must(*, user: User | AnonymousUser, branch: Branch, action: str) -> None:
    """Raise `NotPermittedError` unless the person may do it."""
    if not user_may(user=user, branch=branch, action=action):
        raise NotPermittedError(action, branch.code)
