"""Which kind of the catalogue a name on a list means.

A name that is exactly one of a kind's names, apart from case, order of words and plurals, is
sure. For any other the kind with the most words in common is guessed, rare words counting more
(a smoothed inverse document frequency), a misspelt word taken for the nearest known one.
"""

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

#: Below this share of words in common a guess helps nobody.
LEAST_SCORE = 0.35
_MISSPELT = 0.87
_NOISE = frozenset({"a", "and", "for", "of", "s", "the", "w", "with"})


@dataclass(frozen=True, slots=True)
class Match:
    """A kind's code, and how much of the names agrees (0 to 1); `sure` needs no person."""

    code: str
    score: float
    sure: bool


class KindNames:
    """The names of all kinds, ready for looking up."""

    def __init__(self, names: Iterable[tuple[str, str]], unlisted: str) -> None:
        """Take pairs of a name and the code of its kind, and the code for what is unknown."""
        self._unlisted = unlisted
        self._phrases = sorted(
            {(frozenset(name_words(name)), code) for name, code in names}, key=str
        )
        self._exact = self._only_one_kind()
        self._with_word: defaultdict[str, list[int]] = defaultdict(list)
        for index, (phrase, _) in enumerate(self._phrases):
            for word in phrase:
                self._with_word[word].append(index)
        self._known = sorted(self._with_word)
        self._nearest = cache(self._nearest_word)

    def match(self, name: str) -> Match:
        """Give the kind that a name means most likely; the unlisted one if nothing agrees."""
        said = frozenset(name_words(name))
        sure = self._exact.get(said)
        if sure is not None:
            return Match(sure, 1.0, True)
        read = frozenset(word for word in map(self._nearest, said) if word)
        lost = sum(1 for word in said if not self._nearest(word))
        best = Match(self._unlisted, 0.0, False)
        for index in sorted({i for word in read for i in self._with_word[word]}):
            phrase, code = self._phrases[index]
            score = self._score(read, lost, phrase)
            if score > best.score:
                best = Match(code, score, False)
        return best if best.score >= LEAST_SCORE else Match(self._unlisted, 0.0, False)

    def _only_one_kind(self) -> dict[frozenset[str], str]:
        times = Counter(phrase for phrase, _ in self._phrases)
        return {phrase: code for phrase, code in self._phrases if phrase and times[phrase] == 1}

    def _score(self, read: frozenset[str], lost: int, phrase: frozenset[str]) -> float:
        both = sum(self._rarity(word) for word in read & phrase)
        all_words = sum(map(self._rarity, read)) + sum(map(self._rarity, phrase)) + lost
        return round(2 * both / all_words, 3) if all_words else 0.0

    def _rarity(self, word: str) -> float:
        return math.log(1 + len(self._phrases) / len(self._with_word[word]))

    def _nearest_word(self, word: str) -> str | None:
        if word in self._with_word:
            return word
        near = get_close_matches(word, self._known, 1, _MISSPELT) if len(word) > 3 else []
        return near[0] if near else None


def name_words(name: str) -> list[str]:
    """Take a name apart into plain words, each in the singular.

    >>> name_words("Dining Chairs (2), oak")
    ['dining', 'chair', '2', 'oak']
    """
    words = re.findall(r"[^\W\d_]+|[0-9]+(?:\.[0-9]+)?", name.casefold())
    return [_singular(word) for word in words if word not in _NOISE]


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-2] if word.endswith(("shes", "xes", "sses", "ches")) else word[:-1]
    return word
