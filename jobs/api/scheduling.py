"""Who does what when, when a job will end, and what the day's balance proposes, over HTTP."""

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.models import User
from jobs.api.named import user_named
from jobs.api.serializers import CrewMemberSerializer
from jobs.selectors.access import job_demanded
from jobs.selectors.forecasts import JobForecast, job_forecast
from jobs.selectors.proposals import DayProposals, day_proposals
from jobs.selectors.schedules import DONE, NOW, PLANNED, JobSchedule, job_schedule
from jobs.services import crew_pin, crew_unpin, proposal_accept


class BarSerializer(serializers.Serializer[Any]):
    task = serializers.CharField(source="task.key")
    begin_s = serializers.IntegerField()
    end_s = serializers.IntegerField()
    state = serializers.ChoiceField(choices=[DONE, NOW, PLANNED])
    with_others = serializers.BooleanField()


class PersonBarsSerializer(serializers.Serializer[Any]):
    person = serializers.CharField(source="member.user.username")
    part = serializers.CharField(source="member.part")
    bars = BarSerializer(many=True)


class ScheduleSerializer(serializers.Serializer[JobSchedule]):
    """Seconds count from `starts_at`. `made_at` is null while there is no schedule."""

    starts_at = serializers.DateTimeField()
    made_at = serializers.DateTimeField(allow_null=True)
    now_s = serializers.IntegerField()
    window_begin_s = serializers.IntegerField()
    window_end_s = serializers.IntegerField()
    end_s = serializers.IntegerField()
    bound_s = serializers.IntegerField(allow_null=True)
    people = PersonBarsSerializer(many=True)
    left_over = serializers.SerializerMethodField(help_text="Tasks that nobody there can do.")

    def get_left_over(self, schedule: JobSchedule) -> list[str]:
        return [task.key for task in schedule.left_over]


class ForecastSerializer(serializers.Serializer[JobForecast]):
    """When a job ends: likely, and from when until when in four days out of five."""

    likely_at = serializers.DateTimeField(allow_null=True)
    early_at = serializers.DateTimeField(allow_null=True)
    late_at = serializers.DateTimeField(allow_null=True)
    window_end = serializers.DateTimeField()
    late_min = serializers.IntegerField()
    may_be_late = serializers.BooleanField()
    rests_on = serializers.ChoiceField(choices=["schedule", "work", "nothing"])
    tasks_left = serializers.IntegerField()
    people = serializers.IntegerField()
    observations = serializers.IntegerField(help_text="Behind the rate known least; 0: a guess.")


class ProposalSerializer(serializers.Serializer[Any]):
    person = serializers.CharField(source="person.username")
    from_job = serializers.UUIDField(source="from_job.id")
    to_job = serializers.UUIDField(source="to_job.id")
    gain_min = serializers.IntegerField()
    late_gain_min = serializers.IntegerField()
    sentence = serializers.CharField()


class PinSerializer(serializers.Serializer[Any]):
    person = serializers.CharField(source="person.username")
    job = serializers.UUIDField(source="job_id")


class ProposalsSerializer(serializers.Serializer[DayProposals]):
    made_at = serializers.DateTimeField(allow_null=True)
    proposals = ProposalSerializer(many=True)
    pins = PinSerializer(many=True)


class ProposalWishSerializer(serializers.Serializer[Any]):
    wish = serializers.UUIDField(help_text="Made by the client; the same one sends once.")
    person = serializers.CharField(help_text="The sign-in name.")
    to_job = serializers.UUIDField()


class JobScheduleView(APIView):
    @extend_schema(responses=ScheduleSerializer)
    def get(self, request: Request, job_id: UUID) -> Response:
        """What each of the crew did, does and will do."""
        job = job_demanded(user=request.user, job_id=job_id)
        return Response(ScheduleSerializer(job_schedule(job=job, now=timezone.now())).data)


class JobForecastView(APIView):
    @extend_schema(responses={200: ForecastSerializer, 204: None})
    def get(self, request: Request, job_id: UUID) -> Response:
        """When the job will end; 204 where no work is left or none is known yet."""
        job = job_demanded(user=request.user, job_id=job_id)
        forecast = job_forecast(job=job, now=timezone.now())
        if forecast is None:
            return Response(status=status.HTTP_204_NO_CONTENT)
        return Response(ForecastSerializer(forecast).data)


class JobProposalsView(APIView):
    @extend_schema(responses=ProposalsSerializer)
    def get(self, request: Request, job_id: UUID) -> Response:
        """What is proposed for the day of this job, and who is pinned."""
        job = job_demanded(user=request.user, job_id=job_id)
        return Response(ProposalsSerializer(day_proposals(branch=job.branch, day=job.day)).data)

    @extend_schema(request=ProposalWishSerializer, responses=CrewMemberSerializer)
    def post(self, request: Request, job_id: UUID) -> Response:
        """Send a person from this job to another; both records say so."""
        job = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
        wish = ProposalWishSerializer(data=request.data)
        wish.is_valid(raise_exception=True)
        told = wish.validated_data
        to_job = job_demanded(user=request.user, job_id=told["to_job"], action="job.dispatch")
        sent = proposal_accept(
            wish=told["wish"],
            person=user_named(told["person"], field="person"),
            from_job=job,
            to_job=to_job,
            by=_signed_in(request),
            now=timezone.now(),
        )
        return Response(CrewMemberSerializer(sent).data)


class JobPinView(APIView):
    @extend_schema(request=None, responses=PinSerializer)
    def put(self, request: Request, job_id: UUID, person: str) -> Response:
        """Keep a person on this job for its day."""
        job = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
        by, now = _signed_in(request), timezone.now()
        pin = crew_pin(person=user_named(person, field="person"), job=job, by=by, now=now)
        return Response(PinSerializer(pin).data)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, job_id: UUID, person: str) -> Response:
        """Let a person go where the day needs people."""
        job = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
        crew_unpin(person=user_named(person, field="person"), job=job, now=timezone.now())
        return Response(status=status.HTTP_204_NO_CONTENT)


def _signed_in(request: Request) -> User:
    assert isinstance(request.user, User)  # IsAuthenticated has let nobody else in
    return request.user
