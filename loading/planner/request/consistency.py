"""Contradictions in a load request whose every key has the right form.

Pointers count on the request having kept the order of the document.
"""

from collections.abc import Iterator

from loading.planner.errors import said
from loading.planner.plan import Step
from loading.planner.reading import Faults
from loading.planner.request.data import Item, Lane, LoadRequest, OtherVault, Progress, Truck, Vault


def note_contradictions(request: LoadRequest, faults: Faults) -> None:
    """Notes each contradiction with the pointer of the key that would have to change."""
    _truck(request.truck, faults)
    _items(request, faults)
    _vaults(request, faults)
    _contents(request, faults)
    _pull_order(request, faults)
    _progress(request, faults)


def _truck(truck: Truck, faults: Faults) -> None:
    if truck.payload_g == 0:
        faults.add("/truck/payload_kg", said("must be more than 0: the truck may carry nothing"))
    if truck.supports[0].x_mm == truck.supports[1].x_mm:
        faults.add("/truck/supports/1/x_mm", said("both supports are at the same place"))
    for n, box in enumerate(truck.blocked):
        spans = zip(box.at_mm, box.size_mm, truck.interior_mm, strict=True)
        if all(at <= 0 and at + size >= inside for at, size, inside in spans):
            faults.add(
                f"/truck/blocked/{n}", said("%(name)s leaves no room in the truck", name=box.name)
            )


def _items(request: LoadRequest, faults: Faults) -> None:
    if not request.items:
        faults.add("/items", said("is empty: there is nothing to load"))
    elif request.progress is None and not any(item.leaves for item in request.items):
        faults.add("/items", said("no piece leaves: there is nothing to load"))
    seen: dict[str, int] = {}
    for n, item in enumerate(request.items):
        if item.tag in seen:
            fault = said(
                "tag %(tag)s is that of /items/%(number)s too", tag=item.tag, number=seen[item.tag]
            )
            faults.add(f"/items/{n}/tag", fault)
        seen.setdefault(item.tag, n)
        _openings(item, n, faults)


def _openings(item: Item, n: int, faults: Faults) -> None:
    for k, opening in enumerate(item.openings):
        spans = zip(opening.at_mm, opening.size_mm, item.size_mm, strict=True)
        if any(at + size > outline for at, size, outline in spans):
            faults.add(
                f"/items/{n}/openings/{k}",
                said("reaches beyond the outline of %(tag)s", tag=item.tag),
            )


def _stored(request: LoadRequest) -> Iterator[tuple[str, Vault | OtherVault]]:
    for n, vault in enumerate(request.vaults):
        yield f"/vaults/{n}", vault
    for n, other in enumerate(request.other_vaults):
        yield f"/other_vaults/{n}", other


def _vaults(request: LoadRequest, faults: Faults) -> None:
    lanes = {lane.name: lane for lane in request.lanes}
    by_code: dict[str, str] = {}
    by_place: dict[tuple[str, int, int], str] = {}
    for pointer, vault in _stored(request):
        if vault.code in by_code:
            fault = said(
                "vault %(vault)s stands at %(where)s too",
                vault=vault.code,
                where=by_code[vault.code],
            )
            faults.add(f"{pointer}/code", fault)
        by_code.setdefault(vault.code, pointer)
        place = vault.lane, vault.depth, vault.level
        if place in by_place:
            fault = said(
                "%(vault)s stands where the vault of %(where)s stands",
                vault=vault.code,
                where=by_place[place],
            )
            faults.add(pointer, fault)
        by_place.setdefault(place, pointer)
        _cell(pointer, vault, lanes, faults)
    for pointer, vault in _stored(request):
        lane = lanes.get(vault.lane)
        below = vault.lane, vault.depth, vault.level - 1
        if lane is not None and 1 < vault.level <= lane.levels and below not in by_place:
            fault = said(
                "%(vault)s stands on level %(level)s with nothing below it",
                vault=vault.code,
                level=vault.level,
            )
            faults.add(f"{pointer}/level", fault)


def _cell(pointer: str, vault: Vault | OtherVault, lanes: dict[str, Lane], faults: Faults) -> None:
    lane = lanes.get(vault.lane)
    if lane is None:
        faults.add(
            f"{pointer}/lane", said("there is no lane %(lane)s in /lanes/names", lane=vault.lane)
        )
        return
    if vault.depth > lane.depth:
        fault = said(
            "lane %(lane)s is %(depth)s deep, not %(asked)s",
            lane=lane.name,
            depth=lane.depth,
            asked=vault.depth,
        )
        faults.add(f"{pointer}/depth", fault)
    if vault.level > lane.levels:
        fault = said(
            "lane %(lane)s is %(levels)s high, not %(level)s",
            lane=lane.name,
            levels=lane.levels,
            level=vault.level,
        )
        faults.add(f"{pointer}/level", fault)


def _contents(request: LoadRequest, faults: Faults) -> None:
    seen: dict[str, str] = {}
    for n, vault in enumerate(request.vaults):
        for k, tag in enumerate(vault.items):
            pointer = f"/vaults/{n}/items/{k}"
            if not request.has_item(tag):
                faults.add(pointer, said("there is no item %(tag)s", tag=tag))
            if tag in seen:
                faults.add(
                    pointer,
                    said("item %(tag)s is in vault %(vault)s too", tag=tag, vault=seen[tag]),
                )
            seen.setdefault(tag, vault.code)


def _pull_order(request: LoadRequest, faults: Faults) -> None:
    order = request.pull_order
    if order is None:
        return
    own = {vault.code for vault in request.vaults}
    seen: set[str] = set()
    for n, code in enumerate(order):
        if code not in own:
            faults.add(
                f"/pull_order/{n}", said("there is no vault %(vault)s in this shipment", vault=code)
            )
        if code in seen:
            faults.add(f"/pull_order/{n}", said("vault %(vault)s is named twice", vault=code))
        seen.add(code)
    for vault in request.vaults:
        leaving = [t for t in vault.items if request.has_item(t) and request.item(t).leaves]
        if vault.code not in seen and leaving:
            faults.add("/pull_order", said("vault %(vault)s is missing", vault=vault.code))


def _progress(request: LoadRequest, faults: Faults) -> None:
    progress = request.progress
    if progress is None:
        return
    placed: set[str] = set()
    for n, placement in enumerate(progress.placements):
        pointer = f"/progress/placements/{n}"
        if not request.has_item(placement.tag):
            faults.add(f"{pointer}/tag", said("there is no item %(tag)s", tag=placement.tag))
        if placement.tag in placed:
            faults.add(f"{pointer}/tag", said("item %(tag)s is placed twice", tag=placement.tag))
        if placement.inside is not None and not request.has_item(placement.inside):
            faults.add(f"{pointer}/inside", said("there is no item %(tag)s", tag=placement.inside))
        placed.add(placement.tag)
    numbers: set[int] = set()
    for n, fill in enumerate(progress.fills):
        if fill.fill in numbers:
            faults.add(
                f"/progress/fills/{n}/fill", said("fill %(fill)s is there twice", fill=fill.fill)
            )
        numbers.add(fill.fill)
    vaults = {vault.code for _, vault in _stored(request)}
    for n, step in enumerate(progress.steps):
        _step(request, step, vaults, f"/progress/steps/{n}", faults)
    _done(progress, placed, numbers, faults)


def _done(progress: Progress, placed: set[str], fills: set[int], faults: Faults) -> None:
    """What the steps left in the truck must be what the placements and fills say is there."""
    aboard: set[str] = set()
    for step in progress.steps:
        if step.do == "load" and step.tag is not None:
            aboard.add(step.tag)
        elif step.do == "take_out" and step.tag is not None:
            aboard.discard(step.tag)
    put_in = {step.fill for step in progress.steps if step.fill is not None}
    for tag in sorted(aboard - placed):
        faults.add(
            "/progress/placements",
            said("item %(tag)s is loaded by the steps, but has no place", tag=tag),
        )
    for tag in sorted(placed - aboard):
        faults.add(
            "/progress/steps", said("item %(tag)s has a place, but no step loads it", tag=tag)
        )
    for number in sorted(fill for fill in put_in - fills if fill is not None):
        faults.add(
            "/progress/fills",
            said("fill %(fill)s is put in by the steps, but has no place", fill=number),
        )
    for number in sorted(fills - put_in):
        faults.add(
            "/progress/steps",
            said("fill %(fill)s has a place, but no step puts it in", fill=number),
        )


def _step(request: LoadRequest, step: Step, vaults: set[str], pointer: str, faults: Faults) -> None:
    if step.tag is not None and not request.has_item(step.tag):
        faults.add(f"{pointer}/tag", said("there is no item %(tag)s", tag=step.tag))
    if step.vault is not None and step.vault not in vaults:
        faults.add(f"{pointer}/vault", said("there is no vault %(vault)s", vault=step.vault))
    if step.lane is not None and step.lane not in {lane.name for lane in request.lanes}:
        faults.add(
            f"{pointer}/lane", said("there is no lane %(lane)s in /lanes/names", lane=step.lane)
        )
