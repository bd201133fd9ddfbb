"""Custody over HTTP: every tag of a job, the log of one piece, and that log as EPCIS 2.0."""

from typing import Any
from urllib.parse import quote
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.condition import Mark, condition_marks
from inventory.errors import NothingThere
from jobs.custody.accounting import End
from jobs.custody.epcis import Names, epcis_document
from jobs.custody.log import CustodyEvent
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.custody import job_tags, piece_custody, piece_shipment, piece_vault


class TagAccountSerializer(serializers.Serializer[Any]):
    """What became of a tag; `open`: nobody has said yet."""

    tag = serializers.CharField()
    end = serializers.ChoiceField(choices=[end.value for end in End])
    reason = serializers.CharField()


class MarkSerializer(serializers.Serializer[Mark]):
    code = serializers.CharField()
    meaning = serializers.CharField()
    places = serializers.ListField(child=serializers.CharField())


class CustodyEventSerializer(serializers.Serializer[Any]):
    """One entry of a log. `marks`: the condition, where the note is in official codes."""

    uuid = serializers.UUIDField()
    kind = serializers.CharField()
    payload = serializers.DictField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField()
    conflict = serializers.CharField()
    marks = serializers.SerializerMethodField()

    def get_marks(self, event: CustodyEvent) -> list[dict[str, Any]]:
        marks = condition_marks(str(event.payload.get("note", "")))
        return [dict(MarkSerializer(mark).data) for mark in marks or ()]


class JobTagsView(APIView):
    @extend_schema(responses=TagAccountSerializer(many=True))
    def get(self, request: Request, job_id: UUID) -> Response:
        """Every tag of a job and what became of it."""
        job = job_demanded(user=request.user, job_id=job_id)
        return Response(TagAccountSerializer(job_tags(job=job), many=True).data)


class PieceCustodyView(APIView):
    @extend_schema(responses=CustodyEventSerializer(many=True))
    def get(self, request: Request, job_id: UUID, tag: str) -> Response:
        """Who had a piece when, from its vault to the road."""
        job = job_demanded(user=request.user, job_id=job_id)
        _demand_known(job, tag)
        return Response(CustodyEventSerializer(piece_custody(job=job, tag=tag), many=True).data)


class PieceEpcisView(APIView):
    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, job_id: UUID, tag: str) -> Response:
        """The same as an EPCIS 2.0 document (JSON-LD)."""
        job = job_demanded(user=request.user, job_id=job_id)
        _demand_known(job, tag)
        document = epcis_document(
            piece_custody(job=job, tag=tag),
            names=_names(request, job, tag),
            created_at=timezone.now(),
        )
        return Response(document)


def _demand_known(job: Job, tag: str) -> None:
    if tag not in {account.tag for account in job_tags(job=job)}:
        raise NothingThere(_("this job has no piece %(tag)s") % {"tag": tag})


def _names(request: Request, job: Job, tag: str) -> Names:
    """URIs below our own address: there is no company prefix of GS1."""
    load = job.load

    def named(kind: str, *parts: str) -> str:
        path = "/".join(quote(part, safe="") for part in (job.branch.code, *parts))
        return request.build_absolute_uri(f"/id/{kind}/{path}")

    return Names(
        piece=named("piece", piece_shipment(job=job, tag=tag), tag),
        vault=named("vault", piece_vault(job=job, tag=tag) or "-"),
        truck=named("truck", load.truck.name),
        place=named("branch"),
    )
