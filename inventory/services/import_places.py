"""The places of an imported list against what stands in the branch: lanes, vaults, gaps."""

from collections import defaultdict
from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists.parsed import ParsedLane, ParsedList, ParsedVault
from inventory.models import Branch, Lane, Shipment, Vault

Place = tuple[str, int, int]


class Places:
    """The lanes and vaults of a branch as they will be after an import; nothing is written."""

    def __init__(self, branch: Branch, shipment: Shipment | None, parsed: ParsedList) -> None:
        self._branch = branch
        self._shipment = shipment
        self._parsed = parsed
        self._lanes = {lane.name: lane for lane in branch.lanes.all()}
        self._vaults = {vault.code: vault for vault in branch.vaults.select_related("lane")}

    def faults(self) -> Iterator[ImportFault]:
        """Find every lane and vault of the list that cannot be as it says."""
        for lane in self._parsed.lanes:
            yield from self._lane_faults(lane)
        for vault in self._parsed.vaults:
            yield from self._vault_faults(vault)
        yield from self._place_faults()

    def write(self, shipment: Shipment) -> Mapping[str, Vault]:
        """Add what is missing; give the vaults of the branch by their code."""
        new = [
            Lane(branch=self._branch, name=lane.name, depth=lane.size[0], levels=lane.size[1])
            for lane in self._parsed.lanes
            if lane.name not in self._lanes and lane.size
        ]
        self._lanes |= {lane.name: lane for lane in Lane.objects.bulk_create(new)}
        for told in self._parsed.vaults:
            vault = self._vaults.get(told.code) or Vault(branch=self._branch, code=told.code)
            if told.ours:
                vault.shipment = shipment
            if told.place:
                vault.lane = self._lanes[told.place[0]]
                vault.depth, vault.level = told.place[1:]
            vault.seal_number = told.seal_number or vault.seal_number
            vault.save()
            self._vaults[told.code] = vault
        return self._vaults

    def _lane_faults(self, lane: ParsedLane) -> Iterator[ImportFault]:
        known = self._lanes.get(lane.name)
        if known is None and lane.size is None:
            yield lane.where.fault(
                _("the branch has no lane %(name)s; tell its lane_depth and lane_levels")
                % {"name": lane.name}
            )
        if known and lane.size and lane.size != (known.depth, known.levels):
            yield lane.where.fault(
                _(
                    "lane %(name)s is %(depth)s deep and %(levels)s high,"
                    " not %(size)s and %(size_2)s"
                )
                % {
                    "name": lane.name,
                    "depth": known.depth,
                    "levels": known.levels,
                    "size": lane.size[0],
                    "size_2": lane.size[1],
                }
            )

    def _vault_faults(self, told: ParsedVault) -> Iterator[ImportFault]:
        known = self._vaults.get(told.code)
        if known is None:
            return
        stands = _place_of(known)
        if told.place and stands and told.place != stands:
            yield told.where.fault(
                _("vault %(code)s stands in %(stands)s")
                % {"code": told.code, "stands": _said(stands)}
            )
        if told.ours and known.shipment_id and known.shipment != self._shipment:
            yield told.where.fault(_("vault %(code)s holds another shipment") % {"code": told.code})
        elif told.ours and known.items.exists():
            yield told.where.fault(
                _("vault %(code)s has its pieces listed already") % {"code": told.code}
            )

    def _place_faults(self) -> Iterator[ImportFault]:
        """Look at the lanes with the vaults of the list in them: taken, outside, in the air."""
        sizes = {lane.name: lane.size for lane in self._parsed.lanes if lane.size}
        sizes |= {name: (lane.depth, lane.levels) for name, lane in self._lanes.items()}
        standing = {at: code for code, known in self._vaults.items() if (at := _place_of(known))}
        told = {vault.place: vault for vault in self._parsed.vaults if vault.place}
        levels: defaultdict[tuple[str, int], set[int]] = defaultdict(set)
        for lane, depth, level in [*standing, *told]:
            levels[lane, depth].add(level)
        for (lane, depth, level), vault in told.items():
            other = standing.get((lane, depth, level))
            size = sizes.get(lane)
            if other not in (None, vault.code):
                yield vault.where.fault(
                    _("vault %(code)s stands where vault %(other)s stands")
                    % {"code": vault.code, "other": other}
                )
            if size is None and lane not in {known.name for known in self._parsed.lanes}:
                yield vault.where.fault(_("there is no lane %(lane)s") % {"lane": lane})
            elif size and (depth > size[0] or level > size[1]):
                yield vault.where.fault(
                    _(
                        "vault %(code)s lies outside lane %(lane)s,"
                        " which is %(size)s deep and %(size_2)s high"
                    )
                    % {"code": vault.code, "lane": lane, "size": size[0], "size_2": size[1]}
                )
            elif level > 1 and level - 1 not in levels[lane, depth]:
                yield vault.where.fault(
                    _(
                        "vault %(code)s stands in the air: nothing is below it"
                        " in lane %(lane)s at depth %(depth)s"
                    )
                    % {"code": vault.code, "lane": lane, "depth": depth}
                )


def _place_of(vault: Vault) -> Place | None:
    if vault.lane is None or vault.depth is None or vault.level is None:
        return None
    return vault.lane.name, vault.depth, vault.level


def _said(place: Place) -> str:
    return f"lane {place[0]}, depth {place[1]}, level {place[2]}"
