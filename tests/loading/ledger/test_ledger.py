import pytest
from hypothesis import given
from hypothesis import strategies as st

from loading.ledger import (
    Account,
    Difference,
    Equipment,
    Movement,
    PlaceKind,
    balances,
    differences,
)
from loading.ledger.accounts import KEYED
from loading.ledger.balances import overdrawn

OUTSIDE, WAREHOUSE = Account(PlaceKind.OUTSIDE), Account(PlaceKind.WAREHOUSE)
WASH, LOST = Account(PlaceKind.WASH), Account(PlaceKind.LOST)
TRUCK = Account(PlaceKind.TRUCK, "Truck 7")
JOB = Account(PlaceKind.JOB, "LOAD-1")
STORAGE = Account(PlaceKind.STORAGE, "SHP-1")
PAD, STRAP = Equipment.PAD, Equipment.STRAP


def moved(key: str, source: Account, target: Account, count: int) -> Movement:
    return Movement(key, PAD, source, target, count)


A_DAY = (
    moved("bought", OUTSIDE, WAREHOUSE, 300),
    moved("on board", WAREHOUSE, TRUCK, 120),
    moved("stored", WAREHOUSE, STORAGE, 60),
    moved("storage pads off", STORAGE, WAREHOUSE, 60),
    moved("on the goods", TRUCK, JOB, 80),
    moved("back", JOB, TRUCK, 70),
    moved("wet", JOB, WASH, 8),
    moved("torn", WASH, LOST, 3),
)


def test_a_day_from_the_shop_to_the_wash() -> None:
    found = balances(A_DAY)
    assert {str(account.kind): count for (account, _), count in found.items()} == {
        "outside": -300,
        "warehouse": 180,
        "truck": 110,
        "job": 2,
        "wash": 5,
        "lost": 3,
    }
    assert overdrawn(found) == ()


def test_what_leaves_without_having_been_there_is_named() -> None:
    found = balances([moved("back", JOB, TRUCK, 1)])
    assert overdrawn(found) == ((JOB, PAD),)


@pytest.mark.parametrize("kind", PlaceKind)
def test_an_account_has_a_key_where_there_are_several(kind: PlaceKind) -> None:
    with pytest.raises(ValueError, match="key"):
        Account(kind, "" if kind in KEYED else "one")


def test_a_movement_moves_something_somewhere() -> None:
    with pytest.raises(ValueError, match="at least one"):
        moved("none", WAREHOUSE, TRUCK, 0)
    with pytest.raises(ValueError, match="nowhere"):
        moved("round", TRUCK, Account(PlaceKind.TRUCK, "Truck 7"), 1)


def test_a_difference_is_open_until_a_movement_explains_it() -> None:
    counted = {PAD: 110}
    day = list(A_DAY)
    (found,) = differences(balances(day), truck="Truck 7", job="LOAD-1", counted=counted)
    assert found == Difference(PAD, expected=112, counted=110)
    assert found.missing == 2
    day.append(moved("left behind", JOB, LOST, 2))
    assert differences(balances(day), truck="Truck 7", job="LOAD-1", counted=counted) == ()


def test_too_many_is_a_difference_as_well() -> None:
    (found,) = differences({}, truck="Truck 7", job="LOAD-1", counted={STRAP: 4})
    assert (found.equipment, found.missing) == (STRAP, -4)


def test_what_nobody_counted_is_no_difference() -> None:
    assert differences(balances(A_DAY), truck="Truck 7", job="LOAD-1", counted={}) == ()


accounts = st.one_of(
    st.sampled_from([kind for kind in PlaceKind if kind not in KEYED]).map(Account),
    st.builds(Account, st.sampled_from(sorted(KEYED)), st.sampled_from("ab")),
)
movements = st.builds(
    lambda key, equipment, pair, count: Movement(key, equipment, *pair, count),
    st.uuids().map(str),
    st.sampled_from(Equipment),
    st.tuples(accounts, accounts).filter(lambda pair: pair[0] != pair[1]),
    st.integers(1, 500),
)


@given(st.lists(movements, max_size=30), st.randoms(use_true_random=False))
def test_nothing_appears_or_disappears(some: list[Movement], random: object) -> None:
    found = balances(some)
    for kind in Equipment:
        assert sum(count for (_, of), count in found.items() if of is kind) == 0
    again = [*some, *some]
    random.shuffle(again)  # type: ignore[attr-defined]
    assert balances(again) == found
