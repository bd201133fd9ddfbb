"""Photographs as they are kept: checked by content, without metadata, no larger than needed."""

import io
from dataclasses import dataclass

from django.utils.translation import gettext as _
from PIL import Image, ImageOps

from inventory.errors import PhotoRefusedError

FORMATS = ("JPEG", "PNG", "WEBP")
PIXELS_MAX = 60_000_000
"""More than any phone's camera; a small file can unpack to far more."""
EDGE_MAX_PX = 2560
QUALITY = 85


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG with its size in pixels."""

    content: bytes
    width_px: int
    height_px: int


def picture_made_anew(sent: bytes) -> Picture:
    """Read a picture by what it is, not by its name, and write its pixels anew.

    Nothing of the file but the pixels is kept: no place, no device, no thumbnail. It is turned
    the way the camera was held. Raises `PhotoRefusedError`.
    """
    try:
        with Image.open(io.BytesIO(sent), formats=FORMATS) as opened:
            if opened.width * opened.height > PIXELS_MAX:
                raise PhotoRefusedError(_("too many pixels"))
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise PhotoRefusedError(_("no photograph (JPEG, PNG or WebP)")) from error
    upright.thumbnail((EDGE_MAX_PX, EDGE_MAX_PX))
    bare = Image.frombytes("RGB", upright.size, upright.tobytes())
    written = io.BytesIO()
    bare.save(written, "JPEG", quality=QUALITY)
    return Picture(written.getvalue(), *bare.size)
