"""A load's request, brought to how the lanes stand after other loads have used them too."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from loading.planner.errors import RequestError
from loading.planner.plan import Step
from loading.planner.pulls.errors import YardError
from loading.planner.pulls.yard import Yard, YardLane, yard_of
from loading.planner.request import (
    LoadRequest,
    OtherVault,
    Vault,
    parse_request,
    request_document,
)

Cell = tuple[str, int, int]  # lane, depth, level


def lanes_as_they_stand(request: LoadRequest, now: Yard) -> LoadRequest:
    """The request with every vault that its own progress has not touched where it stands now.

    Its progress must lead from there to just the lanes of `now`; other loads' steps are in those
    and no more awaited. Where none of the kind does (two
    loads have moved the same vaults by turns), the request is given back as it is.
    """
    touched = {step.vault for step in _done(request) if step.vault is not None}
    cells = {code: cell for code, cell in _cells(now) if code not in touched}
    own = {vault.code for vault in request.vaults}
    vaults = _placed(request, cells)
    others = [OtherVault(code, *cell) for code, cell in cells.items() if code not in own]
    others += [other for other in request.other_vaults if other.code in touched]
    brought = replace(request, vaults=vaults, other_vaults=tuple(others), after_loads=())
    return brought if _leads_to(brought, now) else request


def lanes_left_by(request: LoadRequest, steps: Iterable[Step]) -> LoadRequest:
    """The request of a load that is not begun, in the lanes as other loads' steps leave them.

    A vault of its own that those take out of the lanes stays where it is: it is not theirs.
    """
    cells = dict(_cells(yard_of(request).after(steps)))
    return replace(
        request,
        vaults=_placed(request, cells),
        other_vaults=tuple(
            OtherVault(other.code, *cells[other.code])
            for other in request.other_vaults
            if other.code in cells
        ),
    )


def _placed(request: LoadRequest, cells: Mapping[str, Cell]) -> tuple[Vault, ...]:
    """Its vaults, each where `cells` say, or where it was."""
    return tuple(
        replace(vault, lane=cell[0], depth=cell[1], level=cell[2])
        if (cell := cells.get(vault.code))
        else vault
        for vault in request.vaults
    )


def _done(request: LoadRequest) -> tuple[Step, ...]:
    return request.progress.steps if request.progress else ()


def _cells(yard: Yard) -> Iterator[tuple[str, Cell]]:
    for lane in yard.lanes:
        for vault in lane.vaults:
            depth, level = lane.cell_of(vault.slot)
            yield vault.code, (lane.name, depth, level)


def _leads_to(request: LoadRequest, now: Yard) -> bool:
    """Whether it is a request, and what was done brings its lanes to those of now."""
    try:
        parse_request(request_document(request))
        reached = yard_of(request).after(_done(request))
    except (RequestError, YardError):
        return False
    return _standing(reached) == _standing(now)


def _standing(yard: Yard) -> dict[str, YardLane]:
    return {lane.name: lane for lane in yard.lanes if lane.vaults}
