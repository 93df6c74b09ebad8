"""The pages called within the test's own process: quicker than a server, and without one."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Thread
from typing import Any, Final, TypeVar
from urllib.parse import urljoin

import httpx

from output.serve.app import application
from output.serve.serving import Settings

HOST: Final = "127.0.0.1:8741"
TOKEN: Final = "a-token-of-the-tests"
DESK: Final = f"http://{HOST}/desk/{TOKEN}/"

PATIENCE: Final = 120.0

Result = TypeVar("Result")


@dataclass(frozen=True)
class Caller:
    """Asks the application as a page of its own would; an answer is whole when it is given."""

    loop: asyncio.AbstractEventLoop
    client: httpx.AsyncClient
    base: str

    def get(self, where: str, **more: Any) -> httpx.Response:
        return run(self.loop, self.client.get(urljoin(self.base, where), **more))

    def post(self, where: str, **more: Any) -> httpx.Response:
        return run(self.loop, self.client.post(urljoin(self.base, where), **more))


def run(loop: asyncio.AbstractEventLoop, waited_for: Coroutine[Any, Any, Result]) -> Result:
    return asyncio.run_coroutine_threadsafe(waited_for, loop).result(PATIENCE)


@contextmanager
def called(settings: Settings, base: str = DESK) -> Iterator[Caller]:
    """An application from its beginning to its end, asked from addresses below a base."""
    app, loop, end = application(settings), asyncio.new_event_loop(), asyncio.Event()
    begun: asyncio.Future[Caller] = loop.create_future()

    async def live() -> None:
        transport = httpx.ASGITransport(app, client=("127.0.0.1", 50_000))
        client = httpx.AsyncClient(transport=transport, headers={"Origin": f"http://{HOST}"})
        async with app.router.lifespan_context(app), client:
            begun.set_result(Caller(loop, client, base))
            await end.wait()

    async def wait() -> Caller:
        return await begun

    thread = Thread(target=loop.run_forever)
    thread.start()
    living = asyncio.run_coroutine_threadsafe(live(), loop)
    try:
        yield run(loop, wait())
    finally:
        loop.call_soon_threadsafe(end.set)
        living.result(PATIENCE)
        loop.call_soon_threadsafe(loop.stop)
        thread.join()
        loop.close()
