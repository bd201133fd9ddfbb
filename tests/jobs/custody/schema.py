"""GS1's own schema of EPCIS 2.0 in JSON, of tests/data/custody."""

import json
import re
from datetime import datetime
from pathlib import Path
from typing import Any

from jsonschema import Draft7Validator, FormatChecker

FILE = Path(__file__).parents[2] / "data" / "custody" / "EPCIS-JSON-Schema.json"
FORMATS = FormatChecker(formats=())
SCHEMA = Draft7Validator(json.loads(FILE.read_text()), format_checker=FORMATS)


@FORMATS.checks("uri")
def is_uri(said: object) -> bool:
    """RFC 3986: a scheme, and something behind it without a blank."""
    return not isinstance(said, str) or bool(re.fullmatch(r"[A-Za-z][A-Za-z0-9+.\-]*:\S+", said))


@FORMATS.checks("date-time", raises=ValueError)
def is_moment(said: object) -> bool:
    return not isinstance(said, str) or datetime.fromisoformat(said).tzinfo is not None


def schema_faults(document: dict[str, Any]) -> list[str]:
    """Where the document breaks it."""
    return [f"{fault.json_path}: {fault.message}" for fault in SCHEMA.iter_errors(document)]
