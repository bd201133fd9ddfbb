"""The condition of a piece: noting it, and the photographs."""

from uuid import UUID

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.decorators import branch_page
from inventory.errors import NothingThere, PhotoRefusedError, PhotoTooLargeError
from inventory.forms import ConditionForm
from inventory.models import Branch, Item, Moment, User
from inventory.selectors import photo_open, photo_visible
from inventory.services import PhotoOf, condition_note, photo_store

KEPT_BY_THE_BROWSER_S = 86_400


@require_GET
@branch_page("inventory.read")
def photo(request: HttpRequest, branch: Branch, photo_id: UUID) -> HttpResponseBase:  # noqa: ARG001
    """A photograph, for who may read of the branch's goods."""
    found = photo_visible(branches=Branch.objects.filter(pk=branch.pk), photo_id=photo_id)
    if found is None:
        raise Http404
    try:
        picture = photo_open(photo=found)
    except FileNotFoundError as error:
        raise NothingThere(_("This photograph is not in the storage any more.")) from error
    answer = FileResponse(picture, content_type="image/jpeg", filename=f"{found.pk}.jpg")
    answer["Cache-Control"] = f"private, max-age={KEPT_BY_THE_BROWSER_S}, immutable"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


@require_POST
@branch_page("inventory.write")
def condition(request: HttpRequest, branch: Branch, item_id: int) -> HttpResponse:
    """Note the condition of a piece, with a photograph or without."""
    item = get_object_or_404(Item, pk=item_id, shipment__branch=branch)
    form = ConditionForm(request.POST, request.FILES)
    if not form.is_valid():
        messages.error(request, _("Nothing was noted: say what you see, or choose a photograph."))
        return redirect("jobs:piece", item.pk)
    told, moment = form.cleaned_data, Moment(form.cleaned_data["moment"])
    by = request.user if isinstance(request.user, User) else None
    try:
        if told["photo"]:
            _keep(form.cleaned_data["photo"], told["photo_id"], PhotoOf(branch, moment, item), by)
    except (PhotoRefusedError, PhotoTooLargeError) as error:
        messages.error(request, str(error))
        return redirect("jobs:piece", item.pk)
    if told["note"]:
        condition_note(
            note_id=told["note_id"],
            item=item,
            moment=moment,
            note=told["note"],
            by=by,
            now=timezone.now(),
        )
    messages.success(request, _("Noted."))
    return redirect("jobs:piece", item.pk)


def _keep(sent: UploadedFile, photo_id: UUID, of: PhotoOf, by: User | None) -> None:
    now = timezone.now()
    photo_store(photo_id=photo_id, of=of, sent=sent.read(), taken_at=now, by=by, now=now)
