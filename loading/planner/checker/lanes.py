"""The warehouse's lanes while vaults come out of them and go back."""

from loading.planner.request import LoadRequest, OtherVault, Vault


class Lanes:
    """Each lane as a list of (depth, level, code), the one that can be reached last."""

    def __init__(self, request: LoadRequest) -> None:
        self._size = {lane.name: (lane.depth, lane.levels) for lane in request.lanes}
        self._standing: dict[str, list[tuple[int, int, str]]] = {
            lane.name: [] for lane in request.lanes
        }
        vaults: list[Vault | OtherVault] = [*request.vaults, *request.other_vaults]
        for vault in vaults:
            self._standing[vault.lane].append((vault.depth, vault.level, vault.code))
        for standing in self._standing.values():
            standing.sort(key=lambda cell: (-cell[0], cell[1]))
        self._lane_of = {
            code: name for name, standing in self._standing.items() for _, _, code in standing
        }

    def lane_of(self, code: str) -> str | None:
        """The lane it stands in, or None when it stands in none."""
        return self._lane_of.get(code)

    def is_reachable(self, code: str) -> bool:
        """Whether it stands in a lane with nothing above it or ahead of it."""
        name = self._lane_of.get(code)
        return name is not None and self._standing[name][-1][2] == code

    def take(self, code: str) -> None:
        name = self._lane_of.pop(code)
        self._standing[name] = [cell for cell in self._standing[name] if cell[2] != code]

    def put(self, code: str, name: str) -> str | None:
        """Puts a vault on top of the front stack, or before it if that is full; says why not."""
        if name not in self._size:
            return f"there is no lane {name}"
        depth, levels = self._size[name]
        standing = self._standing[name]
        front, top = standing[-1][:2] if standing else (depth, 0)
        if top < levels:
            cell = (front, top + 1, code)
        elif front > 1:
            cell = (front - 1, 1, code)
        else:
            return f"lane {name} is full"
        standing.append(cell)
        self._lane_of[code] = name
        return None
