"""The serve command: the pages of a folder, from this machine or behind a proxy."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING, Final

from blocks.parameters import of_kind
from blocks.quantity import read_count, shown
from drafting.errors import DraftError
from output.commands.request import Request
from output.system.pool import workers_named
from output.system.streams import say

if TYPE_CHECKING:
    from starlette.applications import Starlette

PORT: Final = 8741
LOOPBACK: Final = "127.0.0.1"

PARTING: Final = 5
"""Seconds that answers under way are given when the server is stopped."""

FOLDER: Final = "SHIRRLINE_FOLDER"
"""The variable that tells another server's `application` which folder to serve."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServeRequest(Request):
    """The pages of the designs in a `folder`: the counter, and on this machine alone the desk.

    They are at a `port` of the `host`, an address of this machine: its loopback unless another is named, and then
    there is no desk. `workers` are processes that draft, one for each processor if none are asked for.
    """

    folder: str | Path
    host: str = LOOPBACK
    port: int | str = PORT
    workers: int | str | None = None


def serve(request: ServeRequest) -> None:
    """Serve until stopped.

    Raises:
        DraftError: a field of the request is at fault, the libraries for it are not installed, or the port is taken.
    """
    asked: ServeRequest = of_kind("request", request, ServeRequest, DraftError)
    folder, port, local = _folder_of(asked.folder), _port_of(asked.port), _is_loopback(asked.host)
    workers = workers_named(asked.workers)
    try:
        import uvicorn  # noqa: PLC0415 - not needed for other commands, and not always installed

        from output.serve.app import application  # noqa: PLC0415
        from output.serve.serving import Settings  # noqa: PLC0415
    except ModuleNotFoundError as error:
        raise DraftError(f"serve: the library {error.name} is missing; install shirrline[serve]") from None
    token = secrets.token_urlsafe(24) if local else ""
    app = application(Settings(folder=folder, token=token, workers=workers))
    address = f"http://{f'[{asked.host}]' if ':' in asked.host else asked.host}:{port}"
    say(f"The counter, for wearers: {address}/")
    if token:
        say(f"The desk, for you alone: {address}/desk/{token}/")
    say("Stop with Ctrl-C")
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            host=asked.host,
            port=port,
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=PARTING,
        )
    )
    app.state.stopping = lambda: server.should_exit
    with suppress(KeyboardInterrupt):  # to be stopped is how it ends
        server.run()


def counter() -> Starlette:
    """The counter of the folder that `SHIRRLINE_FOLDER` names, for another server and as many of its processes.

    Raises:
        DraftError: the variable is not set, or names no folder.
    """
    from output.serve.app import application  # noqa: PLC0415
    from output.serve.serving import Settings  # noqa: PLC0415

    if FOLDER not in os.environ:
        raise DraftError(f"{FOLDER}: it is not set; name the folder of the designs in it")
    return application(Settings(folder=_folder_of(os.environ[FOLDER]), workers=1))


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


def _is_loopback(host: str) -> bool:
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        raise DraftError(f"host: {shown(host)} is not an address of this machine; give one, as {LOOPBACK}") from None
