"""Choosing the truck over HTTP."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from inventory.api.serializers import ReleaseSerializer
from inventory.models import Release, User
from loading.api.scope import branches_read, demand, one_of
from loading.models import Dock, Truck, TruckChoice
from loading.services import choice_second_trip, truck_choice_create

BUDGET_MAX_S = 120
FLEET_MAX = 20


class TruckOfferSerializer(serializers.Serializer[Any]):
    """What one truck would do. `why`: why it was not planned at all."""

    truck = serializers.CharField()
    takes_all = serializers.BooleanField()
    why = serializers.CharField()
    left_off = serializers.ListField(child=serializers.CharField())
    length_left_mm = serializers.IntegerField()
    reserve_short_mm = serializers.IntegerField(default=0)
    payload_left_g = serializers.IntegerField()
    takes_s = serializers.IntegerField(allow_null=True)
    over_on_the_road_g = serializers.IntegerField(allow_null=True)


class TruckTripSerializer(TruckOfferSerializer):
    tags = serializers.ListField(child=serializers.CharField())
    weight_g = serializers.IntegerField()


class StaysSerializer(serializers.Serializer[Any]):
    tag = serializers.CharField()
    reason = serializers.CharField()


class ChoiceAnswerSerializer(serializers.Serializer[Any]):
    """`trips`: one where a truck takes all, two where it is split. A planning aid."""

    offers = TruckOfferSerializer(many=True)
    trips = TruckTripSerializer(many=True)
    stays = StaysSerializer(many=True)


class TruckChoiceSerializer(serializers.ModelSerializer[TruckChoice]):
    id = serializers.UUIDField(help_text="Made by the client; the same one is one question.")
    release = serializers.IntegerField(source="release_id")
    dock = serializers.IntegerField(source="dock_id")
    distance_km = serializers.FloatField(min_value=0)
    budget_s = serializers.FloatField(min_value=0.1, max_value=BUDGET_MAX_S, default=10)
    trucks = serializers.ListField(
        child=serializers.IntegerField(),
        min_length=1,
        max_length=FLEET_MAX,
        write_only=True,
    )
    answer = ChoiceAnswerSerializer(read_only=True, allow_null=True)

    class Meta:
        model = TruckChoice
        fields = (
            *("id", "release", "dock", "distance_km", "budget_s", "trucks"),
            *("status", "answer", "problem", "asked_at", "finished_at"),
        )
        read_only_fields = ("status", "problem", "asked_at", "finished_at")


class TruckChoiceViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, GenericViewSet[Any]):
    """Which truck takes a release, what each would cost, and what goes second."""

    queryset = TruckChoice.objects.all()
    serializer_class = TruckChoiceSerializer
    filterset_fields = ("release", "status")
    lookup_value_regex = "[0-9a-fA-F-]{36}"
    lookup_value_converter = "uuid"

    def get_queryset(self) -> QuerySet[TruckChoice]:
        return super().get_queryset().filter(branch__in=branches_read(self.request))

    @extend_schema(responses={202: TruckChoiceSerializer})
    def create(self, request: Request) -> Response:
        """Ask; poll until the status is done. The same id twice is one question."""
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        told, seen = sent.validated_data, branches_read(request)
        releases = Release.objects.filter(shipment__branch__in=seen)
        release = one_of(releases, "release", pk=told["release_id"])
        dock = one_of(Dock.objects.filter(branch__in=seen), "dock", pk=told["dock_id"])
        trucks = Truck.objects.filter(branch__in=seen)
        demand(request, release.shipment.branch, "plan.make")
        asked = truck_choice_create(
            choice_id=told["id"],
            release=release,
            dock=dock,
            trucks=[one_of(trucks, "truck", pk=pk) for pk in told["trucks"]],
            distance_km=told["distance_km"],
            budget_s=told["budget_s"],
            now=timezone.now(),
            by=request.user if isinstance(request.user, User) else None,
        )
        return Response(self.get_serializer(asked).data, status=status.HTTP_202_ACCEPTED)

    @extend_schema(request=None, responses={201: ReleaseSerializer})
    @action(detail=True, methods=["post"], url_path="second-trip")
    def second_trip(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """Make what goes second a release of its own. Asking twice gives the same release."""
        choice: TruckChoice = self.get_object()
        demand(request, choice.branch, "plan.make")
        made = choice_second_trip(choice=choice, now=timezone.now())
        return Response(ReleaseSerializer(made).data, status=status.HTTP_201_CREATED)
