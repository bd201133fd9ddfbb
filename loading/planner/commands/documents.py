"""Reading and writing the JSON documents of the command line."""

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from loading.planner.errors import DocumentError

FILE_MAX_BYTES = 16 * 1024 * 1024
BAD_INPUT = 2

Read = TypeVar("Read")


class BadInput(Exception):
    """What stops a command before it does anything: one line for each fault."""

    def __init__(self, *lines: str) -> None:
        self.lines = lines
        super().__init__("\n".join(lines))

    def reported(self) -> int:
        """Prints the lines on stderr; the exit status."""
        for line in self.lines:
            sys.stderr.write(line + "\n")
        return BAD_INPUT


def read_document(path: str, parse: Callable[[object], Read]) -> Read:
    """The document in a file, parsed. Raises BadInput; each fault names the file and the key."""
    try:
        return parse(_read_json(path))
    except DocumentError as error:
        raise BadInput(*(f"{path}: {fault}" for fault in error.faults)) from error


def _read_json(path: str) -> object:
    try:
        with Path(path).open("rb") as file:
            content = file.read(FILE_MAX_BYTES + 1)
        if len(content) > FILE_MAX_BYTES:
            raise BadInput(f"{path}: is larger than {FILE_MAX_BYTES // 1024**2} MB")
        return json.loads(content.decode("utf-8"))
    except OSError as error:
        raise BadInput(f"{path}: cannot be read: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{path}: is not UTF-8 (byte {error.start})") from error
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise BadInput(f"{path}: is not JSON: {error.msg} ({where})") from error
    except ValueError as error:  # a number of thousands of digits
        raise BadInput(f"{path}: is not JSON that can be read: {error}") from error
    except RecursionError as error:
        raise BadInput(f"{path}: is nested too deeply") from error


def writable(path: str) -> Path:
    """The path, if a file can be written there. Raises BadInput."""
    target = Path(path)
    if target.is_dir() or not target.absolute().parent.is_dir():
        raise BadInput(f"{path}: cannot be written: no such directory, or it is one")
    return target


def write_document(path: Path, document: object) -> None:
    """Writes the whole file or nothing: a reader never sees half a plan."""
    part = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        part.write_text(json.dumps(document, ensure_ascii=False, indent=1) + "\n", "utf-8")
        part.replace(path)
    except OSError as error:
        raise BadInput(f"{path}: cannot be written: {error.strerror or error}") from error
    finally:
        part.unlink(missing_ok=True)
