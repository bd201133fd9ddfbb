"""Few threads for all requests, each used again and again.

Django runs each request in a thread made for it. When ten screens look again at once, ten threads
and the loop that hands out the news pass Python's lock around, and all of them are late; each makes
its own connection's wrapper besides. Here a request gets the thread that has the fewest.
"""

from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final

from asgiref.sync import ThreadSensitiveContext

THREADS: Final = 4

Application = Callable[[Any, Any, Any], Awaitable[None]]


class FewThreads:
    """An ASGI application whose requests share some threads.

    A stream is open for minutes, but in its thread only while it opens and ends.
    """

    def __init__(self, application: Application, *, threads: int = THREADS) -> None:
        self.application = application
        self.requests = {ThreadPoolExecutor(1, f"requests-{n}"): 0 for n in range(threads)}

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        thread = min(self.requests, key=self.requests.__getitem__)
        self.requests[thread] += 1
        try:
            async with ThreadSensitiveContext(executor=thread):
                await self.application(scope, receive, send)
        finally:
            self.requests[thread] -= 1
