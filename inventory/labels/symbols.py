"""QR and Code 128 symbols, drawn as rectangles on a canvas of reportlab."""

from itertools import groupby

import segno
from barcode import Code128
from reportlab.pdfgen.canvas import Canvas

QR_QUIET = 4  # modules of white around a QR symbol (ISO/IEC 18004, 6.3.8)
BARS_QUIET = 10  # modules of white beside a Code 128 symbol (ISO/IEC 15417, 4.3.2)


def qr_modules(said: str) -> tuple[bytes | bytearray, ...]:
    """Give the rows of a QR symbol, 1 for dark. A quarter of it may be scratched (level Q)."""
    return tuple(segno.make_qr(said, error="q", boost_error=False).matrix)


def bar_modules(said: str) -> str:
    """Give the modules of a Code 128 symbol from left to right, "1" for a bar."""
    return str(Code128(said).build()[0])


def qr_draw(canvas: Canvas, said: str, *, left: float, low: float, side: float) -> None:
    """Draw a QR symbol with its quiet zone into a square of `side` points."""
    rows = qr_modules(said)
    module = side / (len(rows) + 2 * QR_QUIET)
    for n, row in enumerate(rows):
        y = low + side - (QR_QUIET + n + 1) * module
        for start, width in _dark_runs(row):
            x = left + (QR_QUIET + start) * module
            canvas.rect(x, y, width * module, module, stroke=0, fill=1)


def bars_draw(
    canvas: Canvas, said: str, *, left: float, low: float, width: float, height: float
) -> None:
    """Draw a Code 128 symbol with its quiet zones, as wide as told."""
    modules = [int(sign) for sign in bar_modules(said)]
    module = width / (len(modules) + 2 * BARS_QUIET)
    for start, wide in _dark_runs(modules):
        x = left + (BARS_QUIET + start) * module
        canvas.rect(x, low, wide * module, height, stroke=0, fill=1)


def _dark_runs(row: bytes | bytearray | list[int]) -> list[tuple[int, int]]:
    """Join neighbours, so that no printer leaves a white hair between them: start and width."""
    runs, start = [], 0
    for dark, same in groupby(row):
        width = len(list(same))
        if dark:
            runs.append((start, width))
        start += width
    return runs
