"""Photographs from the floor: a phone sends each under a UUID of its own, as often as it must."""

from http import HTTPStatus
from uuid import UUID

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.selectors.access import job_demanded
from jobs.services.photos import job_photo_store
from jobs.views.asking import signed_in


class PhotoForm(forms.Form):
    """A photograph of a piece, and the exception that it shows."""

    uuid = forms.UUIDField()
    tag = forms.CharField(max_length=80)
    event = forms.UUIDField(required=False)
    taken_at = forms.DateTimeField(required=False)
    photo = forms.FileField()


@require_POST
@login_required
def photos(request: HttpRequest, job_id: UUID) -> JsonResponse:
    """Keep a photograph (multipart: uuid, tag, photo; event, taken_at). Twice is once.

    422 with the faults where it cannot be kept: the phone need not send it again.
    """
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        return JsonResponse({"faults": form.errors}, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    told, now = form.cleaned_data, timezone.now()
    kept = job_photo_store(
        job=found,
        photo_id=told["uuid"],
        tag=told["tag"],
        sent=told["photo"].read(),
        event=told["event"],
        taken_at=told["taken_at"] or now,
        by=signed_in(request),
        now=now,
    )
    return JsonResponse({"uuid": str(kept.pk)}, status=HTTPStatus.CREATED)
