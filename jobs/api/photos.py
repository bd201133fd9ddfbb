"""Photographs of a job's pieces over HTTP."""

from typing import Any
from uuid import UUID

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import FormParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.models import Photo, User
from inventory.selectors import subject_photos
from jobs.selectors.access import job_demanded
from jobs.services.photos import job_photo_store


class PhotoSerializer(serializers.ModelSerializer[Photo]):
    """A photograph; `url` gives the picture to who may see it."""

    url = serializers.SerializerMethodField()

    class Meta:
        model = Photo
        fields = ("id", "tag", "event", "moment", "width_px", "height_px", "taken_at", "url")

    def get_url(self, photo: Photo) -> str:
        return reverse("inventory:photo", args=[photo.branch.code, photo.pk])


class PhotoSentSerializer(serializers.Serializer[Any]):
    """What a phone sends, as multipart/form-data."""

    id = serializers.UUIDField(help_text="The sender's own, so that it may be sent twice.")
    tag = serializers.CharField(max_length=80)
    event = serializers.UUIDField(
        required=False, allow_null=True, help_text="The exception it shows; it may come later."
    )
    taken_at = serializers.DateTimeField(required=False)
    photo = serializers.FileField(help_text="JPEG, PNG or WebP.")


class JobPhotosView(APIView):
    parser_classes = (MultiPartParser, FormParser)

    @extend_schema(responses=PhotoSerializer(many=True))
    def get(self, request: Request, job_id: UUID) -> Response:
        """The photographs that were taken on a job."""
        job = job_demanded(user=request.user, job_id=job_id)
        found = subject_photos(subject=f"job {job.pk}").select_related("branch")
        return Response(PhotoSerializer(found, many=True).data)

    @extend_schema(request=PhotoSentSerializer, responses={201: PhotoSerializer})
    def post(self, request: Request, job_id: UUID) -> Response:
        """Keep a photograph of a piece. The same id twice is one photograph."""
        job = job_demanded(user=request.user, job_id=job_id, action="event.record")
        sent = PhotoSentSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        told, now = sent.validated_data, timezone.now()
        kept = job_photo_store(
            job=job,
            photo_id=told["id"],
            tag=told["tag"],
            sent=told["photo"].read(),
            event=told.get("event"),
            taken_at=told.get("taken_at", now),
            by=request.user if isinstance(request.user, User) else None,
            now=now,
        )
        return Response(PhotoSerializer(kept).data, status=status.HTTP_201_CREATED)
