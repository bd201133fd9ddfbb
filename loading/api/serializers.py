"""The wire forms of loading. Trucks and docks speak the planning contract's words and units."""

from typing import Any

from rest_framework import serializers

from loading.models import Dock, Load, LoadPlan, PlanRun, Truck
from loading.selectors.documents import dock_document, truck_document

BUDGET_MAX_S = 600
SEED_MAX = 2**31 - 1


class LengthsField(serializers.ListField):
    """So many lengths in whole millimetres."""

    def __init__(self, count: int, **options: Any) -> None:
        child = serializers.IntegerField(min_value=1, max_value=100_000)
        super().__init__(child=child, min_length=count, max_length=count, **options)


class TruckSerializer(serializers.Serializer[Truck]):
    id = serializers.IntegerField(read_only=True)
    branch = serializers.SlugField(help_text="The branch's code.")
    name = serializers.CharField(max_length=60)
    interior_mm = LengthsField(3, help_text="Length, width, height.")
    door_mm = LengthsField(2, help_text="Width and height of the doorway.")
    payload_kg = serializers.FloatField(min_value=0.1, max_value=1_000_000)
    ride = serializers.ChoiceField(choices=Truck.Ride.choices)
    supports = serializers.ListField(
        child=serializers.DictField(),
        min_length=2,
        max_length=2,
        help_text="Where the chassis carries the box: name, x_mm, tare_kg, limit_kg of each place.",
    )
    blocked = serializers.ListField(
        child=serializers.DictField(),
        default=list,
        max_length=200,
        help_text="Boxes in the way, wheel boxes say: name, at_mm, size_mm.",
    )
    pads = serializers.IntegerField(min_value=0, max_value=100_000, allow_null=True, default=None)
    axles = serializers.ListField(
        child=serializers.DictField(),
        default=list,
        max_length=20,
        help_text="For the bridge formula, or empty: x_mm, tare_kg, the support whose load it takes"
        " and how many percent of it, limit_kg or null of each axle.",
    )
    straps = serializers.ListField(
        child=serializers.DictField(),
        default=list,
        max_length=10,
        help_text="The straps on board, part by part (webbing, ratchet, anchor): part, limit_kg as"
        ' marked; without a mark its make and size ("webbing 2in") and null. Empty: unmarked.',
    )

    def to_representation(self, instance: Truck) -> dict[str, Any]:
        return {
            "id": instance.pk,
            "branch": instance.branch.code,
            "pads": None,
            "axles": [],
            "straps": [],
            **truck_document(instance),
        }


class DockSerializer(serializers.Serializer[Dock]):
    id = serializers.IntegerField(read_only=True)
    branch = serializers.SlugField(help_text="The branch's code.")
    name = serializers.CharField(max_length=60)
    vault_spots = serializers.IntegerField(min_value=1, max_value=1000)
    floor_m2 = serializers.FloatField(min_value=0.01, max_value=100_000)

    def to_representation(self, instance: Dock) -> dict[str, Any]:
        known = {"id": instance.pk, "branch": instance.branch.code, "name": instance.name}
        return {**known, **dock_document(instance)}


class _KeysField(serializers.ListField):
    """Related rows by their keys."""

    def to_representation(self, data: Any) -> list[int]:
        return sorted(row.pk for row in data.all())


class LoadSerializer(serializers.ModelSerializer[Load]):
    branch = serializers.SlugRelatedField[Any](slug_field="code", read_only=True)
    release = serializers.IntegerField(source="release_id")
    truck = serializers.IntegerField(source="truck_id")
    dock = serializers.IntegerField(source="dock_id")
    distance_km = serializers.FloatField(min_value=0, max_value=50_000)
    pull_order = serializers.ListField(
        child=serializers.CharField(max_length=60),
        allow_null=True,
        default=None,
        help_text="Vault codes in the order that the warehouse insists on; null: the plan's own.",
    )
    besides = _KeysField(
        child=serializers.IntegerField(),
        default=list,
        max_length=10,
        help_text="Releases of other shipments in the same truck, each delivered after the others.",
    )

    class Meta:
        model = Load
        fields = (
            "id",
            "branch",
            "reference",
            "release",
            "besides",
            "truck",
            "dock",
            "distance_km",
            "pad_mm",
            "pull_order",
            "created_at",
        )
        read_only_fields = ("pad_mm",)


class PlanRunSerializer(serializers.ModelSerializer[PlanRun]):
    id = serializers.UUIDField(help_text="Made by the client; the same one gives the same run.")
    load = serializers.IntegerField(source="load_id")
    seed = serializers.IntegerField(min_value=0, max_value=SEED_MAX, default=1)
    budget_s = serializers.FloatField(min_value=0.1, max_value=BUDGET_MAX_S, default=10)
    progress = serializers.DictField(
        allow_null=True,
        default=None,
        write_only=True,
        help_text="What has been done already, in the form of the planning contract.",
    )
    plan = serializers.SerializerMethodField()

    class Meta:
        model = PlanRun
        fields = (
            "id",
            "load",
            "seed",
            "budget_s",
            "progress",
            "status",
            "share",
            "space_use",
            "pieces_placed",
            "pieces",
            "problem",
            "created_at",
            "enough_at",
            "finished_at",
            "plan",
        )
        read_only_fields = (
            "status",
            "share",
            "space_use",
            "pieces_placed",
            "pieces",
            "problem",
            "enough_at",
        )

    def get_plan(self, run: PlanRun) -> int | None:
        return None if run.plan is None else run.plan.pk


class LoadPlanSerializer(serializers.ModelSerializer[LoadPlan]):
    """A version in a list: what it is and how good."""

    load = serializers.IntegerField(source="load_id")
    run = serializers.UUIDField(source="run_id")

    class Meta:
        model = LoadPlan
        fields = ("id", "load", "version", "run", "figures", "checked_at")


class LoadPlanDetailSerializer(LoadPlanSerializer):
    """A version with its two documents in the form of the planning contract."""

    request_document = serializers.JSONField()
    document = serializers.JSONField()

    class Meta:
        model = LoadPlan
        fields = (*LoadPlanSerializer.Meta.fields, "request_document", "document")
