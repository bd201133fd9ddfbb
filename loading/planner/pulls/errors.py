"""What can go wrong when vaults are to be got out of their lanes."""


class PullsError(Exception):
    """Base of the errors of this package."""


class YardError(PullsError):
    """The request's lanes and vaults contradict each other."""


class YardBlocked(PullsError):
    """A vault cannot be reached: what stands in its way fits nowhere else.

    `in_the_way` names the vaults that must be shifted, nearest the aisle first; `free_slots` counts
    the empty slots of each other lane at that moment; `short` is how many slots are missing.
    """

    def __init__(
        self,
        code: str,
        lane: str,
        in_the_way: tuple[str, ...],
        free_slots: tuple[tuple[str, int], ...],
    ) -> None:
        self.code = code
        self.lane = lane
        self.in_the_way = in_the_way
        self.free_slots = free_slots
        self.short = max(1, len(in_the_way) - sum(free for _, free in free_slots))
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        free = ", ".join(f"{name} {count}" for name, count in self.free_slots if count) or "none"
        return (
            f"vault {self.code} in lane {self.lane} cannot be reached: "
            f"{len(self.in_the_way)} to shift ({', '.join(self.in_the_way)}), "
            f"free slots elsewhere: {free}; {self.short} short. "
            f"Free {self.short} more outside lane {self.lane}, or have an aisle place added"
        )


class InstanceError(PullsError):
    """A line of an instance file that is not in its form: `line` from 1, `key` within it."""

    def __init__(self, line: int, key: str, message: str) -> None:
        self.line, self.key, self.message = line, key, message
        super().__init__(f"line {line}{': ' + key if key else ''}: {message}")
