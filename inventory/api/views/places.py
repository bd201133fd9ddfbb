"""Branches, shipments, lanes and vaults over HTTP."""

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.mixins import ListModelMixin, RetrieveModelMixin
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.serializers import (
    BranchQuery,
    BranchSerializer,
    LaneSerializer,
    LaneWriteSerializer,
    ShipmentQuery,
    ShipmentSerializer,
    VaultSerializer,
    VaultStandsSerializer,
)
from inventory.api.views.branched import BranchedViewSet, body, branch_for, lane_for
from inventory.models import Branch, Lane, Shipment, Vault
from inventory.selectors import lane_list, shipment_list, vault_list
from inventory.services import lane_create, vault_place


@extend_schema_view(list=extend_schema(parameters=[BranchQuery]))
class BranchViewSet(ListModelMixin, BranchedViewSet[Branch]):
    """The branches whose inventory you may read."""

    serializer_class = BranchSerializer
    queryset = Branch.objects.none()

    def get_queryset(self) -> QuerySet[Branch]:
        return self.branches().order_by("code")

    def branch_of(self, obj: Branch) -> Branch:
        return obj


@extend_schema_view(list=extend_schema(parameters=[BranchQuery]))
class ShipmentViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[Shipment]):
    """Households' goods in storage. `held`: the office lets nothing of it go."""

    serializer_class = ShipmentSerializer
    queryset = Shipment.objects.none()

    def get_queryset(self) -> QuerySet[Shipment]:
        return shipment_list(branches=self.branches())


@extend_schema_view(list=extend_schema(parameters=[BranchQuery]))
class LaneViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[Lane]):
    """Stacks or rows of vaults that are reached from one side."""

    serializer_class = LaneSerializer
    queryset = Lane.objects.none()
    forms = {"create": LaneWriteSerializer}

    def get_queryset(self) -> QuerySet[Lane]:
        return lane_list(branches=self.branches())

    @extend_schema(request=LaneWriteSerializer, responses={201: LaneSerializer})
    def create(self, request: Request) -> Response:
        """Add a lane. The same lane may be sent twice."""
        sent = body(request, LaneWriteSerializer)
        branch = branch_for(request, sent.pop("branch"), "inventory.write")
        lane = lane_create(branch=branch, **sent)
        return Response(LaneSerializer(lane).data, status=status.HTTP_201_CREATED)


@extend_schema_view(list=extend_schema(parameters=[ShipmentQuery]))
class VaultViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[Vault]):
    """Vaults and where they stand."""

    serializer_class = VaultSerializer
    queryset = Vault.objects.none()
    query_class = ShipmentQuery
    needs = {"place": "inventory.write"}
    forms = {"place": VaultStandsSerializer}

    def get_queryset(self) -> QuerySet[Vault]:
        vaults = vault_list(branches=self.branches())
        shipment = self.asked().get("shipment") if self.action == "list" else None
        return vaults.filter(shipment__reference=shipment) if shipment else vaults

    @extend_schema(request=VaultStandsSerializer, responses=VaultSerializer)
    @action(detail=True, methods=["post"])
    def place(self, request: Request, **_key: str) -> Response:
        """Say where a vault stands now."""
        vault: Vault = self.get_object()
        sent = body(request, VaultStandsSerializer)
        lane = None if sent["lane"] is None else lane_for(vault.branch, sent["lane"])
        vault = vault_place(vault=vault, lane=lane, depth=sent["depth"], level=sent["level"])
        return Response(VaultSerializer(vault).data)
