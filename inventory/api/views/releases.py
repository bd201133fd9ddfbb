"""Releases and holds over HTTP."""

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.mixins import ListModelMixin, RetrieveModelMixin
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.serializers import (
    HoldSerializer,
    HoldWriteSerializer,
    ReleaseSerializer,
    ReleaseWriteSerializer,
    ShipmentQuery,
)
from inventory.api.views.branched import (
    BranchedViewSet,
    body,
    branch_for,
    person,
    shipment_for,
)
from inventory.models import Hold, Item, Release, Shipment
from inventory.selectors import hold_list, release_list
from inventory.services import hold_lift, hold_place, release_create, release_identity_check


@extend_schema_view(list=extend_schema(parameters=[ShipmentQuery]))
class ReleaseViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[Release]):
    """What leaves the warehouse, and who may receive it."""

    serializer_class = ReleaseSerializer
    queryset = Release.objects.none()
    query_class = ShipmentQuery
    needs = {"identity": "inventory.identity"}
    forms = {"create": ReleaseWriteSerializer}

    def get_queryset(self) -> QuerySet[Release]:
        releases = release_list(branches=self.branches())
        shipment = self.asked().get("shipment") if self.action == "list" else None
        return releases.filter(shipment__reference=shipment) if shipment else releases

    @extend_schema(request=ReleaseWriteSerializer, responses={201: ReleaseSerializer})
    def create(self, request: Request) -> Response:
        """Release a shipment or some of its pieces. It may be sent twice under its UUID."""
        sent = body(request, ReleaseWriteSerializer)
        branch = branch_for(request, sent.pop("branch"), "inventory.release")
        shipment = shipment_for(branch, sent.pop("shipment"))
        items = items_of(shipment, sent.pop("items"))
        release = release_create(shipment=shipment, items=items, now=timezone.now(), **sent)
        return Response(ReleaseSerializer(release).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=None, responses=ReleaseSerializer)
    @action(detail=True, methods=["post"])
    def identity(self, request: Request, **_key: str) -> Response:
        """Note that the receiver has shown who they are; the first note stays."""
        release: Release = self.get_object()
        release_identity_check(release=release, by=person(request), now=timezone.now())
        return Response(ReleaseSerializer(release).data)


@extend_schema_view(list=extend_schema(parameters=[ShipmentQuery]))
class HoldViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[Hold]):
    """The office's reasons to let nothing of a shipment go."""

    serializer_class = HoldSerializer
    queryset = Hold.objects.none()
    query_class = ShipmentQuery
    needs = {"lift": "inventory.hold"}
    forms = {"create": HoldWriteSerializer}

    def get_queryset(self) -> QuerySet[Hold]:
        holds = hold_list(branches=self.branches())
        shipment = self.asked().get("shipment") if self.action == "list" else None
        return holds.filter(shipment__reference=shipment) if shipment else holds

    @extend_schema(request=HoldWriteSerializer, responses={201: HoldSerializer})
    def create(self, request: Request) -> Response:
        """Hold a shipment back. It may be sent twice under its UUID."""
        sent = body(request, HoldWriteSerializer)
        branch = branch_for(request, sent.pop("branch"), "inventory.hold")
        shipment = shipment_for(branch, sent.pop("shipment"))
        hold = hold_place(shipment=shipment, by=person(request), now=timezone.now(), **sent)
        return Response(HoldSerializer(hold).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=None, responses=HoldSerializer)
    @action(detail=True, methods=["post"])
    def lift(self, request: Request, **_key: str) -> Response:
        """Lift a hold; who lifted it first stays."""
        hold: Hold = self.get_object()
        hold_lift(hold=hold, by=person(request), now=timezone.now())
        return Response(HoldSerializer(hold).data)


def items_of(shipment: Shipment, ids: list[int]) -> list[Item]:
    """Give the pieces of those ids; one of another branch is no different from none."""
    items = list(Item.objects.filter(pk__in=ids, shipment__branch=shipment.branch))
    missing = sorted(set(ids) - {item.pk for item in items})
    if missing:
        raise ValidationError(
            {"items": _("there is no piece %(missing)s") % {"missing": missing[0]}}
        )
    return items
