"""Labels as PDF: on sheets of paper, or one a page for a label printer. Black on white."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import inch, mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from inventory.labels.symbols import bars_draw, qr_draw
from inventory.labels.text import printable


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on a label.

    `code` is in the symbols and below them in signs; `large` is read across a room; `lines` say
    the rest.
    """

    code: str
    large: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabelStock:
    """What labels are printed on: the page, labels across and down, the margin; in points."""

    page: tuple[float, float]
    across: int = 1
    down: int = 1
    margin: float = 0

    @property
    def label(self) -> tuple[float, float]:
        width, height = self.page
        return (width - 2 * self.margin) / self.across, (height - 2 * self.margin) / self.down

    @property
    def count(self) -> int:
        return self.across * self.down


STOCKS = {
    "letter": LabelStock(LETTER, across=2, down=5, margin=0.5 * inch),
    "a4": LabelStock(A4, across=2, down=6, margin=10 * mm),
    "4x2in": LabelStock((4 * inch, 2 * inch)),
    "100x50mm": LabelStock((100 * mm, 50 * mm)),
}
PADDING = 6.0
BARS_HEIGHT = 26.0
CODE_FONT = 7.0
LARGE_FONT = 34.0
LINE_FONT = 9.0


def labels_pdf(labels: Sequence[Label], *, stock: str, skip: int = 0) -> bytes:
    """Set labels on a stock, leaving the first `skip` places of the first sheet free.

    A sheet that has been begun is thus used up. The same labels give the same bytes.
    """
    form = STOCKS[stock]
    written = BytesIO()
    canvas = Canvas(written, pagesize=form.page, invariant=1)
    canvas.setTitle("Tierwright")
    page = 0
    for label, (wanted, left, low) in zip(labels, _places(form, skip), strict=False):
        while page < wanted:
            canvas.showPage()
            page += 1
        _draw(canvas, label, left, low, form.label)
    canvas.showPage()
    canvas.save()
    return written.getvalue()


def _places(form: LabelStock, skip: int) -> Iterator[tuple[int, float, float]]:
    """Page, left and lower edge of one place after the other, row by row from the top."""
    width, height = form.label
    place = skip % form.count
    while True:
        page, rest = divmod(place, form.count)
        row, column = divmod(rest, form.across)
        low = form.page[1] - form.margin - (row + 1) * height
        yield page, form.margin + column * width, low
        place += 1


def _draw(canvas: Canvas, label: Label, left: float, low: float, size: tuple[float, float]) -> None:
    width, height = size[0] - 2 * PADDING, size[1] - 2 * PADDING
    left, low = left + PADDING, low + PADDING
    canvas.setFont("Helvetica", CODE_FONT)
    canvas.drawCentredString(left + width / 2, low, _fitting(label.code, CODE_FONT, width))
    bars_low = low + CODE_FONT + 1
    bars_draw(canvas, label.code, left=left, low=bars_low, width=width, height=BARS_HEIGHT)
    over = bars_low + BARS_HEIGHT + 2
    side = low + height - over
    qr_draw(canvas, label.code, left=left, low=over, side=side)
    text_left, text_width = left + side, width - side
    y = low + height - LARGE_FONT * 0.8
    font = _font_fitting(label.large, LARGE_FONT, text_width)
    canvas.setFont("Helvetica-Bold", font)
    canvas.drawString(text_left, y, printable(label.large))
    canvas.setFont("Helvetica", LINE_FONT)
    for line in label.lines:
        y -= LINE_FONT * 1.25
        if y < over:
            break
        canvas.drawString(text_left, y, _fitting(line, LINE_FONT, text_width))


def _font_fitting(said: str, most: float, width: float) -> float:
    natural = stringWidth(printable(said), "Helvetica-Bold", most)
    return most if natural <= width else most * width / natural


def _fitting(said: str, font: float, width: float) -> str:
    shown = printable(said)
    while shown and stringWidth(shown, "Helvetica", font) > width:
        shown = shown[:-1]
    return shown
