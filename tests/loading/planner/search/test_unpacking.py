"""Nothing comes out of its vault before it must: told from the steps of whole households' plans."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from loading.planner.plan import LoadPlan, Step
from loading.planner.request import LoadRequest, parse_request
from loading.planner.search import plan_load
from loading.planner.stopping import Iterations
from tests.loading.planner.dockside.docks import plan_of, request_of

LOADS = Path(__file__).parents[3] / "data" / "loads"
NEVER = 1 << 30


def unpacked_too_soon(request: LoadRequest, plan: LoadPlan) -> Iterator[str]:
    """Pieces that lie on the floor though nothing behind them in the vault, nor a vault that waits
    for the spot, was wanted before them."""
    unpacked = _when(plan.steps, "unpack")
    loaded = _when(plan.steps, "load")
    pulled = {step.vault: n for n, step in enumerate(plan.steps) if step.do == "pull"}
    off = {s.vault: n for n, s in enumerate(plan.steps) if s.do in ("clear", "store")}
    for vault in request.vaults:
        spot_wanted = min(
            (n for n in pulled.values() if n > off.get(vault.code, NEVER)), default=NEVER
        )
        for k, tag in enumerate(vault.items):
            if tag not in unpacked or tag not in loaded:
                continue
            between = plan.steps[unpacked[tag] + 1 : loaded[tag]]
            at_once = not any(step.do in ("unpack", "fetch") for step in between)
            behind = min((loaded[t] for t in vault.items[k + 1 :] if t in loaded), default=NEVER)
            if not at_once and loaded[tag] < min(behind, spot_wanted):
                yield tag


def _when(steps: tuple[Step, ...], do: str) -> dict[str | None, int]:
    return {step.tag: n for n, step in enumerate(steps) if step.do == do}


@pytest.mark.parametrize("load", ["studio-105", "one-bedroom-101", "one-bedroom-106"])
def test_what_comes_out_of_a_vault_is_loaded_or_had_to_make_way(load: str) -> None:
    request = parse_request(json.loads((LOADS / f"{load}.json").read_text(encoding="utf-8")))
    plan = plan_load(request, seed=1, stop=Iterations(60))
    assert sum(step.do == "unpack" for step in plan.steps) > 10
    assert list(unpacked_too_soon(request, plan)) == []


def test_what_comes_out_for_nothing_is_found() -> None:
    request = request_of({"V1": "1 2"})
    soon = plan_of("pull V1", "unpack 1", "unpack 2", "load 1", "load 2", "clear V1")
    late = plan_of("pull V1", "unpack 1", "load 1", "unpack 2", "load 2", "clear V1")
    makes_way = plan_of("pull V1", "unpack 1", "unpack 2", "load 2", "load 1", "clear V1")
    found = [list(unpacked_too_soon(request, plan)) for plan in (soon, late, makes_way)]
    assert found == [["1"], [], []]
