"""From typed errors to problem documents (RFC 9457): one table, for the API and the pages.

An error carries data; this module alone knows how it looks on the wire. An error that the table
does not name stays what it is: a fault of ours, with status 500.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed, JsonResponse
from django.shortcuts import render
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import exception_handler, set_rollback

import inventory.errors
import jobs.errors
import loading.errors
from inventory.errors import NothingThere

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True, slots=True)
class Kind:
    """What a kind of error is called: status, the end of its type's address, a title."""

    status: int
    slug: str
    title: str | Promise


@dataclass(frozen=True, slots=True)
class Problem:
    """A problem document before it is written out."""

    kind: Kind
    detail: str
    errors: tuple[dict[str, str], ...] = ()
    members: dict[str, object] = field(default_factory=dict)

    def document(self, instance: str) -> dict[str, object]:
        """The members of RFC 9457, ours behind them."""
        told: dict[str, object] = {
            "type": f"/problems/{self.kind.slug}",
            "title": str(self.kind.title),
            "status": self.kind.status,
            "detail": self.detail,
            "instance": instance,
        }
        if self.errors:
            told["errors"] = list(self.errors)
        return told | self.members


# The table: an error's class, or that of one of its parents, and what it becomes.
KINDS: dict[type[Exception], Kind] = {
    inventory.errors.ImportRefusedError: Kind(422, "import-refused", _("The file has faults")),
    inventory.errors.FileTooLargeError: Kind(413, "file-too-large", _("The file is too large")),
    inventory.errors.ImportedElsewhereError: Kind(
        409, "imported-elsewhere", _("The file was imported before")
    ),
    inventory.errors.TagTakenError: Kind(409, "tag-taken", _("The tag is in use")),
    inventory.errors.TagMissingError: Kind(409, "tag-missing", _("The piece has no tag")),
    inventory.errors.UuidReusedError: Kind(409, "uuid-reused", _("The key is in use")),
    inventory.errors.ReferenceTakenError: Kind(
        409, "reference-taken", _("The reference is in use")
    ),
    inventory.errors.NotOfShipmentError: Kind(
        422, "not-of-shipment", _("A piece is not of this shipment")
    ),
    inventory.errors.PlaceRefusedError: Kind(
        422, "place-refused", _("The vault cannot stand there")
    ),
    inventory.errors.WriteRefusedError: Kind(422, "write-refused", _("The input has faults")),
    inventory.errors.CodeUnreadableError: Kind(
        422, "code-unreadable", _("The code cannot be read")
    ),
    inventory.errors.PhotoTooLargeError: Kind(
        413, "photo-too-large", _("The photograph is too large")
    ),
    inventory.errors.PhotoRefusedError: Kind(
        422, "photo-refused", _("The photograph cannot be kept")
    ),
    inventory.errors.SignatureRefusedError: Kind(
        422, "signature-refused", _("The signature cannot be taken")
    ),
    inventory.errors.PaperCorrectedMeanwhileError: Kind(
        409, "paper-corrected-meanwhile", _("The paper was corrected meanwhile")
    ),
    inventory.errors.NotPermittedError: Kind(403, "not-permitted", _("Not permitted")),
    loading.errors.DocumentInvalid: Kind(
        422, "document-invalid", _("The document breaks the planning contract")
    ),
    loading.errors.NameTaken: Kind(409, "name-taken", _("The name is in use")),
    loading.errors.ReferenceTaken: Kind(409, "reference-taken", _("The reference is in use")),
    loading.errors.BranchesDiffer: Kind(422, "branches-differ", _("Not of one branch")),
    loading.errors.RunIdReused: Kind(409, "uuid-reused", _("The key is in use")),
    loading.errors.RunFinished: Kind(409, "run-finished", _("The run has ended")),
    loading.errors.NoPlanYet: Kind(404, "no-plan-yet", _("There is no plan yet")),
    loading.errors.NoSuchPaper: Kind(404, "no-such-paper", _("There is no such paper")),
    loading.errors.NoSuchGap: Kind(422, "no-such-gap", _("There is no such gap")),
    loading.errors.NoSuchTier: Kind(404, "no-such-tier", _("There is no such tier")),
    loading.errors.EquipmentRefused: Kind(
        422, "equipment-refused", _("That cannot be moved or counted")
    ),
    loading.errors.EquipmentUuidReused: Kind(409, "uuid-reused", _("The key is in use")),
    loading.errors.NoTruckNamed: Kind(422, "no-truck-named", _("No truck to choose from")),
    loading.errors.NoSecondTrip: Kind(409, "no-second-trip", _("There is no second trip")),
    loading.errors.ChoiceUuidReused: Kind(409, "uuid-reused", _("The key is in use")),
    loading.errors.StudyUuidReused: Kind(409, "uuid-reused", _("The key is in use")),
    loading.errors.TicketUuidReused: Kind(409, "uuid-reused", _("The key is in use")),
    loading.errors.EquipmentUnexplained: Kind(
        409, "equipment-unexplained", _("Equipment is missing or too much")
    ),
    jobs.errors.LoadHasJob: Kind(409, "load-has-job", _("The load has a job")),
    jobs.errors.NoCrewProposed: Kind(409, "no-crew-proposed", _("No such crew was proposed")),
    jobs.errors.ShiftInvalid: Kind(422, "shift-invalid", _("The shift cannot be")),
    jobs.errors.WindowInvalid: Kind(422, "window-invalid", _("The window is upside down")),
    jobs.errors.PlanOfAnotherLoad: Kind(422, "plan-of-another-load", _("Not a plan of this load")),
    jobs.errors.PlanHoldsNoLonger: Kind(409, "plan-holds-no-longer", _("The plan holds no longer")),
    jobs.errors.OrderOvertaken: Kind(409, "order-overtaken", _("The order cannot hold any more")),
    jobs.errors.OrderBlocked: Kind(409, "order-blocked", _("The lanes do not allow the order")),
    jobs.errors.OrderUuidReused: Kind(409, "uuid-reused", _("The key is in use")),
    jobs.errors.TagsOpen: Kind(409, "tags-open", _("Pieces are not accounted for")),
    jobs.errors.JobClosed: Kind(409, "job-closed", _("The job is closed")),
    jobs.errors.BatchTooLarge: Kind(413, "batch-too-large", _("Too many events at once")),
    jobs.errors.CodeSpent: Kind(410, "code-spent", _("This code cannot be used")),
    jobs.errors.NotOfBranch: Kind(422, "not-of-branch", _("Not of this branch")),
    jobs.errors.NotOnJob: Kind(409, "not-on-job", _("Not on this job")),
    jobs.errors.TakeBackRefused: Kind(409, "take-back-refused", _("That cannot be taken back")),
    jobs.errors.NotPermitted: Kind(403, "not-permitted", _("Not permitted")),
    jobs.errors.NoSuchJob: Kind(404, "no-such-job", _("There is no such job")),
}


def problem_of(error: Exception) -> Problem | None:
    """The problem that a typed error of the apps is, or None for one that the table lacks."""
    kind = next((KINDS[cls] for cls in type(error).__mro__ if cls in KINDS), None)
    if kind is None:
        return None
    faults = tuple(_fault(fault) for fault in getattr(error, "faults", ()))
    return Problem(kind, str(error), faults, _members(error))


def _fault(fault: Any) -> dict[str, str]:
    """A fault's pointer: its own, or the row and column of a table."""
    pointer = getattr(fault, "pointer", None)
    if pointer is None:
        row = getattr(fault, "row", None)
        pointer = fault.column if row is None else f"/{row}/{fault.column}".rstrip("/")
    return {"pointer": pointer, "detail": fault.message}


def _members(error: Exception) -> dict[str, object]:
    """What the error carries besides its sentence, as far as JSON can hold it."""
    simple = (str, int, float, bool, list, tuple, dict)
    reserved = {"faults", "status", "detail", "type", "title", "instance", "errors"}
    return {
        key: value if isinstance(value, simple) else str(value)
        for key, value in vars(error).items()
        if key not in reserved and not key.startswith("_")
    }


# ── The API ─────────────────────────────────────────────────────────────────────────────────────
def api_exception_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """REST framework's hook: our typed errors, and the framework's own, as problem documents."""
    request: Request = context["request"]
    problem = problem_of(error)
    if problem is not None:
        set_rollback()
        return _api_response(problem, request, {})
    answer = exception_handler(error, context)
    if answer is None:
        return None
    return _api_response(_framework_problem(error, answer), request, dict(answer.items()))


def _api_response(problem: Problem, request: Request, headers: dict[str, str]) -> Response:
    # The browsable page keeps its own type; everything else is told as a problem document.
    renderer = getattr(request, "accepted_renderer", None)
    as_page = renderer is not None and renderer.format == "api"
    return Response(
        problem.document(request.path),
        status=problem.kind.status,
        headers={key: value for key, value in headers.items() if key.lower() != "content-type"},
        content_type=None if as_page else MEDIA_TYPE,
    )


TITLES: dict[int, str | Promise] = {
    400: _("Bad request"),
    401: _("Not signed in"),
    403: _("Not permitted"),
    404: _("Not found"),
    405: _("Not what this address does"),
    413: _("Too large"),
    415: _("Not a form that is read here"),
    429: _("Too often"),
}
"""What the frameworks' own refusals are called."""
NOTHING_THERE = _("There is nothing at this address.")


def _framework_problem(error: Exception, answer: Response) -> Problem:
    if isinstance(error, exceptions.ValidationError):
        kind = Kind(422, "invalid-input", _("The input has faults"))
        errors = tuple(_pointed(error.detail))
        return Problem(kind, "; ".join(f"{e['pointer']}: {e['detail']}" for e in errors), errors)
    phrase = HTTPStatus(answer.status_code).phrase
    title = TITLES.get(answer.status_code, phrase)
    kind = Kind(answer.status_code, phrase.lower().replace(" ", "-"), title)
    return Problem(kind, _said(error) or str(getattr(error, "detail", error)))


def _said(error: Exception | None) -> str:
    """A refusal's own sentence. Django's, for what is not there, knows tables and no languages."""
    if isinstance(error, Http404):
        return str(error if isinstance(error, NothingThere) else NOTHING_THERE)
    return str(error) if isinstance(error, PermissionDenied) else ""


def _pointed(detail: Any, pointer: str = "") -> Iterable[dict[str, str]]:
    """REST framework's nested faults as JSON pointers (RFC 6901)."""
    if isinstance(detail, dict):
        for key, inner in detail.items():
            step = "" if key == "non_field_errors" else f"/{_escaped(str(key))}"
            yield from _pointed(inner, pointer + step)
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            nested = isinstance(inner, dict | list)
            yield from _pointed(inner, f"{pointer}/{index}" if nested else pointer)
    else:
        yield {"pointer": pointer, "detail": str(detail)}


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")


# ── The pages ───────────────────────────────────────────────────────────────────────────────────
class ProblemMiddleware:
    """Turns a typed error that a page's view lets through into a page, or a problem document."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if isinstance(answer, HttpResponseNotAllowed) and not answer.content:
            told = method_not_allowed(request)
            told["Allow"] = answer["Allow"]
            return told
        return answer

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Django's hook for an error that a view did not catch."""
        problem = problem_of(error)
        return None if problem is None else problem_response(request, problem)


def problem_response(request: HttpRequest, problem: Problem) -> HttpResponse:
    """A page for a person, a problem document for a program."""
    if request.path.startswith("/api/") or not request.accepts("text/html"):
        return JsonResponse(
            problem.document(request.path), status=problem.kind.status, content_type=MEDIA_TYPE
        )
    return render(request, "problem.html", {"problem": problem}, status=problem.kind.status)


def _plain(status: int, title: str | Promise, detail: str | Promise) -> Callable[..., HttpResponse]:
    slug = HTTPStatus(status).phrase.lower().replace(" ", "-")

    def handler(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
        said = _said(exception) or str(detail)
        return problem_response(request, Problem(Kind(status, slug, title), said))

    return handler


bad_request = _plain(400, TITLES[400], _("The request could not be read."))
permission_denied = _plain(403, TITLES[403], _("You may not do this here."))
page_not_found = _plain(404, TITLES[404], NOTHING_THERE)
method_not_allowed = _plain(
    405,
    TITLES[405],
    _(
        "It takes what a button sends. If you had to sign in first, nothing was recorded: open the "
        "page anew, then press again."
    ),
)
server_error = _plain(500, _("Our fault"), _("Something broke on our side; it has been logged."))
