"""The API of "What fits here?" at the truck: the load as it stands now."""

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.selectors.access import job_demanded
from jobs.selectors.fits import JobFits, job_fits
from loading.api.fits import (
    MOST_MAX,
    FitSerializer,
    FoundGapSerializer,
    GapSerializer,
    RollsSerializer,
    gap_asked,
)
from loading.errors import NoPlanYet


class JobFitsWishSerializer(serializers.Serializer[Any]):
    gap = GapSerializer()
    most = serializers.IntegerField(min_value=1, max_value=MOST_MAX, default=12)


class JobFitSerializer(FitSerializer):
    can_come = serializers.SerializerMethodField(
        help_text="A helper can bring it now: it is on the floor, or next to come out."
    )
    wanted = serializers.SerializerMethodField(help_text="A helper was asked to bring it.")
    in_truck = serializers.SerializerMethodField(help_text="It was carried in and has no place.")

    def get_can_come(self, fit: Any) -> bool:
        return fit.tag in self._found.can_come

    def get_wanted(self, fit: Any) -> bool:
        return fit.tag in self._found.wanted

    def get_in_truck(self, fit: Any) -> bool:
        return fit.tag in self._found.in_truck

    @property
    def _found(self) -> JobFits:
        found: JobFits = self.context["found"]
        return found


class JobFitsSerializer(serializers.Serializer[Any]):
    gap = FoundGapSerializer()
    may_go = JobFitSerializer(many=True)
    may_not = JobFitSerializer(many=True)
    rolls = RollsSerializer()


class JobFitsView(APIView):
    @extend_schema(request=JobFitsWishSerializer, responses=JobFitsSerializer)
    def post(self, request: Request, job_id: UUID) -> Response:
        """The pieces that fill a gap best by what has been done so far, each with where it is now,
        and the pads that would do otherwise. Nothing is changed: to have one of them brought,
        report the event `piece_wanted` with its `tag` and the gap's `tier`."""
        job = job_demanded(user=request.user, job_id=job_id)
        wish = JobFitsWishSerializer(data=request.data)
        wish.is_valid(raise_exception=True)
        if job.plan is None:
            raise NoPlanYet(job.load.reference)
        told = wish.validated_data
        found = job_fits(job=job, plan=job.plan, gap=gap_asked(told["gap"]), most=told["most"])
        context = {"face": found.face, "found": found}
        return Response(JobFitsSerializer(found.fits, context=context).data)
