"""REST framework's door to `user_may`."""

from typing import Protocol

from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from inventory.models import Branch
from inventory.permissions import user_may


class BranchedView(Protocol):
    """A view that says what its actions need, and of which branch an object is."""

    action: str | None
    needs: dict[str, str]

    def branch_of(self, obj: object) -> Branch: ...


class MayAct(BasePermission):
    """Let through who may do what the view's action needs at the object's branch.

    Lists need no check here: a view lists only what `branch_visible` shows. A view that creates
    something calls `user_must` as soon as it knows the branch.
    """

    def has_object_permission(self, request: Request, view: APIView, obj: object) -> bool:
        branched: BranchedView = view  # type: ignore[assignment]
        need = branched.needs.get(branched.action or "", "inventory.read")
        return user_may(user=request.user, branch=branched.branch_of(obj), action=need)
