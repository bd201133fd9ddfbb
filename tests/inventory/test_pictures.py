"""A photograph is what its bytes are, and keeps nothing but its pixels."""

import io

import pytest
from PIL import Image

from inventory.errors import PhotoRefusedError
from inventory.pictures import EDGE_MAX_PX, picture_made_anew

MAKE_TAG, ORIENTATION_TAG, GPS_TAG = 0x010F, 0x0112, 0x8825  # EXIF 2.32, from memory
TURNED_RIGHT = 6


def photo(form: str = "JPEG", size: tuple[int, int] = (40, 20), exif: bool = False) -> bytes:
    image, written = Image.new("RGB", size, "brown"), io.BytesIO()
    told = Image.Exif()
    if exif:
        told[MAKE_TAG] = "A phone"
        told[ORIENTATION_TAG] = TURNED_RIGHT
        told.get_ifd(GPS_TAG)[1] = "N"
    image.save(written, form, exif=told)
    return written.getvalue()


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_every_kind_comes_out_as_a_jpeg(form: str) -> None:
    made = picture_made_anew(photo(form))
    with Image.open(io.BytesIO(made.content)) as opened:
        assert (opened.format, opened.size) == ("JPEG", (40, 20))


def test_it_is_turned_upright_and_tells_nothing_of_place_or_phone() -> None:
    sent = photo(exif=True)
    assert b"A phone" in sent
    made = picture_made_anew(sent)
    assert (made.width_px, made.height_px) == (20, 40)
    with Image.open(io.BytesIO(made.content)) as opened:
        assert not opened.getexif()
    assert b"Exif" not in made.content


def test_a_large_one_is_made_smaller() -> None:
    made = picture_made_anew(photo(size=(4000, 1000)))
    assert (made.width_px, made.height_px) == (EDGE_MAX_PX, EDGE_MAX_PX // 4)


@pytest.mark.parametrize(
    "sent",
    [b"", b"%PDF-1.7", b"<svg xmlns='http://www.w3.org/2000/svg'/>", photo()[:200], photo("GIF")],
    ids=["nothing", "paper", "drawing", "cut off", "another kind"],
)
def test_what_is_no_photograph_is_refused(sent: bytes) -> None:
    with pytest.raises(PhotoRefusedError):
        picture_made_anew(sent)


def test_more_pixels_than_any_camera_has_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inventory.pictures.PIXELS_MAX", 40 * 20 - 1)
    with pytest.raises(PhotoRefusedError, match="pixels"):
        picture_made_anew(photo())
