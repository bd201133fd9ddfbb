"""The API of a branch's day: shifts, skills, ways to docks, and the crews proposed for it."""

from datetime import date
from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.api.views.branched import body, person
from inventory.models import Branch
from inventory.permissions import user_must
from inventory.selectors import branch_visible
from jobs.api.named import user_named
from jobs.api.serializers import CrewMemberSerializer
from jobs.models import Skill
from jobs.selectors.access import job_demanded
from jobs.selectors.day_crews import proposed_day
from jobs.selectors.shifts import shifts_of
from jobs.services import (
    crew_accept,
    day_crews_ask,
    dock_way_put,
    shift_drop,
    shift_put,
    skills_put,
)
from loading.models import Dock

BREAKS_MAX = 10
MINUTES_MAX = 600


class TimesSerializer(serializers.Serializer[Any]):
    starts_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()


class ShiftWriteSerializer(TimesSerializer):
    breaks = TimesSerializer(many=True, default=list, help_text="As they are planned.")

    def validate_breaks(self, breaks: list[Any]) -> list[Any]:
        if len(breaks) > BREAKS_MAX:
            raise serializers.ValidationError(_("so many breaks are none"))
        return breaks


class ShiftSerializer(ShiftWriteSerializer):
    user = serializers.CharField(source="person.username", help_text="The sign-in name.")


class SkillsSerializer(serializers.Serializer[Any]):
    kinds = serializers.ListField(child=serializers.ChoiceField(choices=Skill.Kind.choices))


class DockWaySerializer(serializers.Serializer[Any]):
    minutes = serializers.IntegerField(
        min_value=0, max_value=MINUTES_MAX, help_text="From the branch to the dock."
    )


class CrewPersonSerializer(serializers.Serializer[Any]):
    user = serializers.CharField(source="person.username")
    part = serializers.CharField()
    why = serializers.ChoiceField(
        choices=["loader", "warehouse", "forklift", "hands", "sooner"],
        help_text="Leads that work, is needed for what takes several, or lets it end sooner.",
    )
    is_on = serializers.BooleanField(help_text="On the job's crew already.")


class ProposedCrewSerializer(serializers.Serializer[Any]):
    job = serializers.UUIDField(source="job.pk")
    reference = serializers.CharField(source="job.load.reference")
    people = CrewPersonSerializer(many=True)
    starts_at = serializers.DateTimeField(help_text="When the first of them sets off.")
    ends_at = serializers.DateTimeField()
    spare_min = serializers.IntegerField(help_text="Left of the window; below 0: late by so much.")
    one_less_min = serializers.IntegerField(
        allow_null=True, help_text="How much later one fewer would end; null: fewer cannot do it."
    )


class ProposedDaySerializer(serializers.Serializer[Any]):
    made_at = serializers.DateTimeField(allow_null=True)
    is_wanted = serializers.BooleanField(help_text="A newer proposal is being made.")
    crews = ProposedCrewSerializer(many=True)
    unmanned = serializers.SerializerMethodField(help_text="Jobs for which nobody is left.")

    def get_unmanned(self, proposed: Any) -> list[str]:
        return [str(job.pk) for job in proposed.unmanned]


class CrewAcceptSerializer(serializers.Serializer[Any]):
    people = serializers.ListField(
        child=serializers.CharField(max_length=150),
        allow_null=True,
        default=None,
        help_text="Sign-in names of some of the crew; null: all of it.",
    )
    pin = serializers.BooleanField(default=False, help_text="And they stay on this job.")


class DayCrewsView(APIView):
    @extend_schema(responses=ProposedDaySerializer)
    def get(self, request: Request, code: str, day: date) -> Response:
        """The crews that were proposed last for a day of a branch, each with why."""
        proposed = proposed_day(branch=_branch(request, code, "job.read"), day=day)
        return Response(ProposedDaySerializer(proposed).data)

    @extend_schema(request=None, responses={202: ProposedDaySerializer})
    def post(self, request: Request, code: str, day: date) -> Response:
        """Ask for a new proposal; look again until `is_wanted` is false."""
        branch = _branch(request, code, "job.dispatch")
        day_crews_ask(branch=branch, day=day, now=timezone.now())
        told = ProposedDaySerializer(proposed_day(branch=branch, day=day)).data
        return Response(told, status=status.HTTP_202_ACCEPTED)


class CrewAcceptView(APIView):
    @extend_schema(request=CrewAcceptSerializer, responses=CrewMemberSerializer(many=True))
    def post(self, request: Request, job_id: Any) -> Response:
        """Put the crew that was proposed for a job on it, or some of its people."""
        job = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
        sent = body(request, CrewAcceptSerializer)
        names = sent["people"]
        people = None if names is None else [user_named(name, field="people") for name in names]
        put = crew_accept(
            job=job, people=people, pin=sent["pin"], by=person(request), now=timezone.now()
        )
        return Response(CrewMemberSerializer(put, many=True).data)


class ShiftsView(APIView):
    @extend_schema(responses=ShiftSerializer(many=True))
    def get(self, request: Request, code: str, day: date) -> Response:
        """Who is there on a day, from when until when."""
        found = shifts_of(branch=_branch(request, code, "job.read"), day=day)
        return Response(
            [
                {
                    "user": one.person.get_username(),
                    **TimesSerializer(one).data,
                    "breaks": TimesSerializer(one.breaks.all(), many=True).data,
                }
                for one in found
            ]
        )


class ShiftView(APIView):
    @extend_schema(request=ShiftWriteSerializer, responses={204: None})
    def put(self, request: Request, code: str, day: date, username: str) -> Response:
        """Say somebody's hours on a day, in place of what was said before."""
        branch = _branch(request, code, "job.dispatch")
        sent = body(request, ShiftWriteSerializer)
        shift_put(
            branch=branch,
            person=user_named(username, field="user"),
            day=day,
            hours=(sent["starts_at"], sent["ends_at"]),
            breaks=[(one["starts_at"], one["ends_at"]) for one in sent["breaks"]],
            now=timezone.now(),
        )
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, code: str, day: date, username: str) -> Response:
        """Somebody is not there on a day."""
        branch = _branch(request, code, "job.dispatch")
        shift_drop(
            branch=branch, person=user_named(username, field="user"), day=day, now=timezone.now()
        )
        return Response(status=status.HTTP_204_NO_CONTENT)


class SkillsView(APIView):
    @extend_schema(request=SkillsSerializer, responses={204: None})
    def put(self, request: Request, code: str, username: str) -> Response:
        """Say all that somebody is certified for at a branch."""
        branch = _branch(request, code, "job.dispatch")
        kinds = body(request, SkillsSerializer)["kinds"]
        skills_put(branch=branch, person=user_named(username, field="user"), kinds=kinds)
        return Response(status=status.HTTP_204_NO_CONTENT)


class DockWayView(APIView):
    @extend_schema(request=DockWaySerializer, responses=DockWaySerializer)
    def put(self, request: Request, pk: int) -> Response:
        """Say how far a dock is from its branch."""
        seen = Dock.objects.filter(branch__in=branch_visible(user=request.user))
        dock = get_object_or_404(seen.select_related("branch"), pk=pk)
        user_must(user=person(request), branch=dock.branch, action="job.dispatch")
        minutes = body(request, DockWaySerializer)["minutes"]
        return Response(DockWaySerializer(dock_way_put(dock=dock, minutes=minutes)).data)


def _branch(request: Request, code: str, action: str) -> Branch:
    branch = get_object_or_404(branch_visible(user=request.user), code=code)
    user_must(user=person(request), branch=branch, action=action)
    return branch
