import pytest

from jobs.custody.accounting import End, TagAccount, open_tags, tags_accounted
from jobs.folding import FoldEvent, fold
from jobs.folding.kinds import EventKind
from jobs.folding.state import State


def state_after(*events: tuple[EventKind, dict[str, object]]) -> State:
    return fold([FoldEvent(f"u{n}", kind, payload, n) for n, (kind, payload) in enumerate(events)])


def ends(state: State, *, leaves: bool = True, left_off: str = "") -> list[tuple[str, End]]:
    accounts = tags_accounted(
        leaves={"001": leaves}, left_off={"001": left_off} if left_off else {}, state=state
    )
    return [(account.tag, account.end) for account in accounts]


LOADED = (EventKind.PIECE_LOADED, {"tag": "001"})


@pytest.mark.parametrize(
    ("events", "end"),
    [
        ((), End.OPEN),
        ((LOADED,), End.LOADED),
        ((LOADED, (EventKind.PIECE_TAKEN_OUT, {"tag": "001"})), End.OPEN),
        (((EventKind.PIECE_CARRIED, {"tag": "001"}),), End.OPEN),
        (((EventKind.PIECE_MISSING, {"tag": "001"}),), End.MISSING),
        (((EventKind.PIECE_DOES_NOT_FIT, {"tag": "001", "note": ""}),), End.REFUSED),
        (((EventKind.PIECE_LEFT, {"tag": "001", "note": "too wet"}),), End.LEFT),
        (((EventKind.PIECE_LEFT, {"tag": "001", "note": "too wet"}), LOADED), End.LOADED),
        (((EventKind.PIECE_TAKEN_BY_CUSTOMER, {"tag": "001", "note": ""}),), End.CUSTOMER),
    ],
)
def test_what_became_of_a_piece(events: tuple[tuple[EventKind, dict[str, object]]], end: End):
    assert ends(state_after(*events)) == [("001", end)]


def test_what_is_not_released_stays_and_what_the_plan_left_has_its_reason() -> None:
    assert ends(state_after(), leaves=False) == [("001", End.STAYS)]
    (account,) = tags_accounted(
        leaves={"001": True}, left_off={"001": "too long"}, state=state_after()
    )
    assert account == TagAccount("001", End.LEFT, "too long")


def test_what_somebody_says_counts_more_than_what_the_plan_says() -> None:
    said = state_after((EventKind.PIECE_LEFT, {"tag": "001", "note": "leaks"}))
    (account,) = tags_accounted(leaves={"001": True}, left_off={"001": "too long"}, state=said)
    assert account == TagAccount("001", End.LEFT, "leaks")


def test_what_happened_counts_more_than_what_was_planned() -> None:
    assert ends(state_after(LOADED), leaves=False) == [("001", End.LOADED)]
    assert ends(state_after(LOADED), left_off="too long") == [("001", End.LOADED)]


def test_what_nobody_told_of_is_open() -> None:
    accounts = tags_accounted(
        leaves={"003": True, "001": True, "002": False}, left_off={}, state=state_after(LOADED)
    )
    assert [account.tag for account in accounts] == ["001", "002", "003"]
    assert open_tags(accounts) == ("003",)
