"""What a process remembers: made once, however many ask at once, and forgotten in order."""

from concurrent.futures import ThreadPoolExecutor
from functools import partial
from threading import Barrier, Lock

import pytest

from loading.selectors.kept import Kept

ASKING = 8


def test_one_makes_what_many_ask_for_at_once() -> None:
    kept: Kept[int] = Kept()
    made: list[int] = []
    together, counting = Barrier(ASKING), Lock()

    def make() -> int:
        with counting:
            made.append(len(made))
        return made[-1]

    def ask() -> int:
        together.wait()
        return kept.of("key", make)

    with ThreadPoolExecutor(ASKING) as threads:
        answers = [one.result() for one in [threads.submit(ask) for _ in range(ASKING)]]
    assert answers == [0] * ASKING
    assert made == [0]


def test_what_could_not_be_made_is_made_the_next_time() -> None:
    kept: Kept[int] = Kept()
    with pytest.raises(ZeroDivisionError):
        kept.of("key", lambda: 1 // 0)
    assert kept.of("key", lambda: 1) == 1


def test_the_one_asked_for_longest_ago_is_forgotten() -> None:
    kept: Kept[str] = Kept(2)
    for key in ("a", "b", "a", "c"):
        kept.of(key, partial(str, f"first {key}"))
    again = {key: kept.of(key, partial(str, f"again {key}")) for key in ("a", "c")}
    assert again == {"a": "first a", "c": "first c"}
    assert kept.of("b", lambda: "again b") == "again b"
