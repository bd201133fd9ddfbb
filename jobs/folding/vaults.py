"""How events move a vault; only one that is stored again goes back."""

from jobs.folding.state import GONE, IN_LANE, ON_DOCK, FoldEvent, State, Vault, later


def vault_in(state: State, code: str) -> Vault:
    """The vault's entry; one of which nothing was heard stands in its lane."""
    return state["vaults"].setdefault(
        code,
        Vault(
            stage=IN_LANE, lane=None, moved=0, pulled=0, stored=0, not_found=False, blocked=False
        ),
    )


def moved(state: State, event: FoldEvent) -> None:
    vault, lane = vault_in(state, event.payload["vault"]), event.payload["lane"]
    if vault["lane"] != lane:
        vault["lane"] = lane
        vault["moved"] += 1
        _is_had(vault)
        if vault["stage"] == IN_LANE:
            state["steps"].append(["move", event.payload["vault"], lane])


def pulled(state: State, event: FoldEvent) -> None:
    vault = vault_in(state, event.payload["vault"])
    if vault["stage"] == IN_LANE:
        _pull(state, event.payload["vault"])
        vault["stage"] = ON_DOCK


def stored(state: State, event: FoldEvent) -> None:
    code, lane = event.payload["vault"], event.payload["lane"]
    vault = vault_in(state, code)
    if vault["stage"] == IN_LANE and vault["stored"] and vault["lane"] == lane:
        return
    if vault["stage"] == IN_LANE:
        _pull(state, code)
    vault["stage"] = IN_LANE
    vault["lane"] = lane
    vault["stored"] += 1
    state["steps"].append(["store", code, lane])


def stowed(state: State, event: FoldEvent) -> None:
    """A vault from outside stands in a lane; the first to say so is right, and no plan has it."""
    vault = vault_in(state, event.payload["vault"])
    if not vault["stored"]:
        vault["stored"], vault["lane"] = 1, event.payload["lane"]


def not_come(state: State, event: FoldEvent) -> None:
    """It was looked for; when it is expected now is the warehouse's matter."""
    vault_in(state, event.payload["vault"])


def cleared(state: State, event: FoldEvent) -> None:
    code = event.payload["vault"]
    vault = vault_in(state, code)
    if vault["stage"] == IN_LANE:
        _pull(state, code)
    if vault["stage"] != GONE:
        state["steps"].append(["clear", code])
    vault["stage"] = GONE


def not_found(state: State, event: FoldEvent) -> None:
    vault = vault_in(state, event.payload["vault"])
    vault["not_found"] = vault["not_found"] or vault["stage"] == IN_LANE


def blocked(state: State, event: FoldEvent) -> None:
    vault = vault_in(state, event.payload["vault"])
    vault["blocked"] = vault["blocked"] or vault["stage"] == IN_LANE


def damaged(state: State, event: FoldEvent) -> None:
    """What is damaged of a vault that can be moved all the same."""
    code = event.payload["vault"]
    known = state["vault_damage"].get(code)
    state["vault_damage"][code] = later(known, event.payload["note"], event.at_ms)


def seal_broken(state: State, event: FoldEvent) -> None:
    code = event.payload["vault"]
    seal = {"seal": event.payload["seal"], "intact": event.payload["intact"]}
    state["seals"][code] = later(state["seals"].get(code), seal, event.at_ms)


def _pull(state: State, code: str) -> None:
    vault = vault_in(state, code)
    vault["pulled"] += 1
    _is_had(vault)
    state["steps"].append(["pull", code])


def _is_had(vault: Vault) -> None:
    vault["not_found"] = vault["blocked"] = False
