"""Compiling the catalogues with Babel: machines may lack gettext's own tools."""

from pathlib import Path

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po


def compile_all(directory: Path) -> list[Path]:
    """Compile every catalogue below a directory; gives the files written."""
    written = []
    for source in sorted(directory.glob("*/LC_MESSAGES/*.po")):
        with source.open("rb") as file:
            catalog = read_po(file, locale=source.parents[1].name, abort_invalid=True)
        target = source.with_suffix(".mo")
        fresh = target.with_suffix(".mo.new")
        with fresh.open("wb") as file:
            write_mo(file, catalog)
        fresh.replace(target)  # whole or not at all, whoever reads meanwhile
        written.append(target)
    return written
