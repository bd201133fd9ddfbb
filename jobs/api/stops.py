"""Delivering some pieces at another stop, also while their truck is being loaded."""

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.api.views.branched import body, person
from inventory.api.views.releases import items_of
from inventory.models import Shipment
from inventory.permissions import user_must
from inventory.selectors import branch_visible
from jobs.services import stop_set


class StopWriteSerializer(serializers.Serializer[Any]):
    """`items`: their ids. Stops count from 1, which is delivered first."""

    items = serializers.ListField(
        child=serializers.IntegerField(min_value=1, max_value=2**63 - 1), min_length=1
    )
    stop = serializers.IntegerField(min_value=1, max_value=99)


class StopAnswerSerializer(serializers.Serializer[Any]):
    planned_anew = serializers.ListField(
        child=serializers.CharField(),
        help_text="Loads that were begun; their rest is planned anew.",
    )


class ShipmentStopsView(APIView):
    permission_classes = (IsAuthenticated,)

    @extend_schema(request=StopWriteSerializer, responses=StopAnswerSerializer)
    def post(self, request: Request, shipment_id: int) -> Response:
        """Note a stop, also one that no list had. Saying it twice changes nothing."""
        sent = body(request, StopWriteSerializer)
        seen = Shipment.objects.filter(branch__in=branch_visible(user=request.user))
        shipment = get_object_or_404(seen.select_related("branch"), pk=shipment_id)
        user_must(user=person(request), branch=shipment.branch, action="inventory.write")
        jobs = stop_set(
            items=items_of(shipment, sent["items"]),
            stop=sent["stop"],
            by=person(request),
            now=timezone.now(),
        )
        answer = {"planned_anew": [job.load.reference for job in jobs]}
        return Response(StopAnswerSerializer(answer).data)
