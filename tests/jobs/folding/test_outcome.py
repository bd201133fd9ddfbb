"""What the state says of the tasks."""

from dataclasses import dataclass

import pytest

from jobs.folding import EventKind, FoldEvent, fold, task_outcomes


@dataclass(frozen=True)
class Work:
    kind: str
    tag: str | None = None
    vault: str | None = None
    fill: int | None = None
    tier: int | None = None
    turn: int = 1
    key: str = "it"


def _done(work: Work, *events: tuple[EventKind, dict[str, object]]) -> bool:
    folded = [FoldEvent(f"e{n}", kind, payload, 0) for n, (kind, payload) in enumerate(events)]
    return work.key in task_outcomes(fold(folded), [work]).done


@pytest.mark.parametrize(
    ("work", "kind", "payload"),
    [
        (Work("move", vault="X"), EventKind.VAULT_MOVED, {"vault": "X", "lane": "L"}),
        (Work("pull", vault="X"), EventKind.VAULT_PULLED, {"vault": "X"}),
        (Work("store", vault="X"), EventKind.VAULT_STORED, {"vault": "X", "lane": "L"}),
        (Work("clear", vault="X"), EventKind.VAULT_CLEARED, {"vault": "X"}),
        (
            Work("unpack", tag="1", vault="X"),
            EventKind.PIECE_UNPACKED,
            {"tag": "1", "storage_pads_off": 0, "moving_pads_on": 0},
        ),
        (Work("fetch", tag="1"), EventKind.PIECE_FETCHED, {"tag": "1", "moving_pads_on": 0}),
        (Work("wrap", tag="1"), EventKind.PIECE_WRAPPED, {"tag": "1", "moving_pads_on": 0}),
        (Work("carry", tag="1"), EventKind.PIECE_CARRIED, {"tag": "1"}),
        (Work("load", tag="1"), EventKind.PIECE_LOADED, {"tag": "1"}),
        (Work("fill", fill=1, tier=1), EventKind.FILL_PLACED, {"fill": 1, "pads": 1}),
        (Work("close", tier=1), EventKind.TIER_CLOSED, {"tier": 1}),
    ],
    ids=lambda value: value.kind if isinstance(value, Work) else "",
)
def test_each_kind_of_work_has_an_event_that_ends_it(
    work: Work, kind: EventKind, payload: dict[str, object]
) -> None:
    assert not _done(work)
    assert _done(work, (kind, payload))


def test_the_second_shift_of_a_vault_needs_a_second_event() -> None:
    second = Work("move", vault="X", turn=2)
    first = (EventKind.VAULT_MOVED, {"vault": "X", "lane": "L2"})
    assert not _done(second, first, first)
    assert _done(second, first, (EventKind.VAULT_MOVED, {"vault": "X", "lane": "L1"}))


def test_a_piece_put_back_and_loaded_again_is_loaded_twice() -> None:
    loaded, out = (EventKind.PIECE_LOADED, {"tag": "1"}), (EventKind.PIECE_TAKEN_OUT, {"tag": "1"})
    assert not _done(Work("load", tag="1", turn=2), loaded, loaded)
    assert _done(Work("load", tag="1", turn=2), loaded, out, loaded)
    assert _done(Work("take_out", tag="1"), loaded, out)


def test_what_was_carried_needs_no_wrapping() -> None:
    assert _done(Work("wrap", tag="1"), (EventKind.PIECE_CARRIED, {"tag": "1"}))
