"""tests/benchmarks/results.md: one part for each benchmark, each written by its own run."""

from __future__ import annotations

import platform
import re
from pathlib import Path

RESULTS = Path(__file__).parent / "results.md"
TITLE = "# Measured\n\nWritten by `make bench`; each part says what ran.\n"


def replace_part(title: str, text: str) -> None:
    """Put `text` under the heading `title`, in place of what an earlier run wrote there."""
    whole = RESULTS.read_text(encoding="utf-8") if RESULTS.exists() else TITLE
    said = f"Python {platform.python_version()}, {platform.machine()}."
    part = f"## {title}\n\n{said}\n\n{text.strip()}\n"
    found = re.compile(rf"^## {re.escape(title)}\n.*?(?=^## |\Z)", re.MULTILINE | re.DOTALL)
    if found.search(whole):
        whole = found.sub(lambda _: part + "\n", whole)
    else:
        whole = f"{whole.rstrip()}\n\n{part}"
    RESULTS.write_text(whole.rstrip() + "\n", encoding="utf-8")
