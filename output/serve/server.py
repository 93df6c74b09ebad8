"""The serve command: the pages of a folder, from this machine or behind a proxy."""

from __future__ import annotations

import asyncio
import gc
import os
import secrets
import signal
import socket
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from ipaddress import ip_address, ip_network
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any, Final

from blocks.parameters import of_kind
from blocks.quantity import read_count, shown
from drafting.errors import DraftError, OutputError
from output.commands.request import Request
from output.system import interrupts
from output.system.listening import listening
from output.system.pool import workers_named
from output.system.streams import complain, say

if TYPE_CHECKING:
    from starlette.applications import Starlette

    from output.serve.serving import Settings

PORT: Final = 8741
LOOPBACK: Final = "127.0.0.1"

FOLDER: Final = "SHIRRLINE_FOLDER"
NAMES: Final = "SHIRRLINE_NAMES"
WORKERS: Final = "SHIRRLINE_WORKERS"
RATE: Final = "SHIRRLINE_RATE"
"""The variables that tell another server's `counter` what `serve` is told by its options."""

MOST_RATE: Final = 100_000

COLLECTED: Final = (700, 10, 10)
"""When the process that listens looks for garbage: its memory stays as it is, however long it runs."""

PARTING: Final = 5
"""Seconds that those who wait for an answer are given when the pages are closed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServeRequest(Request):
    """The pages of the designs in a `folder`: the counter, and on this machine alone the desk.

    They are at a `port` of the `host`, an address of this machine: its loopback unless another is named, and then
    there is no desk. `workers` are processes that draft, one for each processor if none are asked for.

    Behind a proxy they have other `names`; the addresses or networks of the `proxies` are believed about whom they
    ask for. With either there is no desk. A client may ask `rate` times a second.
    """

    folder: str | Path
    host: str = LOOPBACK
    port: int | str = PORT
    workers: int | str | None = None
    names: tuple[str, ...] = ()
    proxies: tuple[str, ...] = ()
    rate: int | str | None = None


def serve(request: ServeRequest) -> None:
    """Serve until stopped by a signal, which then takes its usual course.

    Raises:
        DraftError: a field of the request is at fault, the libraries for it are not installed, or the port is taken.
    """
    asked: ServeRequest = of_kind("request", request, ServeRequest, DraftError)
    port, local, proxies = _port_of(asked.port), _is_loopback(asked.host), _proxies_of(asked.proxies)
    own = local and not asked.names and not proxies
    token = secrets.token_urlsafe(24) if own else ""
    settings = _settings(asked.folder, token, workers_named(asked.workers), asked.host, asked.names, asked.rate)
    place = listening(LOOPBACK if asked.host == "localhost" else asked.host, port)
    address = f"http://{f'[{asked.host}]' if ':' in asked.host else asked.host}:{port}"
    say(f"The counter, for wearers: {address}/")
    if token:
        say(f"The desk, for you alone: {address}/desk/{token}/")
    say("Stop with Ctrl-C")
    with place:
        _run(settings, place, proxies)


def counter(environment: Mapping[str, str] = os.environ) -> Starlette:
    """The counter of the folder that `SHIRRLINE_FOLDER` names, for another server and as many of its processes.

    It is asked for by the `SHIRRLINE_NAMES`, between commas. Each process has `SHIRRLINE_WORKERS` that draft, one if
    that is not set, and lets each client ask `SHIRRLINE_RATE` times a second.

    Raises:
        DraftError: a variable is at fault, or the first is not set.
    """
    from output.serve.app import application  # noqa: PLC0415

    if FOLDER not in environment:
        raise DraftError(f"{FOLDER}: it is not set; name the folder of the designs in it")
    names = [name for name in environment.get(NAMES, "").split(",") if name.strip()]
    workers = workers_named(environment.get(WORKERS, 1))
    return application(_settings(environment[FOLDER], "", workers, LOOPBACK, names, environment.get(RATE)))


def _settings(
    folder: str | Path, token: str, workers: int, host: str, names: Sequence[str], rate: int | str | None
) -> Settings:
    place = _folder_of(folder)
    try:
        from output.serve.front.guard import Bounds  # noqa: PLC0415 - not needed for other commands, nor always installed
        from output.serve.front.hosts import Hosts, named  # noqa: PLC0415
        from output.serve.serving import Settings  # noqa: PLC0415
    except ModuleNotFoundError as error:
        raise _missing(error) from None
    return Settings(
        folder=place,
        token=token,
        workers=workers,
        hosts=Hosts(LOOPBACK if host == "localhost" else host, frozenset(map(named, names))),
        bounds=Bounds() if rate is None else Bounds(rate=_rate_of(rate)),
    )


def _run(settings: Settings, place: socket.socket, proxies: list[str]) -> None:
    try:
        import uvicorn  # noqa: PLC0415

        from output.serve.app import application  # noqa: PLC0415
        from output.serve.front.connection import Connection  # noqa: PLC0415
    except ModuleNotFoundError as error:
        raise _missing(error) from None
    app = application(settings)

    class Server(uvicorn.Server):
        """Stops for the signals that the program stops for, and leaves what comes of it to the program."""

        came: int | None = None

        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            asyncio.get_running_loop().set_exception_handler(_unforeseen)
            await super().startup(sockets)
            gc.freeze()
            gc.set_threshold(*COLLECTED)

        def capture_signals(self) -> interrupts.Handled:  # type: ignore[override]
            return interrupts.Handled(self.handle_exit)

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            self.came = self.came or sig
            super().handle_exit(sig, frame)

    config = uvicorn.Config(
        app,
        http=type("Bounded", (Connection,), {"bounds": settings.bounds}),
        ws="none",
        lifespan="on",
        log_config=None,
        log_level="critical",  # what goes wrong is told by the guard, without what was typed
        access_log=False,
        server_header=False,
        proxy_headers=bool(proxies),
        forwarded_allow_ips=proxies,
        timeout_keep_alive=settings.bounds.idle,
        timeout_graceful_shutdown=PARTING,
        h11_max_incomplete_event_size=settings.bounds.head + settings.bounds.address,
    )
    server = Server(config)
    app.state.stopping = lambda: server.should_exit
    try:
        server.run([place])
    except SystemExit:  # as uvicorn has it when the application cannot begin
        raise OutputError("serve: the pages cannot be opened; is there memory enough for their processes?") from None
    if server.came:
        signal.raise_signal(server.came)


def _unforeseen(_: asyncio.AbstractEventLoop, about: dict[str, Any]) -> None:
    """What the event loop tells that nobody has waited for: without what was typed."""
    from output.serve.fault import told  # noqa: PLC0415

    error = about.get("exception")
    complain(f"internal error: {about['message']}{f': {told(error)}' if error else ''}")


def _missing(error: ModuleNotFoundError) -> DraftError:
    return DraftError(f"serve: the library {error.name} is missing; install shirrline[serve]")


def _folder_of(raw: str | Path) -> Path:
    folder = Path(raw)
    if not folder.is_dir():
        raise DraftError(f"folder: {shown(str(raw))} is not a folder; name the one with the designs")
    return folder.resolve()


def _port_of(raw: int | str) -> int:
    number = read_count(raw)
    if number is None or not 1 <= number <= 65535:
        raise DraftError(f"port: {shown(raw)} is not a port; give a whole number of 1 to 65535")
    return number


def _rate_of(raw: int | str) -> int:
    number = read_count(raw)
    if not number or number > MOST_RATE:
        raise DraftError(f"rate: {shown(raw)} is not a number of requests; give a whole number of 1 to {MOST_RATE}")
    return number


def _proxies_of(raw: Sequence[str]) -> list[str]:
    for one in raw:
        try:
            ip_network(one)
        except ValueError:
            raise DraftError(f"proxy: {shown(one)} is not an address or network; give one, as 10.0.0.0/8") from None
    return list(raw)


def _is_loopback(host: str) -> bool:
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        raise DraftError(f"host: {shown(host)} is not an address of this machine; give one, as {LOOPBACK}") from None
