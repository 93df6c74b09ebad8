"""What stands between the network and the pages: which requests are heard at all, and what every answer carries.

It needs nothing of the server that it runs under; what that one alone can see to is in `output.serve.front.connection`.
"""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from math import ceil
from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from blocks.parameters import PRACTICE, Parameters, parameter
from output.serve.fault import told
from output.serve.front.hosts import Hosts, is_near
from output.serve.front.rates import Client, Rates
from output.system.streams import complain

HEADERS: Final = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # without any, a browser would not say where a form of ours comes from
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}

FAULT: Final = "Something went wrong on our side; try again, and tell the people who run this page."

SPILLED: Final = 16 << 20
"""Bytes of a body that nobody wants which are still taken in, so that its sender comes to read why."""

SPILLING: Final = 5.0
"""Seconds for them."""


@dataclass(frozen=True, slots=True)
class Bounds(Parameters):
    """What one who asks may send, how often, and how long it may take."""

    called = "bounds"

    body: int = parameter(64 * 1024, "bytes", 1024, 1 << 24, "of a request", PRACTICE)
    desk: int = parameter(1 << 20, "bytes", 1024, 1 << 24, "of a request to the desk", PRACTICE)
    address: int = parameter(2048, "bytes", 256, 1 << 16, "of an address", PRACTICE)
    headers: int = parameter(64, "", 16, 1000, "headers of a request", PRACTICE)
    head: int = parameter(16 * 1024, "bytes", 1024, 1 << 20, "of all headers of a request", PRACTICE)
    asking: float = parameter(10, "s", 0.1, 600, "to send the headers of a request", PRACTICE)
    sending: float = parameter(20, "s", 0.1, 600, "to send the body of a request", PRACTICE)
    stalled: float = parameter(20, "s", 0.1, 600, "that an answer may stand still half taken", PRACTICE)
    idle: int = parameter(15, "s", 1, 600, "that a connection is kept without a request", PRACTICE)
    rate: float = parameter(40, "1/s", 0.1, 100_000, "requests of one client", PRACTICE)
    burst: int = parameter(200, "", 1, 100_000, "requests of one client at once after a rest", PRACTICE)
    clients: int = parameter(10_000, "", 1, 1 << 20, "clients that are told apart", PRACTICE)
    busy: int = parameter(256, "", 1, 100_000, "requests answered at once", PRACTICE)
    busy_each: int = parameter(64, "", 1, 100_000, "requests of one client answered at once", PRACTICE)
    connections: int = parameter(512, "", 1, 100_000, "connections at once", PRACTICE)
    connections_each: int = parameter(128, "", 1, 100_000, "connections of one client at once", PRACTICE)


class RefusedError(HTTPException):
    """A request that is not heard, and why, in one sentence."""


Refuse = Callable[[Request, int, str, Mapping[str, str] | None], Response]


class Guard:
    """The middleware around all pages. `refuse` makes the answer that says why there is no other."""

    def __init__(self, app: ASGIApp, *, bounds: Bounds, hosts: Hosts, refuse: Refuse) -> None:
        self._app, self._bounds, self._hosts, self._refuse = app, bounds, hosts, refuse
        self._rates = Rates(rate=bounds.rate, burst=bounds.burst, clients=bounds.clients)
        self._busy = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            await self._hear(Request(scope), receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close"})
        else:
            await self._app(scope, receive, send)

    async def _hear(self, request: Request, receive: Receive, send: Send) -> None:
        hearing, sending = _Hearing(request, receive), _Sending(request, send, self._bounds.stalled)
        try:
            client = self._count(request)
            self._check_head(request)
            self._check_sender(request)
            if await self._read(request, hearing):
                await self._answer(request.scope, client, hearing, sending)
        except RefusedError as error:
            await hearing.spill(self._refuse(request, error.status_code, error.detail, error.headers), sending)
        except Exception as error:
            if sending.gone:
                return
            complain(f"internal error: {told(error)}; please report it")
            if not sending.begun:  # else the connection is cut off by the server, because the answer is not whole
                await self._refuse(request, 500, FAULT, None)(request.scope, receive, sending)

    def _check_head(self, request: Request) -> None:
        """See that a request is one that a browser could send for a page of ours.

        Raises:
            RefusedError: it is not.
        """
        bounds, headers = self._bounds, request.headers.raw
        if len(headers) > bounds.headers or sum(len(name) + len(value) for name, value in headers) > bounds.head:
            raise RefusedError(431, "This request has too many headers, or too long ones.")
        raw = request.scope.get("raw_path") or b""
        if len(raw) + len(request.scope["query_string"]) > bounds.address:
            raise RefusedError(414, "This address is too long.")
        if request.method not in {"GET", "HEAD", "POST"}:
            raise RefusedError(405, "That cannot be done here.", {"Allow": "GET, HEAD, POST"})
        path: str = request.scope["path"]
        if not path.isprintable() or "\\" in path or any(part in {".", ".."} for part in path.split("/")):
            raise RefusedError(404, "There is no such page.")

    def _check_sender(self, request: Request) -> None:
        """See that a request means these pages, and that a form comes from one of them.

        Raises:
            RefusedError: it does not.
        """
        hosts = request.headers.getlist("host")
        if len(hosts) != 1 or not self._hosts.know(hosts[0]):
            raise RefusedError(421, "These pages are not known by this name; open them at the address they were given.")
        if request.method == "POST" and not self._hosts.sent(request):
            raise RefusedError(403, "This was sent from another site's page; open ours anew and send it from there.")

    def _count(self, request: Request) -> Client:
        """Who asks.

        Raises:
            RefusedError: it asks too often.
        """
        client = self._rates.client(request.client.host if request.client else "")
        wait = self._rates.wait(client)
        if wait:
            told = "Too much is asked for from where you are; wait a moment and try again."
            raise RefusedError(429, told, {"Retry-After": str(ceil(wait))})
        return client

    async def _read(self, request: Request, hearing: _Hearing) -> bool:
        """Read the body, because a form is read as a whole; whether its sender is still there.

        Raises:
            RefusedError: it is too long, or too slow in coming.
        """
        most = self._bounds.desk if request.scope["path"].startswith("/desk/") else self._bounds.body
        length = request.headers.get("content-length", "0")
        try:
            async with asyncio.timeout(self._bounds.sending):
                if length.isdecimal() and int(length[:20]) <= most and await hearing.read(most):
                    return not hearing.left
        except TimeoutError:
            raise RefusedError(408, "This came too slowly; try again with a better connection.") from None
        raise RefusedError(413, f"This is longer than the {most} bytes that are read here; send less.")

    async def _answer(self, scope: Scope, client: Client, receive: Receive, send: Send) -> None:
        """Have the pages answer.

        Raises:
            RefusedError: they have enough to do.
        """
        if client.busy >= self._bounds.busy_each or self._busy >= self._bounds.busy:
            raise RefusedError(503, "Too much is asked for at once; try again in a moment.", {"Retry-After": "1"})
        self._busy += 1
        client.busy += 1
        try:
            await self._app(scope, receive, send)
        finally:
            self._busy -= 1
            client.busy -= 1


class Door:
    """The middleware around the desk: it is there for this machine alone, and for who has the token."""

    def __init__(self, app: ASGIApp, *, token: str) -> None:
        self._app, self._token = app, token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if not is_near(Request(scope)):
            raise RefusedError(403, "The desk is open on the machine that it runs on, and nowhere else.")
        if not hmac.compare_digest(str(scope["path_params"].get("token")).encode(), self._token):
            raise RefusedError(404, "This is not the desk's address: take the one that the program has printed.")
        await self._app(scope, receive, send)


class _Hearing:
    """What a client sends: the body once more, after it has been read, and whatever comes after it."""

    def __init__(self, request: Request, receive: Receive) -> None:
        self._receive = receive
        self._waiting: list[Message] = []
        self._ended = "content-length" not in request.headers and "transfer-encoding" not in request.headers
        self.left = False

    async def __call__(self) -> Message:
        return self._waiting.pop() if self._waiting else await self._receive()

    async def _next(self) -> bytes:
        message = await self._receive()
        self.left = message["type"] == "http.disconnect"
        self._ended = not message.get("more_body", False)
        body: bytes = message.get("body", b"")
        return body

    async def read(self, most: int) -> bool:
        """Read so many bytes at most; whether the body has no more."""
        body = bytearray()
        while not self._ended:
            body += await self._next()
            if len(body) > most:
                return False
        self._waiting = [{"type": "http.request", "body": bytes(body), "more_body": False}]
        return True

    async def spill(self, answer: Response, send: Send) -> None:
        """Send an answer, then take in what is left of the body: many read no answer before they have sent theirs."""
        if not self._ended:
            answer.headers["Connection"] = "close"
        await send({"type": "http.response.start", "status": answer.status_code, "headers": answer.raw_headers})
        await send({"type": "http.response.body", "body": bytes(answer.body), "more_body": not self._ended})
        if self._ended:
            return
        with suppress(TimeoutError):
            async with asyncio.timeout(SPILLING):
                spilt = 0
                while not self._ended and spilt < SPILLED:
                    spilt += len(await self._next())
        await send({"type": "http.response.body", "body": b"", "more_body": False})


class _Sending:
    """The way of an answer: with what every answer carries, and only as long as it is taken."""

    def __init__(self, request: Request, send: Send, seconds: float) -> None:
        self._send, self._seconds = send, seconds
        self._keep = "no-cache" if request.scope["path"].startswith("/static/") else "no-store"
        self.begun = self.gone = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.begun = True
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", self._keep)
        try:
            async with asyncio.timeout(self._seconds):
                await self._send(message)
        except TimeoutError:
            self.gone = True
            raise
