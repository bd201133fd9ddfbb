"""Photographs from the floor: a phone sends each under a UUID of its own, as often as it must."""

from http import HTTPStatus
from uuid import UUID, uuid5

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.errors import PhotoRefusedError, PhotoTooLargeError
from inventory.models import Photo
from jobs.folding import EventKind
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.services import events_tell
from jobs.services.photos import job_photo_store
from jobs.views.asking import back, device_of, signed_in


class PhotoForm(forms.Form):
    """A photograph of a piece, and the exception that it shows: one that is told apart (`event`),
    or, where a form without script brings both, the `note` itself."""

    uuid = forms.UUIDField()
    tag = forms.CharField(max_length=80)
    event = forms.UUIDField(required=False)
    note = forms.CharField(max_length=300, required=False)
    taken_at = forms.DateTimeField(required=False)
    photo = forms.FileField()


@require_POST
@login_required
def photos(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Keep a photograph (multipart: uuid, tag, photo; event, taken_at). Twice is once.

    422 with the faults where it cannot be kept: the phone need not send it again. With `next` it
    is a form without script, and leads back to its page.
    """
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form = PhotoForm(request.POST, request.FILES)
    from_a_page = "next" in request.POST
    if not form.is_valid():
        if from_a_page:
            messages.error(request, _("This could not be read. Nothing was recorded."))
            return redirect(back(request))
        return JsonResponse({"faults": form.errors}, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    if not from_a_page:
        return JsonResponse(
            {"uuid": str(_kept(request, found, form).pk)}, status=HTTPStatus.CREATED
        )
    try:
        _kept(request, found, form)
    except (PhotoRefusedError, PhotoTooLargeError) as error:
        messages.error(request, str(error))
    return redirect(back(request))


def _kept(request: HttpRequest, found: Job, form: PhotoForm) -> Photo:
    told, now = form.cleaned_data, timezone.now()
    event = told["event"]
    if told["note"] and event is None:
        event = _noted(request, found, form)
    return job_photo_store(
        job=found,
        photo_id=told["uuid"],
        tag=told["tag"],
        sent=told["photo"].read(),
        event=event,
        taken_at=told["taken_at"] or now,
        by=signed_in(request),
        now=now,
    )


def _noted(request: HttpRequest, found: Job, form: PhotoForm) -> UUID:
    """Record the exception under a UUID that follows from the photograph's."""
    told = form.cleaned_data
    event = uuid5(told["uuid"], "exception")
    payload = {"tag": told["tag"], "note": told["note"]}
    events_tell(
        job=found,
        told=[{"kind": EventKind.EXCEPTION_NOTED.value, "payload": payload}],
        uuid=event,
        actor=signed_in(request),
        device=device_of(request),
        now=timezone.now(),
    )
    return event
