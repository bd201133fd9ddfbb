"""What a process remembers of the stored plans that it read last."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Final, Generic, TypeVar

Found = TypeVar("Found")

PLANS: Final = 40
"""The trucks of a busy day at one warehouse; a household's plan takes some MB when read."""


class Kept(Generic[Found]):
    """Answers that never change, such as what is derived from a stored plan, by key.

    The oldest is forgotten when there are more than `most`. Safe to ask from several threads: one
    works an answer out, the others wait for it.
    """

    def __init__(self, most: int = PLANS) -> None:
        self.most = most
        self._found: OrderedDict[Hashable, Found] = OrderedDict()
        self._turns: dict[Hashable, Lock] = {}
        self._lock = Lock()

    def of(self, key: Hashable, make: Callable[[], Found]) -> Found:
        """What is kept under the key, else what `make` gives, which is then kept."""
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
                return self._found[key]
            turn = self._turns.setdefault(key, Lock())
        with turn:
            return self._made(key, make)

    def _made(self, key: Hashable, make: Callable[[], Found]) -> Found:
        """What another thread has made meanwhile, else what is made now."""
        with self._lock:
            if key in self._found:
                return self._found[key]
        try:
            found = make()
            with self._lock:
                self._found[key] = found
                while len(self._found) > self.most:
                    self._found.popitem(last=False)
            return found
        finally:
            with self._lock:
                self._turns.pop(key, None)
