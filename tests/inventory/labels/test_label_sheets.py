"""Labels as a scanner sees them: painted from the PDF's rectangles, read by another's decoder."""

import re
from io import BytesIO

import numpy as np
import pytest
import zxingcpp
from pypdf import PdfReader

from inventory.labels.codes import TagCode, VaultCode, parse_code, tag_code, vault_code
from inventory.labels.contents import item_labels, vault_labels
from inventory.labels.sheets import STOCKS, Label, labels_pdf

SCALE = 4  # pixels a point: a scan of 288 dpi
RECTANGLE = re.compile(rb"(?m)^(?:n )?(-?[\d.]+) (-?[\d.]+) (-?[\d.]+) (-?[\d.]+) re f")


def pages(pdf):
    return PdfReader(BytesIO(pdf)).pages


def painted(page):
    """The page's filled rectangles as a picture, white paper and black ink."""
    width, height = (
        int(float(edge) * SCALE) for edge in (page.mediabox.width, page.mediabox.height)
    )
    picture = np.full((height, width), 255, np.uint8)
    for found in RECTANGLE.findall(page.get_contents().get_data()):
        x, y, wide, high = (float(number) * SCALE for number in found)
        top, bottom = round(height - y - high), round(height - y)
        picture[top:bottom, round(x) : round(x + wide)] = 0
    return picture


def scanned(page):
    """What a scanner reads on a page, by symbol, left to right and down."""
    read = zxingcpp.read_barcodes(painted(page))
    return {
        name: sorted(found.text for found in read if name in str(found.format))
        for name in ("QR", "128")
    }


TAG = tag_code(lot_number="77900", label_color="blue", number="017")
LONG = tag_code(lot_number="LOT-2026-0412/\u00d1", label_color="light green", number="1017")
VAULT = vault_code(code="V-0123")


def label(code):
    return Label(code, code[:4], ("lot 77900, blue", "carton 3.0"))


@pytest.mark.parametrize("stock", sorted(STOCKS))
@pytest.mark.parametrize("code", [TAG, LONG, VAULT])
def test_both_symbols_say_the_code(stock, code):
    (page,) = pages(labels_pdf([label(code)], stock=stock))
    assert scanned(page) == {"QR": [code], "128": [code]}


def test_what_is_scanned_is_parsed_back_to_the_tag_and_the_vault():
    first, second = pages(labels_pdf([label(LONG), label(VAULT)], stock="4x2in"))
    assert parse_code(scanned(first)["QR"][0]) == TagCode(
        "LOT-2026-0412/\u00d1", "light green", "1017"
    )
    assert parse_code(scanned(second)["128"][0]) == VaultCode("V-0123")


def test_a_begun_sheet_is_used_up():
    many = [label(vault_code(code=f"V{n}")) for n in range(10)]
    sheets = pages(labels_pdf(many, stock="letter", skip=3))
    assert [len(scanned(sheet)["QR"]) for sheet in sheets] == [7, 3]


def test_labels_are_in_the_order_of_their_numbers(make_item):
    items = [make_item("1000"), make_item("017"), make_item("002"), make_item()]
    assert [made.large for made in item_labels(items)] == ["002", "017", "1000"]


def test_a_vaults_label_names_no_customer(vault):
    (made,) = vault_labels([vault])
    assert made.code == vault_code(code="V100")
    assert "SHP-1" not in " ".join(made.lines)
