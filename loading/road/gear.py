"""The straps on board, part by part, as a truck's record tells them.

Each part is named and has the working load limit (kg) that is marked on it; a part without a mark
names its make and size and counts what 49 CFR 393.108 gives such a one ("webbing 2in"). An assembly
is as strong as its weakest part (393.106(d)).
"""

from dataclasses import dataclass

from loading.planner.errors import Fault, said
from loading.planner.reading import Faults, Node
from loading.road.tiedowns import weakest_part
from loading.road.unmarked import UNMARKED_LIMITS_G

PARTS_MAX = 10


@dataclass(frozen=True, slots=True)
class Gear:
    """What is at hand: the parts of a strap with their working load limits.

    `breaking_times`: breaking strength over working load limit, three for webbing (from memory).
    """

    limits_g: tuple[tuple[str, int], ...]
    breaking_times: int = 3

    @property
    def weakest(self) -> tuple[str, int]:
        return weakest_part(dict(self.limits_g))


UNMARKED = "webbing 2in"
UNMARKED_GEAR = Gear((("webbing, 2 in, unmarked (49 CFR 393.108)", UNMARKED_LIMITS_G[UNMARKED]),))


def parse_gear(document: object) -> tuple[Gear, tuple[Fault, ...]]:
    """The straps of a list of objects (part, limit_kg or null), and every fault below /straps.

    No parts at all are no fault: the straps then count as unmarked webbing of 2 in.
    """
    faults = Faults()
    root = Node.root({"straps": document}, faults)
    parts = tuple(_read_part(node) for node in root.objects("straps", most=PARTS_MAX))
    if not faults and len({name for name, _ in parts}) < len(parts):
        root.fault(said("two parts have one name"), "straps")
    return (Gear(parts) if parts and not faults else UNMARKED_GEAR), tuple(faults.all())


def _read_part(node: Node) -> tuple[str, int]:
    marked = isinstance(node.value, dict) and node.value.get("limit_kg") is not None
    if marked:
        return node.text("part"), node.grams("limit_kg", low=1)
    name = node.choice("part", tuple(UNMARKED_LIMITS_G))
    return name, UNMARKED_LIMITS_G.get(name, 0)
