"""The API of the floor: jobs, their crews, tasks and events, and the task in one's hands."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.viewsets import GenericViewSet, ViewSet

from inventory.errors import NothingThere
from inventory.models import Branch, Device, User
from inventory.permissions import user_may
from jobs.api import serializers as forms
from jobs.api.named import user_named
from jobs.errors import NotPermitted
from jobs.models import Job
from jobs.selectors.access import job_demanded, jobs_visible
from jobs.selectors.events import job_events
from jobs.selectors.notices import job_notices
from jobs.selectors.tasks import job_tasks, task_in_hand
from jobs.services import (
    crew_member_put,
    events_record,
    job_close,
    job_create,
    job_plan,
    job_plan_return,
    job_plan_take,
)
from loading.models import Load, LoadPlan

PAGE = 500


class JobViewSet(mixins.ListModelMixin, GenericViewSet[Job]):
    """Jobs of the branches where one may read them. `?day=2026-03-04` gives those of a day."""

    serializer_class = forms.JobSerializer
    filterset_fields = ("day", "status")
    lookup_value_regex = "[0-9a-f-]{36}"

    def get_queryset(self) -> QuerySet[Job]:
        return jobs_visible(user=self.request.user)

    @extend_schema(request=forms.JobWishSerializer, responses={201: forms.JobSerializer})
    def create(self, request: Request) -> Response:
        """Make the job of a load; the same wish twice gives the same job."""
        wish = _read(forms.JobWishSerializer, request)
        load = Load.objects.select_related("branch").filter(pk=wish["load"]).first()
        if load is None or not user_may(user=request.user, branch=load.branch, action="job.read"):
            raise ValidationError(
                {"load": [_("there is no load %(wish)s") % {"wish": wish["load"]}]}
            )
        _demand(request, load.branch, "job.write")
        job = job_create(
            load=load,
            day=wish["day"],
            window_start=wish["window_start"],
            window_end=wish["window_end"],
            job_id=wish["id"],
        )
        return Response(forms.JobSerializer(job).data, status=status.HTTP_201_CREATED)

    def retrieve(self, request: Request, pk: str) -> Response:
        return Response(forms.JobSerializer(_job(request, pk)).data)

    @extend_schema(request=forms.PlanWishSerializer, responses={202: OpenApiTypes.OBJECT})
    @action(detail=True, methods=["post"])
    def plan(self, request: Request, pk: str) -> Response:
        """Ask for a plan. Follow its run at `/api/plan-runs/{run}/`, then accept the plan."""
        job = _job(request, pk, "plan.make")
        wish = _read(forms.PlanWishSerializer, request)
        run = job_plan(
            job=job,
            seed=wish["seed"],
            budget_s=wish["budget_s"],
            requested_by=_person(request),
            run_id=wish["run"],
        )
        told = {"run": str(run.id), "status": run.status}
        return Response(told, status=status.HTTP_202_ACCEPTED)

    @extend_schema(request=forms.AcceptSerializer, responses=forms.JobSerializer)
    @action(detail=True, methods=["post"])
    def accept(self, request: Request, pk: str) -> Response:
        """Take on a version of the plan; its tasks are made unless the shipment is held.

        Once something has been done, a version is taken only if it holds."""
        job = _job(request, pk, "job.write")
        plan = _plan(job, _read(forms.AcceptSerializer, request)["plan"])
        job = job_plan_take(job=job, plan=plan, by=_person(request), now=timezone.now())
        return Response(forms.JobSerializer(job).data)

    @extend_schema(request=None, responses=forms.JobSerializer)
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """End the job: no more tasks are given out, and new events are refused."""
        job = job_close(job=_job(request, pk, "job.write"), now=timezone.now())
        return Response(forms.JobSerializer(job).data)

    @extend_schema(responses=forms.NoticeSerializer(many=True))
    @action(detail=True, pagination_class=None, filterset_fields=())
    def notices(self, request: Request, pk: str) -> Response:
        """What changed in the plan and why, a sentence each, the oldest first."""
        told = job_notices(job=_job(request, pk))
        return Response(forms.NoticeSerializer(told, many=True).data)

    @extend_schema(request=forms.AcceptSerializer, responses=forms.JobSerializer)
    @action(detail=True, methods=["post"], url_path="return")
    def return_to(self, request: Request, pk: str) -> Response:
        """Go back to a former version of the plan, while it still holds."""
        job = _job(request, pk, "plan.make")
        plan = _plan(job, _read(forms.AcceptSerializer, request)["plan"])
        job = job_plan_return(job=job, plan=plan, by=_person(request), now=timezone.now())
        return Response(forms.JobSerializer(job).data)

    @extend_schema(responses=forms.TaskSerializer(many=True))
    @action(detail=True, pagination_class=None, filterset_fields=())
    def tasks(self, request: Request, pk: str) -> Response:
        """All tasks in tier order; `?status=ready` gives those that could be begun."""
        rows = job_tasks(job=_job(request, pk), status=request.query_params.get("status"))
        return Response(forms.TaskSerializer(rows, many=True).data)

    @extend_schema(
        request=forms.CrewMemberSerializer, responses=forms.CrewMemberSerializer(many=True)
    )
    @action(detail=True, methods=["get", "post"], pagination_class=None, filterset_fields=())
    def crew(self, request: Request, pk: str) -> Response:
        """Who is on the job; POST puts somebody on it, or changes as what."""
        if request.method == "POST":
            job = _job(request, pk, "job.dispatch")
            _crew_put(job, _read(forms.CrewMemberSerializer, request))
        else:
            job = _job(request, pk)
        members = job.crew.select_related("user")
        return Response(forms.CrewMemberSerializer(members, many=True).data)

    @extend_schema(
        parameters=[OpenApiParameter("after", OpenApiTypes.INT, description="last number known")],
        request=forms.BatchSerializer,
        responses=forms.EventAnswerSerializer(many=True),
    )
    @action(detail=True, methods=["get", "post"], pagination_class=None, filterset_fields=())
    def events(self, request: Request, pk: str) -> Response:
        """GET: up to 500 events after a number, without gaps. POST: a batch of up to 200."""
        job = _job(request, pk)
        if request.method != "POST":
            after = _whole_number(request.query_params.get("after", "0"), "after")
            rows = job_events(job=job, after=after, most=PAGE)
            return Response(forms.EventSerializer(rows, many=True).data)
        batch = _read(forms.BatchSerializer, request)
        answers = events_record(
            job=job,
            events=batch["events"],
            actor=_person(request),
            device=_device(job, batch["device"]),
            clock_offset_ms=batch["clock_offset_ms"],
            now=timezone.now(),
        )
        return Response(forms.EventAnswerSerializer(answers, many=True).data)

    @extend_schema(responses=OpenApiTypes.OBJECT)
    @action(detail=True, pagination_class=None, filterset_fields=())
    def state(self, request: Request, pk: str) -> Response:
        """What is known of pieces, vaults, fills, tiers and people, and as of which event."""
        stored = getattr(_job(request, pk), "state", None)
        sequence, state = (stored.sequence, stored.state) if stored else (0, {})
        return Response({"sequence": sequence, "state": state})


class MyTaskViewSet(ViewSet):
    """What the person signed in is to do now."""

    @extend_schema(responses={200: forms.TaskCardSerializer, 204: None})
    def list(self, request: Request) -> Response:
        """The task in hand, or 204 while there is none."""
        card = task_in_hand(user=_person(request))
        if card is None:
            return Response(status=status.HTTP_204_NO_CONTENT)
        return Response(forms.TaskCardSerializer(card).data)


def _read(form: type[BaseSerializer[Any]], request: Request) -> dict[str, Any]:
    read = form(data=request.data)
    read.is_valid(raise_exception=True)
    return dict(read.validated_data)


def _job(request: Request, pk: str, action: str = "job.read") -> Job:
    return job_demanded(user=request.user, job_id=_key(pk), action=action)


def _plan(job: Job, wanted: int) -> LoadPlan:
    plan = LoadPlan.objects.filter(pk=wanted, load__branch=job.branch).first()
    if plan is None:
        raise ValidationError({"plan": [_("there is no plan %(wanted)s") % {"wanted": wanted}]})
    return plan


def _person(request: Request) -> User:
    assert isinstance(request.user, User)  # IsAuthenticated has let nobody else in
    return request.user


def _demand(request: Request, branch: Branch, action: str) -> None:
    if not user_may(user=request.user, branch=branch, action=action):
        raise NotPermitted(action, branch.code)


def _crew_put(job: Job, wish: dict[str, Any]) -> None:
    crew_member_put(
        job=job,
        user=user_named(wish["user"]["username"], field="user"),
        part=wish["part"],
        comes_at=wish.get("comes_at"),
        leaves_at=wish.get("leaves_at"),
    )


def _device(job: Job, device_id: UUID | None) -> Device | None:
    if device_id is None:
        return None
    device = Device.objects.filter(pk=device_id, branch=job.branch).first()
    if device is None:
        raise ValidationError(
            {"device": [_("there is no device %(device_id)s") % {"device_id": device_id}]}
        )
    return device


def _whole_number(text: str, name: str) -> int:
    if not text.isdecimal() or len(text) > 15:
        raise ValidationError({name: [_("must be a whole number")]})
    return int(text)


def _key(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        raise NothingThere(_("there is no job %(key)s") % {"key": text}) from None
