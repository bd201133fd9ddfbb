"""Weight tickets over HTTP: writing one down, and the newest against the list."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.models import User
from loading.api.scope import branches_read, demand, one_of
from loading.models import Load, ScaleTicket
from loading.selectors.scale import LoadScale, load_scale
from loading.services import scale_ticket_record

WRITTEN = (
    *("scale_name", "scale_place", "weighed_on", "gross_g", "tare_g", "net_g", "vehicle"),
    *("shipper", "shipment", "pads_after_tare", "other_after_tare_g", "explanation"),
)


class ScaleTicketSerializer(serializers.ModelSerializer[ScaleTicket]):
    """A ticket as far as it is written; weights in grams."""

    id = serializers.UUIDField(help_text="The sender's own, so that it may be sent twice.")

    class Meta:
        model = ScaleTicket
        fields = ("id", *WRITTEN, "recorded_at")
        read_only_fields = ("recorded_at",)


class TicketFaultSerializer(serializers.Serializer[Any]):
    item = serializers.CharField()
    message = serializers.CharField()


class TicketLineSerializer(serializers.Serializer[Any]):
    ticket = ScaleTicketSerializer()
    faults = TicketFaultSerializer(many=True)


class PartSerializer(serializers.Serializer[Any]):
    cause = serializers.CharField()
    weight_g = serializers.IntegerField()


class ReconciledSerializer(serializers.Serializer[Any]):
    """The scale less the pieces, what explains it, and what is left."""

    difference_g = serializers.IntegerField()
    parts = PartSerializer(many=True)
    left_g = serializers.IntegerField()
    tolerance_g = serializers.IntegerField()
    constructive_g = serializers.IntegerField(help_text="7 lb per cubic foot of space used.")
    is_explained = serializers.BooleanField()


class LoadScaleSerializer(serializers.Serializer[LoadScale]):
    tickets = TicketLineSerializer(many=True)
    pieces_g = serializers.IntegerField()
    estimated_g = serializers.IntegerField()
    reconciled = ReconciledSerializer(allow_null=True)
    is_settled = serializers.BooleanField()


class LoadScaleView(APIView):
    @extend_schema(responses=LoadScaleSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """The tickets of a load, and the newest against its pieces. A planning aid."""
        return Response(LoadScaleSerializer(load_scale(load=_load(request, pk))).data)

    @extend_schema(request=ScaleTicketSerializer, responses={201: LoadScaleSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Write down a ticket, whole or not. The same id twice is one ticket."""
        load = _load(request, pk)
        demand(request, load.branch, "event.record")
        sent = ScaleTicketSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        written = dict(sent.validated_data)
        scale_ticket_record(
            ticket_id=written.pop("id"),
            load=load,
            now=timezone.now(),
            by=request.user if isinstance(request.user, User) else None,
            **written,
        )
        told = LoadScaleSerializer(load_scale(load=load)).data
        return Response(told, status=status.HTTP_201_CREATED)


def _load(request: Request, pk: int) -> Load:
    loads = Load.objects.filter(branch__in=branches_read(request)).select_related(
        "branch", "truck", "release__shipment"
    )
    load = one_of(loads, "load", pk=pk)
    assert isinstance(load, Load)
    return load
