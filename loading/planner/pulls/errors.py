"""What can go wrong when vaults are to be got out of their lanes."""


class PullsError(Exception):
    """Base of the errors of this package."""


class YardError(PullsError):
    """The request's lanes and vaults contradict each other."""


class YardBlocked(PullsError):
    """A vault cannot be reached: what stands in its way fits nowhere else.

    `in_the_way` names the vaults that must be shifted, nearest the aisle first; `free_slots` counts
    the empty slots of each other lane at that moment; `short` is how many slots are missing there
    and then. `barred_slots` counts the empty slots of each lane that no vault can be put in until
    those before or above them have left. With `aisle_places` more places of one vault each, a way
    was found to get everything out; None if none was found with as many as were tried.
    """

    def __init__(
        self,
        code: str,
        lane: str,
        in_the_way: tuple[str, ...],
        free_slots: tuple[tuple[str, int], ...],
        barred_slots: tuple[tuple[str, int], ...] = (),
        aisle_places: int | None = None,
    ) -> None:
        self.code = code
        self.lane = lane
        self.in_the_way = in_the_way
        self.free_slots = free_slots
        self.barred_slots = barred_slots
        self.aisle_places = aisle_places
        self.short = max(1, len(in_the_way) - sum(free for _, free in free_slots))
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        return (
            f"vault {self.code} in lane {self.lane} cannot be reached: "
            f"{len(self.in_the_way)} to shift ({', '.join(self.in_the_way)}), "
            f"free slots elsewhere: {_listed(self.free_slots)}; {self.short} short. "
            f"{self._remedy()}"
        )

    def _remedy(self) -> str:
        if self.aisle_places is None:
            said = "A few aisle places more would not do: vaults must leave other lanes first"
        else:
            places = (
                "1 aisle place" if self.aisle_places == 1 else f"{self.aisle_places} aisle places"
            )
            said = f"With {places} more everything wanted comes out"
        if any(count for _, count in self.barred_slots):
            said += f"; empty, but barred by what stands before: {_listed(self.barred_slots)}"
        return said


def _listed(slots: tuple[tuple[str, int], ...]) -> str:
    return ", ".join(f"{name} {count}" for name, count in slots if count) or "none"


class InstanceError(PullsError):
    """A line of an instance file that is not in its form: `line` from 1, `key` within it."""

    def __init__(self, line: int, key: str, message: str) -> None:
        self.line, self.key, self.message = line, key, message
        super().__init__(f"line {line}{': ' + key if key else ''}: {message}")
