"""Pads and equipment over HTTP: movements, counts, and what a load's truck has."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from inventory.models import User
from loading.api.scope import branch_named, branches_read, demand, one_of
from loading.ledger import Account, Equipment, PlaceKind
from loading.ledger.accounts import KEYED
from loading.models import EquipmentCount, EquipmentMovement, Load
from loading.services import equipment_count_record, equipment_move

COUNT_MAX = 100_000
EQUIPMENT = [one.value for one in Equipment]
PLACES = [one.value for one in PlaceKind]


class EquipmentPlaceSerializer(serializers.Serializer[Any]):
    """A place: `key` names the shipment, truck or load where there are several of a kind."""

    kind = serializers.ChoiceField(choices=PLACES)
    key = serializers.CharField(max_length=60, allow_blank=True, default="")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if (PlaceKind(attrs["kind"]) in KEYED) != bool(attrs["key"]):
            fault = _("must be empty for %(kind)s") if attrs["key"] else _("is needed for %(kind)s")
            raise serializers.ValidationError({"key": fault % {"kind": attrs["kind"]}})
        return attrs


class EquipmentMovementSerializer(serializers.Serializer[EquipmentMovement]):
    id = serializers.UUIDField(help_text="The sender's own, so that it may be sent twice.")
    branch = serializers.SlugField(help_text="The branch's code.")
    equipment = serializers.ChoiceField(choices=EQUIPMENT)
    source = EquipmentPlaceSerializer()  # type: ignore[assignment]  # a field of this name
    target = EquipmentPlaceSerializer()
    count = serializers.IntegerField(min_value=1, max_value=COUNT_MAX)
    reason = serializers.CharField(max_length=200, allow_blank=True, default="")
    moved_at = serializers.DateTimeField(read_only=True)

    def to_representation(self, instance: EquipmentMovement) -> dict[str, Any]:
        return {
            "id": str(instance.id),
            "branch": instance.branch.code,
            "equipment": instance.equipment,
            "source": {"kind": instance.source_kind, "key": instance.source_key},
            "target": {"kind": instance.target_kind, "key": instance.target_key},
            "count": instance.count,
            "reason": instance.reason,
            "moved_at": instance.moved_at.isoformat(),
        }


class EquipmentCountSerializer(serializers.ModelSerializer[EquipmentCount]):
    id = serializers.UUIDField(help_text="The sender's own, so that it may be sent twice.")
    load = serializers.IntegerField(source="load_id")
    count = serializers.IntegerField(min_value=0, max_value=COUNT_MAX)

    class Meta:
        model = EquipmentCount
        fields = ("id", "load", "equipment", "count", "counted_at")
        read_only_fields = ("counted_at",)


class EquipmentLineSerializer(serializers.Serializer[Any]):
    equipment = serializers.CharField()
    on_board = serializers.IntegerField()
    on_goods = serializers.IntegerField()
    counted = serializers.IntegerField(allow_null=True)
    missing = serializers.IntegerField(help_text="Below 0: too many.")


class LoadEquipmentSerializer(serializers.Serializer[Any]):
    """What a load's truck has of each kind, and whether its pads will do for its latest plan."""

    lines = EquipmentLineSerializer(many=True)
    pads_on_board = serializers.IntegerField(allow_null=True)
    pads_wrapped = serializers.IntegerField(allow_null=True)
    pads_rolled = serializers.IntegerField(allow_null=True)
    pads_missing = serializers.IntegerField(allow_null=True)


class _Kept(mixins.ListModelMixin, mixins.RetrieveModelMixin, GenericViewSet[Any]):
    lookup_value_regex = "[0-9a-fA-F-]{36}"
    lookup_value_converter = "uuid"

    def input(self) -> dict[str, Any]:
        serializer = self.get_serializer(data=self.request.data)
        serializer.is_valid(raise_exception=True)
        return serializer.validated_data


class EquipmentMovementViewSet(_Kept):
    """The ledger: what moved from where to where. Nothing in it is ever changed."""

    queryset = EquipmentMovement.objects.select_related("branch")
    serializer_class = EquipmentMovementSerializer

    def get_queryset(self) -> QuerySet[EquipmentMovement]:
        return super().get_queryset().filter(branch__in=branches_read(self.request))

    @extend_schema(responses={201: EquipmentMovementSerializer})
    def create(self, request: Request) -> Response:
        """Write a movement. The same id twice is one movement."""
        given = self.input()
        branch = branch_named(request, given["branch"])
        demand(request, branch, "event.record")
        movement = equipment_move(
            movement_id=given["id"],
            branch=branch,
            equipment=Equipment(given["equipment"]),
            source=_account(given["source"]),
            target=_account(given["target"]),
            count=given["count"],
            reason=given["reason"],
            by=_person(request),
            now=timezone.now(),
        )
        return Response(self.get_serializer(movement).data, status=status.HTTP_201_CREATED)


class EquipmentCountViewSet(_Kept):
    """What people counted in the trucks of loads; the latest count of a kind holds."""

    queryset = EquipmentCount.objects.all()
    serializer_class = EquipmentCountSerializer
    filterset_fields = ("load",)

    def get_queryset(self) -> QuerySet[EquipmentCount]:
        return super().get_queryset().filter(load__branch__in=branches_read(self.request))

    @extend_schema(responses={201: EquipmentCountSerializer})
    def create(self, request: Request) -> Response:
        """Write a count. The same id twice is one count."""
        given = self.input()
        loads = Load.objects.filter(branch__in=branches_read(request))
        load = one_of(loads, "load", pk=given["load_id"])
        demand(request, load.branch, "event.record")
        counted = equipment_count_record(
            count_id=given["id"],
            load=load,
            equipment=Equipment(given["equipment"]),
            count=given["count"],
            by=_person(request),
            now=timezone.now(),
        )
        return Response(self.get_serializer(counted).data, status=status.HTTP_201_CREATED)


def _account(place: dict[str, str]) -> Account:
    return Account(PlaceKind(place["kind"]), place["key"])


def _person(request: Request) -> User | None:
    return request.user if isinstance(request.user, User) else None
