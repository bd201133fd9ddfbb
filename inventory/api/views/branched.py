"""What all views share: they show what is of the person's own branches, and nothing else."""

from typing import Any, ClassVar, TypeVar

from django.db.models import Model, QuerySet
from django.utils.translation import gettext as _
from rest_framework.exceptions import ValidationError
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.serializers import BaseSerializer
from rest_framework.viewsets import GenericViewSet

from inventory.api.permissions import MayAct
from inventory.api.serializers import BranchQuery
from inventory.models import Branch, Lane, Shipment, User
from inventory.permissions import user_must
from inventory.selectors import branch_visible

M = TypeVar("M", bound=Model)


class BranchedViewSet(GenericViewSet[M]):
    """A list narrowed by `query_class`, of the branches that the person may see.

    `needs` names what each action needs beyond reading, `forms` what each takes.
    """

    permission_classes = (IsAuthenticated, MayAct)
    filter_backends = ()
    needs: ClassVar[dict[str, str]] = {}
    query_class: ClassVar[type[BaseSerializer[Any]]] = BranchQuery
    forms: ClassVar[dict[str, type[BaseSerializer[Any]]]] = {}

    def get_serializer_class(self) -> type[BaseSerializer[Any]]:
        """Give what an action takes, where the browsable pages ask for its form."""
        return self.forms.get(self.action or "", super().get_serializer_class())

    def asked(self) -> dict[str, Any]:
        """Give what the address asks for, checked."""
        query = self.query_class(data=self.request.query_params)
        query.is_valid(raise_exception=True)
        return dict(query.validated_data)

    def branches(self) -> QuerySet[Branch]:
        """Give the branches that are asked for and may be seen."""
        seen = branch_visible(user=self.request.user)
        code = self.asked().get("branch") if self.action == "list" else None
        return seen.filter(code=code) if code else seen

    def branch_of(self, obj: Any) -> Branch:
        """Give the branch of one of the view's objects."""
        branch = obj.branch if hasattr(obj, "branch") else obj.shipment.branch
        assert isinstance(branch, Branch)
        return branch


def body(request: Request, form: type[BaseSerializer[Any]]) -> dict[str, Any]:
    """Give what was sent, checked."""
    sent = form(data=request.data)
    sent.is_valid(raise_exception=True)
    return dict(sent.validated_data)


def person(request: Request) -> User:
    """Give who is signed in; the views let nobody else through."""
    assert isinstance(request.user, User)
    return request.user


def branch_for(request: Request, code: str, action: str) -> Branch:
    """Give the branch of that code; who does not see it learns nothing of it."""
    branch = branch_visible(user=request.user).filter(code=code).first()
    if branch is None:
        raise ValidationError({"branch": _("there is no branch %(code)s") % {"code": code}})
    user_must(user=person(request), branch=branch, action=action)
    return branch


def shipment_for(branch: Branch, reference: str) -> Shipment:
    """Give the branch's shipment of that reference."""
    shipment = Shipment.objects.filter(branch=branch, reference=reference).first()
    if shipment is None:
        raise ValidationError(
            {"shipment": _("the branch has no shipment %(reference)s") % {"reference": reference}}
        )
    return shipment


def lane_for(branch: Branch, name: str) -> Lane:
    """Give the branch's lane of that name."""
    lane = Lane.objects.filter(branch=branch, name=name).first()
    if lane is None:
        raise ValidationError({"lane": _("the branch has no lane %(name)s") % {"name": name}})
    return lane
