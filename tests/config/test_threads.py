"""Requests share a few threads, and none waits behind one that takes long."""

import asyncio
import threading
from typing import Any

from asgiref.sync import sync_to_async

from config.threads import THREADS, FewThreads


def _name(gates: dict[str, threading.Event], path: str) -> str:
    gate = gates.get(path)
    if gate is not None:
        gate.wait()
    return threading.current_thread().name


class Application:
    """Answers each request with the name of the thread that it ran in."""

    def __init__(self) -> None:
        self.gates: dict[str, threading.Event] = {}
        self.ran_in: dict[str, str] = {}

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        path = scope["path"]
        first = await sync_to_async(_name)(self.gates, path)
        second = await sync_to_async(_name)({}, path)
        assert first == second  # a request's database connection is its thread's
        self.ran_in[path] = first


async def _ask(served: FewThreads, path: str) -> None:
    await served({"type": "http", "path": path}, None, None)


def test_threads_are_used_again() -> None:
    inner = Application()
    served = FewThreads(inner)

    async def all_at_once() -> None:
        await asyncio.gather(*(_ask(served, str(number)) for number in range(40)))

    asyncio.run(all_at_once())
    assert len(inner.ran_in) == 40
    assert len(set(inner.ran_in.values())) == THREADS


def test_nobody_waits_behind_a_request_that_takes_long() -> None:
    inner = Application()
    inner.gates = {"long": threading.Event()}
    served = FewThreads(inner)

    async def one_long() -> None:
        long = asyncio.create_task(_ask(served, "long"))
        await asyncio.sleep(0)  # it has its thread
        for number in range(2 * THREADS):
            await _ask(served, str(number))
        assert "long" not in inner.ran_in
        inner.gates["long"].set()
        await long

    asyncio.run(one_long())
    others = {thread for path, thread in inner.ran_in.items() if path != "long"}
    assert inner.ran_in["long"] not in others
