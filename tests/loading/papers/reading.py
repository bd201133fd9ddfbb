"""Reading a PDF back, with a library that has nothing to do with the one that wrote it."""

from io import BytesIO

from pypdf import PdfReader


def pages_of(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def words_of(pdf: bytes) -> str:
    """All text with single spaces between the words, however its lines are broken."""
    return " ".join(" ".join(pages_of(pdf)).split())


def sheet_of(pdf: bytes) -> tuple[float, float]:
    """Width and height of the first page in millimetres."""
    box = PdfReader(BytesIO(pdf)).pages[0].mediabox
    return round(float(box.width) / 72 * 25.4, 1), round(float(box.height) / 72 * 25.4, 1)
