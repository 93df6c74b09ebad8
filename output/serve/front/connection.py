"""One connection to a client, as our own server keeps it: what no page comes to see is seen to here."""

from __future__ import annotations

import asyncio
import sys
from typing import Any, ClassVar, Final

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from output.serve.front.guard import HEADERS, Bounds

LINGERING: Final = 2.0
"""Seconds in which what still comes is taken in and thrown away, so that the answer is read."""

TOLD: Final = {
    400: "This request cannot be read; open the page anew and try again.",
    408: "This came too slowly; try again with a better connection.",
    431: "This request has too many headers, or too long ones.",
    501: "This request is sent in a way that is not known here.",
    503: "Too many are here at once; try again in a moment.",
}


class Connection(H11Protocol):
    """A connection that is given so long to ask, and to take what it asked for.

    What is not HTTP is answered with a sentence. One that stands still is cut off: it would hold its place for ever.
    """

    bounds: ClassVar[Bounds] = Bounds()

    def __init__(self, *about: Any, **more: Any) -> None:
        super().__init__(*about, **more)
        self._asking: asyncio.TimerHandle | None = None
        self._stalled: asyncio.TimerHandle | None = None
        self._ending: asyncio.TimerHandle | None = None
        self._heard = self._parting = False

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        if self._crowded():
            self._part(503)
        else:
            self._wait_for_head()

    def _crowded(self) -> bool:
        if len(self.connections) > self.bounds.connections:
            return True
        if self.config.proxy_headers or not self.client:  # a proxy has the connections of all its clients
            return False
        clients = [getattr(other, "client", None) for other in self.connections]
        return sum(1 for client in clients if client and client[0] == self.client[0]) > self.bounds.connections_each

    def connection_lost(self, exc: Exception | None) -> None:
        for timer in (self._asking, self._stalled, self._ending):
            if timer:
                timer.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        if self._parting:
            return
        if self._asking is None and self.conn.their_state is h11.IDLE:
            self._wait_for_head()
        self._heard = True
        super().data_received(data)
        if self._asking and self.conn.their_state is not h11.IDLE:
            self._asking.cancel()
            self._asking = None

    def _wait_for_head(self) -> None:
        self._asking = self.loop.call_later(self.bounds.asking, self._give_up)

    def _give_up(self) -> None:
        """Part with a client that has not asked for anything yet."""
        if self._heard:
            self._part(408)
        else:
            self._parting = True
            self.transport.abort()

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - uvicorn's words are not ours
        """Say what is wrong with what is no request. uvicorn calls this from where it has caught h11's error."""
        status = getattr(sys.exception(), "error_status_hint", 400)
        self._part(status if status in TOLD else 400)

    def _part(self, status: int) -> None:
        """Answer, if that can still be done, and end."""
        self._parting = True
        if self.cycle and not self.cycle.response_complete:  # a page is at work for it, and need not go on
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            self._say(status)
            if self.transport.can_write_eof():
                self.transport.write_eof()
            self._end_in(LINGERING)
        else:
            self.transport.abort()

    def _say(self, status: int) -> None:
        body = TOLD[status].encode("ascii")
        headers = [(name.encode(), value.encode()) for name, value in HEADERS.items()]
        headers += [
            (b"Content-Type", b"text/plain; charset=utf-8"),
            (b"Content-Length", str(len(body)).encode()),
            (b"Cache-Control", b"no-store"),
            (b"Connection", b"close"),
        ]
        for event in (h11.Response(status_code=status, headers=headers), h11.Data(data=body), h11.EndOfMessage()):
            self.transport.write(self.conn.send(event) or b"")

    def on_response_complete(self) -> None:
        super().on_response_complete()
        if self.transport.is_closing():
            self._end_in(self.bounds.stalled)

    def timeout_keep_alive_handler(self) -> None:
        super().timeout_keep_alive_handler()
        self._end_in(self.bounds.stalled)

    def pause_writing(self) -> None:
        super().pause_writing()
        self._stalled = self.loop.call_later(self.bounds.stalled, self.transport.abort)

    def resume_writing(self) -> None:
        super().resume_writing()
        if self._stalled:
            self._stalled.cancel()

    def _end_in(self, seconds: float) -> None:
        """Cut the connection off then, should it not have ended by itself: what is left to send holds it open."""
        if self._ending:
            self._ending.cancel()
        self._ending = self.loop.call_later(seconds, self.transport.abort)
