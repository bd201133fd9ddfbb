"""The parts of the floor's pages that say the same to everybody, under all that they say."""

from django.http import HttpRequest
from django.utils.safestring import SafeString

from inventory.models import User
from jobs.models import Job
from jobs.selectors.boards import LoaderBoard, LoaderLine, PullEntry, WarehouseBoard
from jobs.views.alike import alike, completed
from jobs.views.asking import units
from loading.models import LoadPlan
from loading.selectors import plan_tier_picture, plan_warehouse_pictures

NEXT_SHOWN = 2


def loader_part(
    request: HttpRequest, *, job: Job, plan: LoadPlan, board: LoaderBoard
) -> SafeString:
    """The tier in hand: its picture, its pieces, and the tier as a whole."""
    tier = board.sheet.tier if board.sheet else None
    standing = tuple(_standing(line) for line in board.lines)
    text = alike(
        request,
        "jobs/_loader_board.html",
        key=(job.pk, job.load.reference, str(job.load.truck), plan.run_id, tier, standing),
        shown=lambda: {
            "job": job,
            "board": board,
            "picture": _tier_picture(request, board, plan),
            "lines": [(line, _piece(request, line, plan)) for line in board.lines],
        },
    )
    return completed(request, text)


def warehouse_lines(
    request: HttpRequest, *, job: Job, plan: LoadPlan, board: WarehouseBoard
) -> SafeString:
    """What is still to be fetched and put away, each line kept by itself: on top what can be done.

    A vault that is not empty yet is cleared by no one, however early its line comes.
    """
    pictures = plan_warehouse_pictures(plan=plan, units=units(request))
    seen = {move.step: move.svg for move in pictures.moves}

    def text(number: int, entry: PullEntry) -> str:
        place = "now" if number == 0 else "next" if number <= NEXT_SHOWN else "later"
        task, line = entry.task, entry.line
        told = (task.lane, entry.can_begin, _names(entry.people), entry.seal, entry.not_found)
        return alike(
            request,
            "jobs/_warehouse_line.html",
            key=(job.pk, plan.run_id, line.step, place, told),
            shown=lambda: {
                "job": job,
                "entry": entry,
                "line": line,
                "task": task,
                "place": place,
                "picture": seen.get(line.step),
            },
        )

    first = next((n for n, entry in enumerate(board.entries) if entry.can_begin), 0)
    waiting = (*board.entries[:first], *board.entries[first + 1 :])
    entries = (*board.entries[first : first + 1], *waiting)
    # A vault from outside stands above them all.
    lines = (text(number, entry) for number, entry in enumerate(entries, bool(board.stows)))
    return completed(request, "".join(lines))


def _piece(request: HttpRequest, line: LoaderLine, plan: LoadPlan) -> SafeString:
    """A piece of the tier in hand; a fill has a form of its own, and no text here."""
    if line.is_fill:
        return SafeString("")
    key = (plan.run_id, *_standing(line))
    shown = {"entry": line, "line": line.line}
    return SafeString(alike(request, "jobs/_loader_piece.html", key=key, shown=lambda: shown))


def _tier_picture(request: HttpRequest, board: LoaderBoard, plan: LoadPlan) -> str:
    if board.sheet is None:
        return ""
    states = {line.line.key: line.status for line in board.lines}
    return plan_tier_picture(plan=plan, tier=board.sheet.tier, units=units(request), states=states)


def _standing(line: LoaderLine) -> tuple[str, str, str, tuple[str, ...]]:
    return line.line.key, line.status, line.where, _names(line.carriers)


def _names(people: tuple[User, ...]) -> tuple[str, ...]:
    return tuple(who.first_name or who.username for who in people)
