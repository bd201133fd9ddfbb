"""From the loading order to steps: which vault gives its spot to the next one."""

from dataclasses import replace

from loading.planner.plan import Step
from loading.planner.request import Dock as DockOfRequest
from loading.planner.request import LoadRequest, Vault
from loading.planner.search.sequence import Dock
from loading.planner.search.warming import tiny_request


def three_vaults() -> LoadRequest:
    tiny = tiny_request()
    items = tuple(replace(tiny.items[0], tag=tag) for tag in ("001", "002", "003"))
    vaults = tuple(Vault(f"V{k}", "A", k, 1, (f"00{k}",)) for k in (1, 2, 3))
    return replace(tiny, items=items, vaults=vaults, dock=DockOfRequest(2, 4_000_000))


def test_a_vault_that_the_search_did_not_empty_keeps_its_spot() -> None:
    # After a replan one vault is left to pull; the search counts on from those that left before.
    dock = Dock(three_vaults(), ["V3"], {"V3": [Step("pull", vault="V3")]}, leaving={"V2": 9})
    dock.left = {"V1": ["001"], "V2": ["002"], "V3": ["003"]}
    dock.open = ["V1", "V2"]

    dock.bring("003")

    assert dock.steps == [
        Step("unpack", tag="002"),
        Step("clear", vault="V2"),
        Step("pull", vault="V3"),
        Step("unpack", tag="003"),
        Step("clear", vault="V3"),
    ]
    assert dock.open == ["V1"]
