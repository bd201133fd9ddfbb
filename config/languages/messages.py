"""Finding every text that a person may see, in Python and in templates, without gettext's tools.

Django turns a template into something like Python; the calls in it are read by Python's own parser.
"""

import ast
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

ROOT = Path(__file__).resolve().parents[2]
SOURCES = ("config", "inventory", "loading", "jobs", "seed_fixtures")
CATALOG = ROOT / "locale" / "es" / "LC_MESSAGES" / "django.po"
BEGUN = datetime(2026, 11, 25, tzinfo=UTC)
_SINGULAR = {"_", "gettext", "gettext_lazy", "gettext_noop", "said"}
_PLURAL = {"ngettext", "ngettext_lazy"}
_CALL = re.compile(r"\b(_|gettext|ngettext)\(")


@dataclass(frozen=True, slots=True)
class Message:
    """A text to translate and where it stands; `plural` is None where it counts nothing."""

    text: str
    plural: str | None
    where: str

    @property
    def key(self) -> str | tuple[str, str]:
        return self.text if self.plural is None else (self.text, self.plural)


def messages() -> list[Message]:
    """Give every text of the project, by file and line."""
    found: list[Message] = []
    for source in SOURCES:
        for path in sorted((ROOT / source).rglob("*")):
            name = str(path.relative_to(ROOT))
            if path.suffix == ".py" and "migrations" not in path.parts:
                found += of_python(path.read_text(encoding="utf-8"), name)
            elif path.suffix in (".html", ".js") and "templates" in path.parts:
                found += of_template(path.read_text(encoding="utf-8"), name)
    return found


def of_python(code: str, name: str) -> Iterator[Message]:
    """Find the texts of a Python file: calls of gettext and its kin with literal texts."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Call):
            yield from _of_call(node, name, node.lineno)


def of_template(code: str, name: str) -> Iterator[Message]:
    """Find the texts of a template."""
    said = templatize(code, origin=name)
    for match in _CALL.finditer(said):
        line = said.count("\n", 0, match.start()) + 1
        call = _parsed_call(said, match.start())
        if call is not None:
            yield from _of_call(call, name, line)


def catalog_read() -> Catalog:
    """Read the Spanish texts there are."""
    if not CATALOG.exists():
        return _empty()
    with CATALOG.open("rb") as file:
        return read_po(file, locale="es")


def catalog_update() -> tuple[int, int]:
    """Bring the catalogue up to date: how many texts, and how many of them lack Spanish."""
    former, new = catalog_read(), _empty()
    for message in messages():
        known = former.get(message.text)
        kept = known.string if known and known.id == message.key else None
        new.add(message.key, string=kept, locations=[(message.where.split(":")[0], 0)])
    CATALOG.parent.mkdir(parents=True, exist_ok=True)
    with CATALOG.open("wb") as file:
        write_po(file, new, width=100, sort_output=True, include_lineno=False)
    return len(new), len(untranslated(new))


def untranslated(catalog: Catalog) -> list[str]:
    """Give the texts without Spanish, or of which a form is empty or marked as doubtful."""
    return [
        str(message.id)
        for message in catalog
        if message.id and (message.fuzzy or not (message.string and all(_forms(message.string))))
    ]


def _forms(string: str | Sequence[str]) -> tuple[str, ...]:
    return (string,) if isinstance(string, str) else tuple(string)


def _empty() -> Catalog:
    """A catalogue whose head does not change from day to day."""
    return Catalog(
        locale="es",
        project="Tierwright",
        version="1",
        header_comment="# Spanish texts of Tierwright. `make texts` keeps them up to date.",
        msgid_bugs_address="Tierwright",
        last_translator="Tierwright",
        language_team="Spanish",
        creation_date=BEGUN,
        revision_date=BEGUN,
        fuzzy=False,
        charset="utf-8",
    )


def _of_call(call: ast.Call, name: str, line: int) -> Iterator[Message]:
    called = call.func.id if isinstance(call.func, ast.Name) else ""
    texts = [
        argument.value
        for argument in call.args[:2]
        if isinstance(argument, ast.Constant) and isinstance(argument.value, str)
    ]
    if called in _PLURAL and len(texts) == 2:
        yield Message(texts[0], texts[1], f"{name}:{line}")
    elif called in _SINGULAR and texts:
        yield Message(texts[0], None, f"{name}:{line}")


def _parsed_call(said: str, start: int) -> ast.Call | None:
    """Parse the call that begins here: the shortest stretch up to a bracket that is one."""
    end = said.find(")", start)
    while end != -1:
        try:
            node = ast.parse(said[start : end + 1].replace("\n", " "), mode="eval").body
        except SyntaxError:
            end = said.find(")", end + 1)
            continue
        return node if isinstance(node, ast.Call) else None
    return None
