"""Vaults that are expected from outside, over HTTP."""

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.mixins import DestroyModelMixin, ListModelMixin, RetrieveModelMixin
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.serializers import (
    ArrivalSerializer,
    ArrivalStowSerializer,
    ArrivalWriteSerializer,
    BranchQuery,
)
from inventory.api.views.branched import BranchedViewSet, body, branch_for, lane_for, person
from inventory.models import VaultArrival
from inventory.selectors import arrival_list
from inventory.services import arrival_announce, arrival_call_off, arrival_stow


@extend_schema_view(list=extend_schema(parameters=[BranchQuery]))
class ArrivalViewSet(
    ListModelMixin, RetrieveModelMixin, DestroyModelMixin, BranchedViewSet[VaultArrival]
):
    """Vaults that are expected and not stowed yet: the forklift puts them into a lane."""

    serializer_class = ArrivalSerializer
    queryset = VaultArrival.objects.none()
    needs = {"stow": "inventory.write", "destroy": "inventory.write"}
    forms = {"create": ArrivalWriteSerializer, "stow": ArrivalStowSerializer}

    def get_queryset(self) -> QuerySet[VaultArrival]:
        return arrival_list(branches=self.branches())

    @extend_schema(request=ArrivalWriteSerializer, responses={201: ArrivalSerializer})
    def create(self, request: Request) -> Response:
        """Expect a vault. It may be sent twice under its id; a new id corrects the time."""
        sent = body(request, ArrivalWriteSerializer)
        arrival = arrival_announce(
            arrival_id=sent["id"],
            branch=branch_for(request, sent["branch"], "inventory.write"),
            code=sent["vault"],
            expected_at=sent["expected_at"],
            now=timezone.now(),
            by=person(request),
        )
        return Response(ArrivalSerializer(arrival).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=ArrivalStowSerializer, responses=ArrivalSerializer)
    @action(detail=True, methods=["post"])
    def stow(self, request: Request, **_key: str) -> Response:
        """The vault is there; it stands in front of that lane, or on the stack there."""
        arrival: VaultArrival = self.get_object()
        lane = lane_for(arrival.branch, body(request, ArrivalStowSerializer)["lane"])
        return Response(
            ArrivalSerializer(arrival_stow(arrival=arrival, lane=lane, now=timezone.now())).data
        )

    def perform_destroy(self, instance: VaultArrival) -> None:
        """The vault does not come."""
        arrival_call_off(arrival=instance)
