"""The order in which a job's vaults are pulled, over HTTP."""

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.api.views.branched import body, person
from jobs.api.serializers import BUDGET_MAX_S
from jobs.selectors.access import job_demanded
from jobs.selectors.order_choices import StandingOrder, job_order
from jobs.services import job_order_choose


class OrderWishSerializer(serializers.Serializer[Any]):
    """`order`: vault codes, the first first; those that it does not name come last. Null: the
    planner chooses."""

    id = serializers.UUIDField(
        help_text="Made by the client; the same one is one choice. The plan run has it too."
    )
    order = serializers.ListField(
        child=serializers.CharField(max_length=20), min_length=1, max_length=500, allow_null=True
    )
    budget_s = serializers.FloatField(min_value=0.1, max_value=BUDGET_MAX_S, default=10)


class StandingOrderSerializer(serializers.Serializer[StandingOrder]):
    """`order`: what plans keep to from now on, null while the planner chooses. `by` is empty where
    the order came with the load."""

    order = serializers.ListField(
        child=serializers.CharField(), source="codes", allow_null=True, read_only=True
    )
    chosen_by = serializers.CharField(source="by", read_only=True)
    chosen_at = serializers.DateTimeField(source="at", allow_null=True, read_only=True)


class JobOrderView(APIView):
    @extend_schema(responses=StandingOrderSerializer)
    def get(self, request: Request, job_id: UUID) -> Response:
        """The order that plans of the job keep to."""
        found = job_demanded(user=request.user, job_id=job_id)
        return Response(StandingOrderSerializer(job_order(job=found)).data)

    @extend_schema(request=OrderWishSerializer, responses={202: StandingOrderSerializer})
    def post(self, request: Request, job_id: UUID) -> Response:
        """Choose an order, or none any more, and plan with it. Follow `/api/plan-runs/{id}/`, then
        accept the plan. Of a load that is begun the rest is planned."""
        found = job_demanded(user=request.user, job_id=job_id, action="job.write")
        sent = body(request, OrderWishSerializer)
        choice = job_order_choose(
            job=found,
            codes=sent["order"],
            choice_id=sent["id"],
            budget_s=sent["budget_s"],
            by=person(request),
            now=timezone.now(),
        )
        told = StandingOrderSerializer(job_order(job=choice.job)).data
        return Response(told, status=status.HTTP_202_ACCEPTED)
