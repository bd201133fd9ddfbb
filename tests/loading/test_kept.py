"""What a process remembers of stored plans."""

from loading.selectors.kept import Kept


def test_an_answer_is_made_once_and_the_oldest_forgotten() -> None:
    made: list[str] = []
    kept: Kept[str] = Kept(most=2)

    def ask(key: str) -> str:
        def make() -> str:
            made.append(key)
            return key.upper()

        return kept.of(key, make)

    assert [ask(key) for key in ("a", "b", "a", "c", "a", "b")] == ["A", "B", "A", "C", "A", "B"]
    assert made == ["a", "b", "c", "b"]  # "a" was asked for again before "c" came
