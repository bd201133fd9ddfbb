"""Who sees and does what: every view of this API asks here, and this asks `user_may`."""

from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from rest_framework.request import Request

from inventory.errors import NothingThere, NotPermittedError
from inventory.models import Branch
from inventory.permissions import user_may
from inventory.selectors import branch_visible


def branches_read(request: Request) -> list[Branch]:
    """The branches whose plans the person may read."""
    return [
        branch
        for branch in branch_visible(user=request.user)
        if user_may(user=request.user, branch=branch, action="plan.read")
    ]


def branch_named(request: Request, code: str) -> Branch:
    """A branch that the person may read, by its code; otherwise not found."""
    for branch in branches_read(request):
        if branch.code == code:
            return branch
    raise NothingThere(_("there is no branch %(code)s") % {"code": code})


def one_of(queryset: QuerySet[Any], kind: str, **named: Any) -> Any:
    """The one of that name; `kind` is what the field that names it is called."""
    found = queryset.filter(**named).first()
    if found is None:
        name = next(iter(named.values()))
        raise NothingThere(_("there is no %(kind)s %(name)s") % {"kind": kind, "name": name})
    return found


def demand(request: Request, branch: Branch, action: str) -> None:
    """Raise `NotPermittedError` unless the person may do it at the branch."""
    if not user_may(user=request.user, branch=branch, action=action):
        raise NotPermittedError(action, branch.code)
