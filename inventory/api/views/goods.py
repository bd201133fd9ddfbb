"""Pieces, their tags and kinds over HTTP."""

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.mixins import ListModelMixin, RetrieveModelMixin
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from inventory.api.serializers import (
    ItemQuery,
    ItemSerializer,
    KindConfirmSerializer,
    KindQuery,
    KindSerializer,
    TagReplaceSerializer,
)
from inventory.api.views.branched import BranchedViewSet, body
from inventory.models import Item, ItemKind
from inventory.selectors import item_list, kind_list
from inventory.services import item_kind_confirm, tag_replace


@extend_schema_view(list=extend_schema(parameters=[ItemQuery]))
class ItemViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[Item]):
    """Pieces, found by shipment, vault, what stands or stood on their tag, or words."""

    serializer_class = ItemSerializer
    queryset = Item.objects.none()
    query_class = ItemQuery
    needs = {"tag": "inventory.tag", "kind": "inventory.write"}
    forms = {"tag": TagReplaceSerializer, "kind": KindConfirmSerializer}

    def get_queryset(self) -> QuerySet[Item]:
        if self.action != "list":
            return item_list(branches=self.branches())
        asked = self.asked()
        asked.pop("branch", None)
        return item_list(branches=self.branches(), **asked)

    @extend_schema(request=TagReplaceSerializer, responses=ItemSerializer)
    @action(detail=True, methods=["post"])
    def tag(self, request: Request, **_key: str) -> Response:
        """Put another tag on a piece; it is still found by the old one."""
        item: Item = self.get_object()
        sent = body(request, TagReplaceSerializer)
        tag_replace(item=item, event_uuid=sent.pop("uuid"), now=timezone.now(), **sent)
        return Response(ItemSerializer(self.get_object()).data)

    @extend_schema(request=KindConfirmSerializer, responses=ItemSerializer)
    @action(detail=True, methods=["post"])
    def kind(self, request: Request, **_key: str) -> Response:
        """Confirm or correct the kind that the import guessed."""
        item: Item = self.get_object()
        code = body(request, KindConfirmSerializer)["kind"]
        kind = ItemKind.objects.filter(code=code).first()
        if kind is None:
            raise ValidationError({"kind": _("no kind has the code %(code)s") % {"code": code}})
        item_kind_confirm(item=item, kind=kind)
        return Response(ItemSerializer(self.get_object()).data)


@extend_schema_view(list=extend_schema(parameters=[KindQuery]))
class KindViewSet(ListModelMixin, RetrieveModelMixin, GenericViewSet[ItemKind]):
    """The catalogue of kinds with their typical values; it is the same at every branch."""

    serializer_class = KindSerializer
    queryset = ItemKind.objects.none()
    permission_classes = (IsAuthenticated,)
    filter_backends = ()
    lookup_field = "code"

    def get_queryset(self) -> QuerySet[ItemKind]:
        query = KindQuery(data=self.request.query_params)
        query.is_valid(raise_exception=True)
        return kind_list(words=query.validated_data.get("words", ""))
