"""What stands between the network and the pages: which requests are heard at all, and what every answer carries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from blocks.parameters import PRACTICE, Parameters, parameter

HEADERS: Final = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


@dataclass(frozen=True, slots=True)
class Bounds(Parameters):
    """What one who asks may send and how often."""

    called = "bounds"

    body: int = parameter(64 * 1024, "bytes", 1024, 1 << 24, "of a request", PRACTICE)


class Guard:
    """The middleware."""

    def __init__(self, app: ASGIApp, *, bounds: Bounds, token: str) -> None:
        self._app, self._bounds, self._token = app, bounds, token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        await self._app(scope, receive, sent)
