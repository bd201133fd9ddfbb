"""A paper: its size, its head and foot, and the pieces that every paper is set from.

Black on white only, so that a copier or a phone's camera loses nothing. What is drawn does not
depend on the clock: the same data gives the same bytes.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from django.utils.translation import gettext as _
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from inventory.labels.text import marked, printable

SIZES = {"letter": LETTER, "a4": A4}
MARGIN = 14 * mm
HEAD = 11 * mm
FOOT = 8 * mm
BODY = ParagraphStyle("body", fontName="Helvetica", fontSize=10, leading=12.5)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=8.5, leading=10.5)
BOLD = ParagraphStyle("bold", parent=BODY, fontName="Helvetica-Bold")
RIGHT = ParagraphStyle("right", parent=BODY, alignment=2)
SMALL_RIGHT = ParagraphStyle("small right", parent=SMALL, alignment=2)
HEADING = ParagraphStyle(
    "heading", parent=BODY, fontName="Helvetica-Bold", fontSize=12.5, leading=15, spaceBefore=9
)
TITLE = ParagraphStyle(
    "title", parent=BODY, fontName="Helvetica-Bold", fontSize=17, leading=20, spaceAfter=3
)
ROOM_UNDER_HEADING = 72  # points: the heading, a table's head and a row
ROW_GREY = colors.Color(0.93, 0.93, 0.93)


@dataclass(frozen=True, slots=True)
class PaperForm:
    """How a paper is to look: `sheet` letter or a4, `units` metric or imperial."""

    sheet: str = "letter"
    units: str = "imperial"

    @property
    def size(self) -> tuple[float, float]:
        return SIZES[self.sheet]

    @property
    def width(self) -> float:
        """Between the margins, in points."""
        return self.size[0] - 2 * MARGIN

    @property
    def height(self) -> float:
        return self.size[1] - 2 * MARGIN - HEAD - FOOT


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its share of the width, and how its cells are set."""

    heading: str
    share: float
    style: ParagraphStyle = BODY


def pdf(*, title: str, subject: str, story: Sequence[Flowable], form: PaperForm) -> bytes:
    """Set a paper. `subject` (load, plan version) stands at the head of every page."""
    written = BytesIO()
    frame = Frame(
        MARGIN,
        MARGIN + FOOT,
        form.width,
        form.height,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    template = BaseDocTemplate(
        written,
        pagesize=form.size,
        title=printable(f"{title} {subject}"),
        author="Tierwright",
        invariant=1,
        pageTemplates=[PageTemplate(frames=[frame])],
    )

    def canvas(*args: Any, **given: Any) -> Canvas:
        return _CountedPages(*args, head=(title, subject), **given)

    set_story = [Paragraph(marked(title), TITLE), *_with_what_follows(story)]
    template.build(set_story, canvasmaker=canvas)
    return written.getvalue()


def _with_what_follows(story: Iterable[Flowable]) -> Iterator[Flowable]:
    """No heading at the foot of a page: one without room for a few lines goes to the next."""
    for flowable in story:
        if getattr(flowable, "style", None) is HEADING:
            yield CondPageBreak(ROOM_UNDER_HEADING)
        yield flowable


def paragraph(text: object, style: ParagraphStyle = BODY) -> Paragraph:
    return Paragraph(marked(text), style)


def heading(text: object) -> Paragraph:
    return Paragraph(marked(text), HEADING)


def space(points: float = 6) -> Spacer:
    return Spacer(1, points)


def facts(pairs: Iterable[tuple[str, object]], form: PaperForm) -> Table:
    """Give names and values in two columns."""
    rows = [[paragraph(name), paragraph(value, BOLD)] for name, value in pairs]
    return Table(
        rows,
        colWidths=[form.width * 0.34, form.width * 0.66],
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (0, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 1.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
            ]
        ),
    )


def table(
    columns: Sequence[Column], rows: Iterable[Sequence[object | Flowable]], form: PaperForm
) -> Table:
    """Give a table whose head is repeated on every page; every other row lies on light grey."""
    whole = sum(column.share for column in columns)
    cells: list[list[Flowable]] = [
        [Paragraph(marked(column.heading), _head_style(column)) for column in columns]
    ]
    cells += [
        [
            cell if isinstance(cell, Flowable) else paragraph(cell, column.style)
            for cell, column in zip(row, columns, strict=True)
        ]
        for row in rows
    ]
    return Table(
        cells,
        colWidths=[form.width * column.share / whole for column in columns],
        repeatRows=1,
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, 0), 1.2, colors.black),
                ("LINEBELOW", (0, 1), (-1, -1), 0.4, colors.black),
                ("ROWBACKGROUNDS", (0, 1), (-1, -1), [colors.white, ROW_GREY]),
                ("LEFTPADDING", (0, 0), (-1, -1), 3),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, -1), 2.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
            ]
        ),
    )


class CheckBox(Flowable):
    """An empty box to tick, as large as a pen in a glove needs."""

    def __init__(self, side: float = 11) -> None:
        super().__init__()
        self.width = self.height = side

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: ARG002, N803
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setLineWidth(0.9)
        self.canv.rect(0, 0, self.width, self.height, stroke=1, fill=0)


def lines_to_sign(names: Sequence[str], form: PaperForm) -> Table:
    """Give a line to write on for each of the names, which stand under the lines."""
    return Table(
        [["" for name in names], [paragraph(name, SMALL) for name in names]],
        colWidths=[form.width / len(names)] * len(names),
        rowHeights=[34, None],
        style=TableStyle(
            [
                ("LINEBELOW", (n, 0), (n, 0), 0.8, colors.black, "butt", None, None, 1, 0)
                for n in range(len(names))
            ]
            + [("RIGHTPADDING", (0, 0), (-1, -1), 12), ("LEFTPADDING", (0, 0), (-1, -1), 0)]
        ),
    )


def _head_style(column: Column) -> ParagraphStyle:
    return ParagraphStyle(
        "head", parent=SMALL, fontName="Helvetica-Bold", alignment=column.style.alignment
    )


def planning_aid() -> str:
    """What every paper says beside its figures."""
    return _("Planning aid: check against local codes, plates, a scale and a qualified person.")


class _CountedPages(Canvas):
    """Writes head and foot when all pages are known, so that each says how many there are."""

    def __init__(self, *args: Any, head: tuple[str, str], **given: Any) -> None:
        super().__init__(*args, **given)
        self._head = head
        self._pages: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, page in enumerate(self._pages, start=1):
            self.__dict__.update(page)
            self._write_edges(number, len(self._pages))
            super().showPage()
        super().save()

    def _write_edges(self, number: int, pages: int) -> None:
        width, height = self._pagesize
        title, subject = (printable(text) for text in self._head)
        top = height - MARGIN - 4 * mm
        self.setFont("Helvetica-Bold", 10)
        self.drawString(MARGIN, top, subject)
        self.setFont("Helvetica", 10)
        self.drawRightString(width - MARGIN, top, title)
        self.setLineWidth(0.8)
        self.line(MARGIN, top - 2 * mm, width - MARGIN, top - 2 * mm)
        counted = _("page %(page)d of %(pages)d") % {"page": number, "pages": pages}
        self.setFont("Helvetica", 8.5)
        self.drawString(MARGIN, MARGIN, "Tierwright")
        self.setFont("Helvetica", 7)
        self.drawCentredString(width / 2, MARGIN, printable(planning_aid()))
        self.setFont("Helvetica", 8.5)
        self.drawRightString(width - MARGIN, MARGIN, printable(counted))
