"""The office's pages that need jobs: a job from a release, a piece's log, the release record."""

from datetime import date, datetime, time
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET

from inventory.errors import InventoryError, NothingThere
from inventory.forms import ConditionForm
from inventory.models import Item, Release, SignedPaper
from inventory.permissions import user_may, user_must
from inventory.selectors import branch_visible, paper_is_as_signed, signed_papers
from inventory.services import Signature, signature_read
from jobs.errors import JobsError
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.condition import piece_condition
from jobs.selectors.piece_log import piece_log, piece_puts
from jobs.selectors.release_records import record_document, record_subject
from jobs.services import job_create
from jobs.services.claim_files import claim_file
from jobs.services.release_records import record_sign
from jobs.templatetags.event_words import AFTER_WORDS, EVENT_WORDS
from jobs.views.asking import signed_in, units
from loading.errors import LoadingError
from loading.forms import KM_PER_MILE
from loading.measures import IMPERIAL
from loading.models import Dock, Truck
from loading.papers import PaperForm
from loading.papers.release_record import RECORD_TITLES, release_record_pdf
from loading.services import load_create

PARTS = ("received", "handed_over")


class JobForm(forms.Form):
    """A released shipment, a truck, a dock, a day."""

    reference = forms.CharField(label=gettext_lazy("Reference of the load"), max_length=60)
    truck = forms.ModelChoiceField(label=gettext_lazy("Truck"), queryset=Truck.objects.none())
    dock = forms.ModelChoiceField(label=gettext_lazy("Dock"), queryset=Dock.objects.none())
    distance = forms.FloatField(min_value=0, max_value=10_000)
    day = forms.DateField(
        label=gettext_lazy("Day"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    start = forms.TimeField(
        label=gettext_lazy("From"), widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )
    end = forms.TimeField(
        label=gettext_lazy("Until"), widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )

    def __init__(self, *args: Any, release: Release, units: str, **given: Any) -> None:
        super().__init__(*args, **given)
        branch = release.shipment.branch
        self.branch, self.in_miles = branch, units == IMPERIAL
        others = _free_releases(release)
        if others.exists():
            self.fields["besides"] = _besides(others)
        trucks, docks = Truck.objects.filter(branch=branch), Dock.objects.filter(branch=branch)
        self.fields["truck"].queryset = trucks  # type: ignore[attr-defined]
        self.fields["dock"].queryset = docks  # type: ignore[attr-defined]
        self.fields["distance"].label = (
            _("Way to go, in miles") if self.in_miles else _("Way to go, in kilometres")
        )

    def window(self) -> tuple[datetime, datetime]:
        """The window as moments; the times are the branch's own."""
        zone, day = ZoneInfo(self.branch.time_zone), self.cleaned_data["day"]
        return (
            datetime.combine(day, self.cleaned_data["start"], zone),
            datetime.combine(day, self.cleaned_data["end"], zone),
        )

    def distance_km(self) -> float:
        told: float = self.cleaned_data["distance"]
        return told * KM_PER_MILE if self.in_miles else told


class _Besides(forms.ModelMultipleChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.shipment.reference}, {obj.reference}: {obj.receiver_name}"


def _free_releases(release: Release) -> QuerySet[Release]:
    """Other shipments' releases that nobody has put onto a truck yet."""
    free = Release.objects.filter(
        shipment__branch=release.shipment.branch, loads=None, loads_besides=None
    )
    free = free.exclude(shipment=release.shipment).filter(shipment__items__left_at=None)
    return free.select_related("shipment").distinct()


def _besides(releases: QuerySet[Release]) -> _Besides:
    return _Besides(
        label=_("Also aboard, delivered after it"),
        queryset=releases,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class SignForm(forms.Form):
    """Both signatures of a release record; `former` is the version that is corrected, or 0."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    former = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    reason = forms.CharField(max_length=200, required=False)
    received_name = forms.CharField(max_length=100)
    received_strokes = forms.JSONField()
    handed_over_name = forms.CharField(max_length=100)
    handed_over_strokes = forms.JSONField()

    def signatures(self) -> list[Signature]:
        told = self.cleaned_data
        return [
            signature_read(part=part, name=told[f"{part}_name"], strokes=told[f"{part}_strokes"])
            for part in PARTS
        ]


@login_required
def job_from_release(request: HttpRequest, release_id: int) -> HttpResponse:
    """Make a job: the released goods, onto which truck, at which dock, when."""
    release = _release_demanded(request, release_id)
    branch = release.shipment.branch
    form = JobForm(
        request.POST or None,
        release=release,
        units=units(request),
        initial=_suggested(request, release),
    )
    if request.method == "POST" and form.is_valid():
        try:
            made = _job_made(release, form)
        except (LoadingError, JobsError) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The job is made. Ask for a plan next."))
            return redirect("jobs:job", made.pk)
    shown = {"release": release, "branch": branch, "form": form}
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/office_job.html", shown, status=status)


@require_GET
@login_required
def piece(request: HttpRequest, item_id: int) -> HttpResponse:
    """A piece: where it is, its tags, and its custody log."""
    branches = branch_visible(user=request.user)
    items = Item.objects.filter(shipment__branch__in=branches).select_related(
        "shipment__branch", "kind", "vault__lane", "loose_place"
    )
    item = get_object_or_404(items.prefetch_related("tags"), pk=item_id)
    shown = {
        "item": item,
        "branch": item.shipment.branch,
        "lines": piece_log(item=item),
        "puts": piece_puts(item=item),
        "condition": piece_condition(item=item),
        "condition_form": ConditionForm(),
        "may_claim": user_may(user=request.user, branch=item.shipment.branch, action="job.write"),
        "may_note": user_may(
            user=request.user, branch=item.shipment.branch, action="inventory.write"
        ),
        "units": units(request),
    }
    return render(request, "jobs/office_piece.html", shown)


@require_GET
@login_required
def claim(request: HttpRequest, item_id: int) -> HttpResponse:
    """A piece's claim file: paper, data and photographs in one archive."""
    branches = branch_visible(user=request.user)
    items = Item.objects.filter(shipment__branch__in=branches)
    item = get_object_or_404(items.select_related("shipment__branch"), pk=item_id)
    branch = item.shipment.branch
    user_must(user=request.user, branch=branch, action="job.write")
    content = claim_file(
        item=item,
        form=PaperForm(branch.paper, units(request)),
        words={
            **{kind.value: str(words) for kind, words in EVENT_WORDS.items()},
            **{kind.value: str(words) for kind, words in AFTER_WORDS.items()},
        },
    )
    response = HttpResponse(content, content_type="application/zip")
    name = f"claim-{item.shipment.reference}-{item.tag or item.pk}.zip"
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    return response


@login_required
def record(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    """A record of a job: as it stands, its signed versions, and signing it."""
    found = job_demanded(user=request.user, job_id=job_id)
    if request.method != "POST":
        return _record_shown(request, found, kind, ())
    user_may_sign = _may_sign(request, found)
    if not user_may_sign:
        user_must(user=request.user, branch=found.branch, action="job.write")
    form = SignForm(request.POST)
    if not form.is_valid():
        return _record_shown(request, found, kind, (_("Both must give their name and sign."),))
    try:
        paper = record_sign(
            job=found,
            signatures=form.signatures(),
            uuid=form.cleaned_data["uuid"],
            by=signed_in(request),
            now=timezone.now(),
            former=form.cleaned_data["former"],
            reason=form.cleaned_data["reason"],
            kind=kind,
            release=_release_of(request, found),
        )
    except InventoryError as error:
        return _record_shown(request, found, kind, (str(error),))
    messages.success(request, _("Signed and frozen as version %s.") % paper.version)
    return redirect(request.get_full_path())


@require_GET
@login_required
def record_unsigned(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    """The record as it stands, with lines to sign on by hand."""
    found = job_demanded(user=request.user, job_id=job_id)
    release = _release_of(request, found)
    newest = signed_papers(kind=kind, subject=record_subject(job=found, release=release)).first()
    content = release_record_pdf(
        record_document(job=found, kind=kind, release=release),
        PaperForm(found.branch.paper, units(request)),
        version=newest.version + 1 if newest else 1,
    )
    return HttpResponse(content, content_type="application/pdf")


@require_GET
@login_required
def record_signed(request: HttpRequest, job_id: UUID, kind: str, version: int) -> HttpResponse:
    """A signed version, as it was signed. One that is not what was signed is not shown."""
    found = job_demanded(user=request.user, job_id=job_id)
    subject = record_subject(job=found, release=_release_of(request, found))
    papers = SignedPaper.objects.filter(kind=kind, subject=subject)
    paper = get_object_or_404(papers, version=version)
    if not paper_is_as_signed(paper=paper):
        raise NothingThere(_("This paper is not what was signed."))
    response = HttpResponse(bytes(paper.content), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{kind}-{version}.pdf"'
    return response


def _record_shown(
    request: HttpRequest, found: Job, kind: str, faults: tuple[str, ...]
) -> HttpResponse:
    release = _release_of(request, found)
    papers = list(signed_papers(kind=kind, subject=record_subject(job=found, release=release)))
    aboard = found.load.releases()
    shown = {
        "releases": aboard if len(aboard) > 1 else (),
        "release": release,
        "query": f"?release={release.pk}" if release.pk != found.load.release_id else "",
        "job": found,
        "kind": kind,
        "title": RECORD_TITLES[kind],
        "record": record_document(job=found, kind=kind, release=release),
        "papers": papers,
        "former": papers[0].version if papers else 0,
        "uuid": uuid4(),
        "may_sign": _may_sign(request, found),
        "parts": [("received", _("Received by")), ("handed_over", _("Handed over by"))],
        "faults": faults,
    }
    return render(request, "jobs/office_record.html", shown, status=422 if faults else 200)


def _release_of(request: HttpRequest, found: Job) -> Release:
    """The release that a record is about: the first of the load's, or the one that is named."""
    named = request.GET.get("release", "")
    wanted = named or str(found.load.release_id)
    release = next((one for one in found.load.releases() if str(one.pk) == wanted), None)
    if release is None:
        raise Http404
    return release


def _may_sign(request: HttpRequest, found: Job) -> bool:
    return any(
        user_may(user=request.user, branch=found.branch, action=action)
        for action in ("event.record", "job.write")
    )


def _release_demanded(request: HttpRequest, release_id: int) -> Release:
    stored = Release.objects.select_related("shipment__branch")
    branches = branch_visible(user=request.user)
    release = get_object_or_404(stored, pk=release_id, shipment__branch__in=branches)
    user_must(user=request.user, branch=release.shipment.branch, action="job.write")
    return release


def _suggested(request: HttpRequest, release: Release) -> dict[str, object]:
    zone = ZoneInfo(release.shipment.branch.time_zone)
    today: date = timezone.now().astimezone(zone).date()
    named = {"branch": release.shipment.branch, "name": request.GET.get("truck", "")}
    return {
        "truck": Truck.objects.filter(**named).first(),
        "reference": f"{release.shipment.reference}-{release.reference}"[:60],
        "day": today,
        "start": time(6),
        "end": time(12),
    }


@transaction.atomic
def _job_made(release: Release, form: JobForm) -> Job:
    told = form.cleaned_data
    load = load_create(
        release=release,
        truck=told["truck"],
        dock=told["dock"],
        reference=told["reference"],
        distance_km=form.distance_km(),
        besides=list(told.get("besides", ())),
    )
    start, end = form.window()
    return job_create(load=load, day=told["day"], window_start=start, window_end=end)
