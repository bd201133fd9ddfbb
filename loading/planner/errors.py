"""What can be wrong with a document that is given to the planner."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence, or a part of one: its English form with named gaps, and what fills them.

    Whoever shows it can put the form of another language in its place, without knowing the planner.
    """

    form: str
    gaps: Mapping[str, object] = field(hash=False)

    def told(self, translate: Callable[[str], str] = str) -> str:
        """The sentence with its gaps filled; `translate` gives the form to use."""
        filled = {
            name: value.told(translate) if isinstance(value, Said) else value
            for name, value in self.gaps.items()
        }
        return translate(self.form) % filled


def said(form: str, /, **gaps: object) -> Said:
    """A sentence whose form the catalogue of texts shall hold."""
    return Said(form, gaps)


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: where it is (a JSON pointer, RFC 6901) and what is wrong there."""

    pointer: str
    said: Said

    @property
    def message(self) -> str:
        return self.said.told()

    def __str__(self) -> str:
        return f"{self.pointer or '/'}: {self.message}"


class DocumentError(Exception):
    """A document that breaks its form; carries all its faults, never just the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type["DocumentError"], tuple[tuple[Fault, ...]]]:
        return type(self), (self.faults,)


class RequestError(DocumentError):
    """The load request is not in the form `load-request/1`, or contradicts itself."""


class PlanError(DocumentError):
    """The load plan is not in the form `load-plan/1`."""
