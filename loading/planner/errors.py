"""What can be wrong with a document that is given to the planner."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: where it is (a JSON pointer, RFC 6901) and what is wrong there."""

    pointer: str
    message: str

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
