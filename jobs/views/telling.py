"""What the buttons of the pages say: as a form, or, from a phone's outbox, as a batch of events."""

import json
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any
from uuid import UUID, uuid5

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.folding.kinds import FIELDS, EventKind
from jobs.forms import BatchForm, TellForm
from jobs.selectors.access import job_demanded
from jobs.services import EventAnswer, events_record, events_tell
from jobs.services.events import REFUSED, UUID_REUSED
from jobs.templatetags.event_words import EVENT_WORDS
from jobs.views.asking import back, device_of, signed_in

_TEXTS = ("key", "label", "note")


@require_POST
@login_required
def tell(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """A form's events, then back to the page it came from. Works without any script."""
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form = TellForm(request.POST)
    told = [_completed(event, request.POST) for event in _events(request.POST.getlist("event"))]
    if not form.is_valid() or not told or None in told:
        messages.error(request, _("This could not be read. Nothing was recorded."))
        return redirect(back(request))
    answers = events_tell(
        job=found,
        told=[event for event in told if event is not None],
        uuid=_uuid(form.cleaned_data["uuid"], request.POST.getlist("event")),
        actor=signed_in(request),
        device=device_of(request),
        now=timezone.now(),
    )
    for answer in answers:
        if answer.answer == REFUSED:
            messages.error(request, _refusal(answer))
    return redirect(back(request))


@require_POST
def batch(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """An outbox's events; each is answered, and the phone forgets only those named.

    401 without a challenge when nobody is signed in, 409 when somebody else is than the one who
    pressed the buttons: the phone keeps its events in both cases.
    """
    if not request.user.is_authenticated:
        return JsonResponse({"code": "sign_in"}, status=HTTPStatus.UNAUTHORIZED)
    form = BatchForm.read(request.body)
    if form is None or not form.is_valid():
        return JsonResponse({"code": "malformed"}, status=HTTPStatus.BAD_REQUEST)
    if form.cleaned_data["who"] != signed_in(request).pk:
        return JsonResponse({"code": "somebody_else"}, status=HTTPStatus.CONFLICT)
    answers = events_record(
        job=job_demanded(user=request.user, job_id=job_id),
        events=form.cleaned_data["events"],
        actor=signed_in(request),
        device=device_of(request),
        clock_offset_ms=form.cleaned_data["clock_offset_ms"],
        now=timezone.now(),
    )
    told = zip(answers, form.cleaned_data["events"], strict=True)
    return JsonResponse({"answers": [_answer(answer, event) for answer, event in told]})


def _uuid(form: UUID, raw: list[str]) -> UUID:
    """One form may have many buttons: which of them was pressed counts too."""
    return uuid5(form, " ".join(raw))


def _events(raw: list[str]) -> list[dict[str, Any] | None]:
    return [_event(text) for text in raw]


def _event(text: str) -> dict[str, Any] | None:
    try:
        event = json.loads(text)
    except ValueError:
        return None
    known = isinstance(event, dict) and isinstance(event.get("payload"), dict)
    return event if known and event.get("kind") in FIELDS else None


def _completed(event: dict[str, Any] | None, fields: Mapping[str, str]) -> dict[str, Any] | None:
    """The event with what the form's other fields say of it: counts and notes."""
    if event is None:
        return None
    payload = dict(event["payload"])
    for name, shape in FIELDS[event["kind"]].items():
        if name not in payload and fields.get(name):
            said = fields[name]
            payload[name] = int(said) if shape not in _TEXTS and said.isdecimal() else said
    return {"kind": event["kind"], "payload": payload}


def _answer(answer: EventAnswer, event: object) -> dict[str, Any]:
    """What became of an event, for the phone; `what` is what the event is called."""
    kind = event.get("kind") if isinstance(event, Mapping) else None
    return {
        "what": str(EVENT_WORDS[EventKind(kind)])
        if isinstance(kind, str) and kind in FIELDS
        else "",
        "uuid": answer.uuid and str(answer.uuid),
        "answer": answer.answer,
        "code": answer.code,
        "detail": answer.detail,
        "said": _refusal(answer) if answer.answer == REFUSED else "",
    }


def _refusal(answer: EventAnswer) -> str:
    if answer.code == UUID_REUSED:
        return _("This was reported already.")
    return _("This could not be recorded: %(why)s") % {"why": answer.detail or answer.code}
