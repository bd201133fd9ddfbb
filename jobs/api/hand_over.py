"""A job handed over to billing, as data."""

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.selectors.access import job_demanded
from jobs.selectors.hand_over import HandOver, job_hand_over
from loading.selectors import load_shipments


class WorkLineSerializer(serializers.Serializer[Any]):
    """One person's tasks of one kind, and the time they were in hand."""

    person = serializers.CharField()
    part = serializers.CharField()
    kind = serializers.CharField()
    tasks = serializers.IntegerField()
    worked_s = serializers.IntegerField()


class PresenceLineSerializer(serializers.Serializer[Any]):
    person = serializers.CharField()
    part = serializers.CharField()
    on_floor_s = serializers.IntegerField()
    break_s = serializers.IntegerField()


class WaitedSerializer(serializers.Serializer[Any]):
    reason = serializers.CharField()
    waited_s = serializers.IntegerField()


class HandOverSerializer(serializers.Serializer[HandOver]):
    """What billing needs to know. Weights in grams, times in seconds, lengths in metres."""

    job = serializers.UUIDField(source="job.id")
    load = serializers.CharField(source="job.load.reference")
    shipment = serializers.SerializerMethodField(help_text="All aboard, with commas between.")
    release = serializers.SerializerMethodField()
    truck = serializers.CharField(source="job.load.truck.name")
    status = serializers.CharField(source="job.status")
    day = serializers.DateField()
    date_out = serializers.DateTimeField(
        allow_null=True, help_text="When the truck left; null while nobody reported that."
    )
    vaults = serializers.ListField(
        child=serializers.CharField(), help_text="Those that came to the dock."
    )
    pieces = serializers.IntegerField()
    pieces_g = serializers.IntegerField(help_text="The sum of the pieces on the truck.")
    net_g = serializers.IntegerField(
        allow_null=True, help_text="By the newest whole weight ticket."
    )
    is_settled = serializers.BooleanField(
        help_text="Whether the difference between scale and list is explained."
    )
    work = WorkLineSerializer(many=True)
    presence = PresenceLineSerializer(many=True)
    waited = WaitedSerializer(many=True)
    cartons_packed = serializers.IntegerField()
    moving_pads = serializers.IntegerField()
    storage_pads = serializers.IntegerField()
    flights = serializers.IntegerField(allow_null=True, help_text="Flights of stairs.")
    carry_m = serializers.IntegerField(
        allow_null=True, help_text="Metres between the truck and the door."
    )
    not_on_the_truck = serializers.DictField(
        child=serializers.IntegerField(), help_text="Pieces by what became of them."
    )
    exceptions = serializers.IntegerField()

    def get_shipment(self, hand_over: HandOver) -> str:
        return load_shipments(load=hand_over.job.load)

    def get_release(self, hand_over: HandOver) -> str:
        return ", ".join(release.reference for release in hand_over.job.load.releases())


class JobHandOverView(APIView):
    @extend_schema(responses=HandOverSerializer)
    def get(self, request: Request, job_id: UUID) -> Response:
        """Date out, vaults, weights, hours by person and kind, waiting, packing stuff, the way."""
        job = job_demanded(user=request.user, job_id=job_id)
        return Response(HandOverSerializer(job_hand_over(job=job, now=timezone.now())).data)
