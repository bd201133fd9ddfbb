"""The API of loading: trucks, docks, loads, plan runs and the plans that come of them."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from inventory.api.serializers import ReleaseSerializer
from inventory.models import Release, User
from loading.api.equipment import LoadEquipmentSerializer
from loading.api.renderers import SvgRenderer
from loading.api.road import RoadSheetSerializer
from loading.api.scope import branch_named, branches_read, demand, one_of
from loading.api.serializers import (
    DockSerializer,
    LoadPlanDetailSerializer,
    LoadPlanSerializer,
    LoadSerializer,
    PlanRunSerializer,
    TruckSerializer,
)
from loading.api.sheets import PullSheetSerializer, TierSheetSerializer
from loading.models import Dock, Load, LoadPlan, PlanRun, Truck
from loading.pictures import tier_svg, truck_side_svg, truck_top_svg
from loading.selectors import plan_of, pull_sheet, road_sheet, tier_sheets
from loading.selectors.equipment import load_equipment
from loading.services import (
    dock_create,
    load_create,
    load_second_trip,
    plan_run_accept_early,
    plan_run_cancel,
    plan_run_create,
    truck_create,
)

TIER = OpenApiParameter("tier", OpenApiTypes.INT, OpenApiParameter.PATH, description="1: the nose.")
HIGHLIGHT = OpenApiParameter(
    "highlight", OpenApiTypes.STR, description="The tag of a piece that is to be drawn dark."
)
SVG = {(200, "image/svg+xml"): OpenApiTypes.STR}


class _Readable(mixins.ListModelMixin, mixins.RetrieveModelMixin, GenericViewSet[Any]):
    """Rows of the branches whose plans a person may read; those of others are not found."""

    lookup_value_regex = "[0-9]+"

    def input(self) -> dict[str, Any]:
        serializer = self.get_serializer(data=self.request.data)
        serializer.is_valid(raise_exception=True)
        return serializer.validated_data


class TruckViewSet(_Readable):
    queryset = Truck.objects.select_related("branch")
    serializer_class = TruckSerializer

    def get_queryset(self) -> QuerySet[Truck]:
        return super().get_queryset().filter(branch__in=branches_read(self.request))

    def create(self, request: Request) -> Response:
        """Add a truck. The same truck twice is one truck."""
        given = self.input()
        branch = branch_named(request, given.pop("branch"))
        demand(request, branch, "plan.make")
        payload_g = round(given.pop("payload_kg") * 1000)
        truck = truck_create(branch=branch, payload_g=payload_g, **given)
        return Response(self.get_serializer(truck).data, status=status.HTTP_201_CREATED)


class DockViewSet(_Readable):
    queryset = Dock.objects.select_related("branch")
    serializer_class = DockSerializer

    def get_queryset(self) -> QuerySet[Dock]:
        return super().get_queryset().filter(branch__in=branches_read(self.request))

    def create(self, request: Request) -> Response:
        """Add a dock. The same dock twice is one dock."""
        given = self.input()
        branch = branch_named(request, given.pop("branch"))
        demand(request, branch, "plan.make")
        floor_mm2 = round(given.pop("floor_m2") * 1_000_000)
        dock = dock_create(branch=branch, floor_mm2=floor_mm2, **given)
        return Response(self.get_serializer(dock).data, status=status.HTTP_201_CREATED)


class LoadViewSet(_Readable):
    queryset = Load.objects.select_related("branch").prefetch_related("besides")
    serializer_class = LoadSerializer

    def get_queryset(self) -> QuerySet[Load]:
        return super().get_queryset().filter(branch__in=branches_read(self.request))

    def create(self, request: Request) -> Response:
        """Put a release onto a truck at a dock. The same load twice is one load."""
        given = self.input()
        seen = branches_read(request)
        releases = Release.objects.filter(shipment__branch__in=seen)
        release = one_of(releases, "release", pk=given.pop("release_id"))
        trucks = Truck.objects.filter(branch__in=seen)
        truck = one_of(trucks, "truck", pk=given.pop("truck_id"))
        dock = one_of(Dock.objects.filter(branch__in=seen), "dock", pk=given.pop("dock_id"))
        besides = [one_of(releases, "besides", pk=key) for key in given.pop("besides")]
        demand(request, truck.branch, "plan.make")
        load = load_create(release=release, truck=truck, dock=dock, besides=besides, **given)
        return Response(self.get_serializer(load).data, status=status.HTTP_201_CREATED)

    @extend_schema(responses=LoadEquipmentSerializer)
    @action(detail=True, pagination_class=None)
    def equipment(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """The pads and equipment of the load's truck, and whether its pads will do."""
        return Response(LoadEquipmentSerializer(load_equipment(load=self.get_object())).data)

    @extend_schema(request=None, responses={201: ReleaseSerializer(many=True)})
    @action(detail=True, methods=["post"], url_path="second-trip", pagination_class=None)
    def second_trip(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """Release what the newest plan leaves off for a second trip, each shipment's by itself."""
        load: Load = self.get_object()
        demand(request, load.branch, "plan.make")
        made = load_second_trip(load=load, now=timezone.now())
        return Response(ReleaseSerializer(made, many=True).data, status=status.HTTP_201_CREATED)


class PlanRunViewSet(_Readable):
    queryset = PlanRun.objects.select_related("load__branch", "stored_plan").defer(
        "request_document", "stored_plan__request_document", "stored_plan__document"
    )
    serializer_class = PlanRunSerializer
    filterset_fields = ("load", "status")
    lookup_value_regex = "[0-9a-fA-F-]{36}"
    lookup_value_converter = "uuid"

    def get_queryset(self) -> QuerySet[PlanRun]:
        return super().get_queryset().filter(load__branch__in=branches_read(self.request))

    def create(self, request: Request) -> Response:
        """Ask for a plan; poll the run for its progress. The same id twice is one run."""
        given = self.input()
        loads = Load.objects.filter(branch__in=branches_read(request))
        load = one_of(loads, "load", pk=given["load_id"])
        demand(request, load.branch, "plan.make")
        run = plan_run_create(
            load=load,
            seed=given["seed"],
            budget_s=given["budget_s"],
            progress=given["progress"],
            run_id=given["id"],
            requested_by=request.user if isinstance(request.user, User) else None,
        )
        return Response(self.get_serializer(run).data, status=status.HTTP_202_ACCEPTED)

    @extend_schema(request=None, responses=PlanRunSerializer)
    @action(detail=True, methods=["post"])
    def cancel(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """Call a run off. Cancelling twice is one cancelling."""
        run = self.get_object()
        demand(request, run.load.branch, "plan.make")
        run = plan_run_cancel(run_id=run.id, now=timezone.now())
        return Response(self.get_serializer(run).data)

    @extend_schema(request=None, responses=PlanRunSerializer)
    @action(detail=True, methods=["post"], url_path="accept-early")
    def accept_early(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """Let a run end with the best plan found so far. Asking twice is asking once."""
        run = self.get_object()
        demand(request, run.load.branch, "plan.make")
        run = plan_run_accept_early(run_id=run.id, now=timezone.now())
        return Response(self.get_serializer(run).data)


class LoadPlanViewSet(_Readable):
    queryset = LoadPlan.objects.all()
    filterset_fields = ("load", "version")

    def get_queryset(self) -> QuerySet[LoadPlan]:
        plans = super().get_queryset().filter(load__branch__in=branches_read(self.request))
        # The documents of a large load are some hundred kilobytes each.
        return plans.defer("request_document", "document") if self.action == "list" else plans

    def get_serializer_class(self) -> type[LoadPlanSerializer]:
        return LoadPlanSerializer if self.action == "list" else LoadPlanDetailSerializer

    @extend_schema(responses=PullSheetSerializer)
    @action(detail=True, url_path="pull-sheet", pagination_class=None, filterset_fields=())
    def pull_sheet(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """What the warehouse does for this plan, in order."""
        return Response(PullSheetSerializer(pull_sheet(plan=self.get_object())).data)

    @extend_schema(responses=TierSheetSerializer(many=True))
    @action(detail=True, pagination_class=None, filterset_fields=())
    def tiers(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """What the loader does for each tier, in order."""
        sheets = tier_sheets(plan=self.get_object())
        return Response(TierSheetSerializer(sheets, many=True).data)

    @extend_schema(responses=RoadSheetSerializer)
    @action(detail=True, url_path="road-sheet", pagination_class=None, filterset_fields=())
    def road_sheet(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """Weights on the road, how the load is held, and what would mend it. A planning aid."""
        return Response(RoadSheetSerializer(road_sheet(plan=self.get_object())).data)

    @extend_schema(parameters=[TIER, HIGHLIGHT], responses=SVG)
    @action(
        detail=True,
        url_path="tiers/(?P<tier>[0-9]{1,6})/picture",
        renderer_classes=[SvgRenderer, JSONRenderer],
    )
    def tier_picture(self, request: Request, pk: str, tier: str) -> Response:  # noqa: ARG002
        """One tier as it is seen from the doors, to scale."""
        load_request, plan = plan_of(plan=self.get_object())
        highlight = request.query_params.get("highlight")
        return _picture(tier_svg(load_request, plan, int(tier), highlight=highlight))

    @extend_schema(responses=SVG)
    @action(detail=True, url_path="truck/side", renderer_classes=[SvgRenderer, JSONRenderer])
    def truck_side(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """The whole truck from its left side, to scale."""
        return _picture(truck_side_svg(*plan_of(plan=self.get_object())))

    @extend_schema(responses=SVG)
    @action(detail=True, url_path="truck/top", renderer_classes=[SvgRenderer, JSONRenderer])
    def truck_top(self, request: Request, pk: str) -> Response:  # noqa: ARG002
        """The whole truck from above, to scale."""
        return _picture(truck_top_svg(*plan_of(plan=self.get_object())))


def _picture(svg: str) -> Response:
    return Response(svg, content_type="image/svg+xml")
