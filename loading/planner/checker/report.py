"""What the checker says of a plan."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Broken:
    """A broken rule.

    `subject` is what breaks it (a tag, a pair, a support), the same for the same fault in another
    plan. `amount` is how bad it is in the rule's own unit (R4 share of the bottom that lacks
    support, in thousandths; R5 kg; R12 kg, or kg mm for the middle; R14 mm; otherwise 0): it tells
    a fault that was there before from one that a plan makes worse.
    """

    rule: str
    subject: str
    message: str
    amount: float = 0.0

    def __str__(self) -> str:
        return f"{self.rule} {self.message}"


@dataclass(frozen=True, slots=True)
class Report:
    """`broken` must be empty for a plan to be used; `given` is what the progress broke already."""

    broken: tuple[Broken, ...]
    given: tuple[Broken, ...]
    figures: dict[str, object]
