"""The pages as one ASGI application, for our own server or any other."""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from drafting.errors import DraftError
from output.serve.counter import routes as counter
from output.serve.counter.preview import begin
from output.serve.crew import BusyError, Crew, LostError
from output.serve.desk import routes as desk
from output.serve.folder import Folder
from output.serve.front.guard import FAULT, Door, Guard, RefusedError
from output.serve.releases.publishing import Runs
from output.serve.serving import Serving, Settings, problem

HERE: Final = Path(__file__).parent

PROBLEMS: Final[Mapping[int, str]] = {
    400: "This request cannot be read; open the page anew and try again.",
    403: "This is not open to you.",
    404: "There is no such page.",
    405: "That cannot be done here.",
}


def application(settings: Settings) -> Starlette:
    """The pages of a folder.

    Raises:
        DraftError: a setting is at fault.
    """

    @asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        crew = Crew(settings.workers, settings.limits, begin)
        runs = Runs(settings.folder, settings.workers)
        app.state.serving = Serving(settings, crew, Folder(settings.folder), runs, _environment())
        try:
            yield
        finally:
            await runs.close()
            crew.close()

    routes = [
        *counter.ROUTES,
        *([_desk(settings.token)] if settings.token else []),
        Mount("/static", StaticFiles(directory=HERE / "static"), name="static"),
        Route("/health", _health),
    ]
    return Starlette(
        routes=routes,
        lifespan=alive,
        middleware=[Middleware(Guard, bounds=settings.bounds, hosts=settings.hosts, refuse=problem)],
        exception_handlers={HTTPException: _refused, DraftError: _refused, Exception: _failed},
    )


def _desk(token: str) -> Mount:
    return Mount("/desk/{token}", routes=desk.ROUTES, name="desk", middleware=[Middleware(Door, token=token)])


def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(HERE / "pages"),
        autoescape=select_autoescape(default=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


async def _health(_: Request) -> Response:
    """For a proxy: that the pages are there."""
    return JSONResponse({"ok": True})


async def _refused(request: Request, error: Exception) -> Response:
    """What cannot be had, in one sentence."""
    headers: dict[str, str] = {}
    if isinstance(error, RefusedError):
        status, told, headers = error.status_code, error.detail, dict(error.headers or {})
    elif isinstance(error, HTTPException):
        status, told = error.status_code, PROBLEMS.get(error.status_code, str(error.detail))
        headers = dict(error.headers or {})
    elif isinstance(error, BusyError | LostError):
        status, told, headers = 503, str(error), {"Retry-After": "2"}
    else:
        status, told = 422, str(error)
    return problem(request, status, told, headers)


async def _failed(request: Request, _: Exception) -> Response:
    return problem(request, 500, FAULT)
