"""What another order of the pulls or a larger dock would give, over HTTP."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from inventory.models import User
from loading.api.scope import branches_read, demand, one_of
from loading.models import DockStudy, LoadPlan
from loading.services import dock_study_create


class StudiedOrderSerializer(serializers.Serializer[Any]):
    """`in_front`: no other order is better in pieces, length, moves and floor at once.

    `space_use`: from 0 to 1; null or left out where it is not known.
    """

    order = serializers.ListField(child=serializers.CharField())
    moves = serializers.IntegerField()
    loaded = serializers.IntegerField()
    length_mm = serializers.IntegerField()
    space_use = serializers.FloatField(allow_null=True, required=False)
    floor_peak_mm2 = serializers.IntegerField()
    in_front = serializers.BooleanField()


class StudiedGainSerializer(serializers.Serializer[Any]):
    more_loaded = serializers.IntegerField()
    shorter_mm = serializers.IntegerField()
    fewer_moves = serializers.IntegerField()


class OrderPriceSerializer(StudiedGainSerializer):
    """What a forced order costs; `sooner`: the vault that would come first, null for none.

    So many pieces wait on the floor for `wait_s` or longer, one of them for `longest_s`."""

    waiting = serializers.IntegerField()
    wait_s = serializers.IntegerField()
    longest_s = serializers.IntegerField(required=False)
    sooner = serializers.CharField(allow_null=True)


class StudiedDockSerializer(StudiedGainSerializer):
    change = serializers.ChoiceField(choices=["floor", "spot"])
    vault_spots = serializers.IntegerField()
    floor_mm2 = serializers.IntegerField()
    pays = serializers.BooleanField()


class StudyAnswerSerializer(serializers.Serializer[Any]):
    """`orders`: the plan's own first. `price`: null where the order of the pulls is open."""

    orders = StudiedOrderSerializer(many=True)
    price = OrderPriceSerializer(allow_null=True)
    docks = StudiedDockSerializer(many=True)


class DockStudySerializer(serializers.ModelSerializer[DockStudy]):
    id = serializers.UUIDField(help_text="Made by the client; the same one is one question.")
    plan = serializers.IntegerField(source="plan_id")
    answer = StudyAnswerSerializer(read_only=True, allow_null=True)

    class Meta:
        model = DockStudy
        fields = (
            *("id", "plan", "budget_s", "status", "answer", "problem"),
            *("asked_at", "finished_at"),
        )
        read_only_fields = ("budget_s", "status", "problem", "asked_at", "finished_at")


class DockStudyViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, GenericViewSet[Any]):
    """Other orders of the pulls and larger docks, planned beside a plan that stands."""

    queryset = DockStudy.objects.all()
    serializer_class = DockStudySerializer
    filterset_fields = ("plan", "status")
    lookup_value_regex = "[0-9a-fA-F-]{36}"
    lookup_value_converter = "uuid"

    def get_queryset(self) -> QuerySet[DockStudy]:
        return super().get_queryset().filter(plan__load__branch__in=branches_read(self.request))

    @extend_schema(responses={202: DockStudySerializer})
    def create(self, request: Request) -> Response:
        """Ask; poll until the status is done. The same id twice is one question."""
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        plans = LoadPlan.objects.select_related("run", "load__branch")
        plan = one_of(
            plans.filter(load__branch__in=branches_read(request)),
            "plan",
            pk=sent.validated_data["plan_id"],
        )
        demand(request, plan.load.branch, "plan.make")
        asked = dock_study_create(
            study_id=sent.validated_data["id"],
            plan=plan,
            now=timezone.now(),
            by=request.user if isinstance(request.user, User) else None,
        )
        return Response(self.get_serializer(asked).data, status=status.HTTP_202_ACCEPTED)
