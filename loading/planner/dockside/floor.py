"""What stands on the dock after each step: open vaults, and pieces between vault and truck.

Steps are taken as facts. Whether they keep the rules is for the checker.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from loading.planner.checker.dock import PART, floor_parts
from loading.planner.plan import Step
from loading.planner.request import LoadRequest

ONTO_FLOOR = ("unpack", "fetch", "take_out")
OFF_FLOOR = ("load", "return")
OFF_SPOT = ("clear", "store")


@dataclass
class DockFloor:
    """`pieces` and `vaults` in the order in which they came, each with the number of that step."""

    request: LoadRequest
    pieces: dict[str, int] = field(default_factory=dict)
    vaults: dict[str, int] = field(default_factory=dict)
    parts: int = 0

    def do(self, number: int, step: Step) -> None:
        """Follow one step; what it names and is not there is passed over."""
        if step.tag is not None and step.do in ONTO_FLOOR and step.tag not in self.pieces:
            self.pieces[step.tag] = number
            self.parts += self.parts_of(step.tag)
        elif step.tag is not None and step.do in OFF_FLOOR and step.tag in self.pieces:
            del self.pieces[step.tag]
            self.parts -= self.parts_of(step.tag)
        elif step.vault is not None and step.do == "pull":
            self.vaults.setdefault(step.vault, number)
        elif step.vault is not None and step.do in OFF_SPOT:
            self.vaults.pop(step.vault, None)

    def parts_of(self, tag: str) -> int:
        """The floor that a piece takes, in twentieths of mm2; 0 for one that is not known."""
        return floor_parts(self.request, self.request.item(tag)) if self._knows(tag) else 0

    def area_mm2_of(self, tag: str) -> int:
        return -(-self.parts_of(tag) // PART)

    @property
    def area_mm2(self) -> int:
        """Floor taken in all, rounded up to whole mm2."""
        return -(-self.parts // PART)

    def _knows(self, tag: str) -> bool:
        return self.request.has_item(tag)


def numbered(steps: tuple[Step, ...]) -> Iterator[tuple[int, Step]]:
    """Steps as people count them, from 1."""
    return enumerate(steps, start=1)
