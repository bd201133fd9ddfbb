"""Conditions stay as they were noted; photographs are kept once, outside the database."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

import pytest
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from PIL import Image

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytest_django.fixtures import Settings

    from inventory.models import Item
    from inventory.services import PhotoOf

NOW = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
KEY = UUID(int=1)


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = str(tmp_path)
    return tmp_path


def photo(color: str = "brown") -> bytes:
    written = io.BytesIO()
    Image.new("RGB", (40, 20), color).save(written, "PNG")
    return written.getvalue()


def of(item: Item) -> PhotoOf:
    from inventory.models import Moment
    from inventory.services import PhotoOf

    return PhotoOf(item.shipment.branch, Moment.RECEIVED, item)


def keep(item: Item, sent: bytes, key: UUID = KEY) -> object:
    from inventory.services import photo_store

    return photo_store(photo_id=key, of=of(item), sent=sent, taken_at=NOW, by=None, now=NOW)


def test_a_note_counts_once_and_stays(make_item: Callable[..., Item]) -> None:
    from inventory.errors import UuidReusedError
    from inventory.models import ConditionNote, Moment
    from inventory.services import condition_note

    item = make_item("001")
    told = {"note_id": KEY, "item": item, "moment": Moment.RECEIVED, "by": None, "now": NOW}
    for _ in range(2):
        condition_note(**told, note="SC 4-8")  # type: ignore[arg-type]
    with pytest.raises(UuidReusedError):
        condition_note(**told, note="D 2")  # type: ignore[arg-type]
    assert [note.note for note in ConditionNote.objects.all()] == ["SC 4-8"]
    for change in (
        lambda: ConditionNote.objects.update(note="none"),
        lambda: ConditionNote.objects.all().delete(),
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            change()


def test_a_photograph_sent_twice_is_kept_once_as_a_file(
    make_item: Callable[..., Item], media: Path
) -> None:
    from inventory.errors import UuidReusedError
    from inventory.models import Photo

    item = make_item("001")
    keep(item, photo())
    keep(item, photo())
    kept = Photo.objects.get()
    assert (kept.width_px, kept.height_px) == (40, 20)
    assert [path.name for path in media.rglob("*.jpg")] == [f"{KEY}.jpg"]
    with default_storage.open(kept.name) as file:
        assert len(file.read()) == kept.size_bytes
    with pytest.raises(UuidReusedError):
        keep(item, photo("white"))


def test_a_file_of_a_try_that_ended_early_is_written_anew(
    make_item: Callable[..., Item], media: Path
) -> None:
    item = make_item("001")
    left = media / "photos" / item.shipment.branch.code / f"{KEY}.jpg"
    left.parent.mkdir(parents=True)
    left.write_bytes(b"half a pict")
    keep(item, photo())
    assert [path.name for path in media.rglob("*.*")] == [f"{KEY}.jpg"]
    assert left.read_bytes().startswith(b"\xff\xd8")  # a JPEG's first marker


def test_what_cannot_be_kept_leaves_nothing(
    make_item: Callable[..., Item], media: Path, settings: Settings
) -> None:
    from inventory.errors import PhotoRefusedError, PhotoTooLargeError
    from inventory.models import Photo

    item = make_item("001")
    with pytest.raises(PhotoRefusedError):
        keep(item, b"no picture")
    settings.PHOTO_LIMIT_BYTES = 10
    with pytest.raises(PhotoTooLargeError):
        keep(item, photo())
    assert not Photo.objects.exists()
    assert not list(media.rglob("*.*"))
