"""The desk's releases: publish one, watch it being made, take its files, and see what is new against the last one."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Mapping
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from drafting.errors import OutputError
from output.serve.attachment import attached
from output.serve.form import fields
from output.serve.releases.comparison import Comparison, Setting, compare, digest_of, read_release
from output.serve.releases.publish_form import asked, choices
from output.serve.releases.publishing import Run, release_name
from output.serve.releases.released import opened, shown_files, zipped
from output.serve.serving import serving

RETRY: Final = 2000
"""Milliseconds after which a page asks again for news, should the line break."""

MOST_SHOWN: Final = 60
"""Sizes that one figure is shown in; a blend of sizes has as many as their square."""

SEE_OTHER: Final = 303
"""So that a page that is loaded again sends no form again (RFC 9110, 15.4.4)."""


async def listed(request: Request) -> Response:
    """The form that asks for a release, the runs under way, and the releases that are there."""
    desk = serving(request)
    there = [name for name in desk.folder.releases() if desk.runs.of(name) is None]
    return desk.page(
        "desk_releases.html",
        choices=choices(desk.folder),
        values=_values(request.query_params),
        runs=tuple(reversed(desk.runs.all())),
        there=there,
        home=_way(request, "releases"),
        desk=_way(request, "desk"),
    )


async def started(request: Request) -> Response:
    """Begin to publish, and go to the page that tells how far it is."""
    desk, given = serving(request), await fields(request)
    run = desk.runs.start(asked(given, desk.folder), given)
    return RedirectResponse(_way(request, "release", release=run.name), SEE_OTHER)


async def shown(request: Request) -> Response:
    """How far a run is or what came of it, the files of the release, and what is new in it."""
    desk, name = serving(request), _named(request)
    run, folder = desk.runs.of(name), desk.settings.folder / name
    if "application/json" in request.headers.get("accept", "") and run:
        return JSONResponse(_state(run))
    files, problem = await run_in_threadpool(_files, folder)
    if run is None and problem:
        raise OutputError(problem)
    others = [other for other in desk.folder.releases() if other != name]
    comparison, against = _comparison(run, folder), request.query_params.get("with", "")
    if against in others:
        known = desk.runs.settings(against), desk.runs.settings(name)
        comparison = await desk.crew.do(compared, desk.settings.folder, against, name, *known)
    return desk.page(
        "desk_release.html",
        release=name,
        run=run,
        files=files,
        problem=problem if run is None or run.ended else "",
        comparison=comparison,
        against=against if against in others else "",
        others=others,
        most=MOST_SHOWN,
        choices=choices(desk.folder),
        values=run.form if run else {},
        here=_way(request, "release", release=name),
        home=_way(request, "releases"),
        desk=_way(request, "desk"),
    )


async def news(request: Request) -> Response:
    """How far a run is, whenever it has come farther, as server-sent events (WHATWG HTML, 9.2)."""
    run, stopping = _run(request), getattr(request.app.state, "stopping", bool)

    async def told() -> AsyncIterator[str]:
        yield f"retry: {RETRY}\n\n"
        async for fresh in run.news(stopping):
            yield f"id: {run.version}\ndata: {json.dumps(_state(run))}\n\n" if fresh else ": nothing new\n\n"

    return StreamingResponse(told(), media_type="text/event-stream")


async def cancelled(request: Request) -> Response:
    """Have a run end."""
    run = _run(request)
    serving(request).runs.cancel(run.name)
    return RedirectResponse(_way(request, "release", release=run.name), SEE_OTHER)


async def one(request: Request) -> Response:
    """One file of a release."""
    name, folder = request.path_params["file"], serving(request).settings.folder / _named(request)
    return attached(await run_in_threadpool(opened, folder, name), name)


async def all_of_it(request: Request) -> Response:
    """A release in one zip."""
    desk, name = serving(request), _named(request)
    return attached(await desk.crew.stream(zipped, desk.settings.folder / name), f"{name}.zip")


def compared(
    folder: Path,
    earlier: str,
    later: str,
    before: Mapping[str, Setting] | None,
    after: Mapping[str, Setting] | None,
) -> Comparison | None:
    """What is new in one release of a folder against another one, with what is known of their designs.

    Raises:
        OutputError: one of them cannot be read.
    """
    now = read_release(folder / later, after)
    return compare(read_release(folder / earlier, before), now) if now else None


def _named(request: Request) -> str:
    """The release that an address names."""
    try:
        return release_name(request.path_params["release"], serving(request).settings.folder)
    except OutputError:
        raise HTTPException(404) from None


def _run(request: Request) -> Run:
    run = serving(request).runs.of(_named(request))
    if run is None:
        raise HTTPException(404)
    return run


def _files(folder: Path) -> tuple[Any, str]:
    """The files of a release, or why there are none to list."""
    try:
        return shown_files(folder)[1], ""
    except OutputError as error:
        return (), str(error)


def _comparison(run: Run | None, folder: Path) -> Comparison | None:
    """What a run found new, as long as nobody else has published there since."""
    if run is None or not run.outcome.digest or run.outcome.digest != digest_of(folder):
        return None
    return run.outcome.comparison


def _state(run: Run) -> dict[str, Any]:
    """How far a run is, for a script."""
    return {"state": run.state, "ended": run.ended, "done": run.done, "of": run.of, "told": run.told()}


def _values(given: Mapping[str, str]) -> dict[str, str]:
    """What an address asks to have chosen beforehand."""
    return {name: given[name] for name in ("design", "table", "folder") if name in given}


def _way(request: Request, route: str, **names: str) -> str:
    """The address of a page of the desk, as a path."""
    quoted = {name: quote(value, safe="") for name, value in names.items()}
    return str(request.app.url_path_for(f"desk:{route}", token=request.path_params["token"], **quoted))


ROUTES: Final = [
    Route("/releases", listed, name="releases", methods=["GET"]),
    Route("/releases", started, name="publish", methods=["POST"]),
    Route("/releases/{release}", shown, name="release", methods=["GET"]),
    Route("/releases/{release}/news", news, name="news", methods=["GET"]),
    Route("/releases/{release}/cancel", cancelled, name="cancel", methods=["POST"]),
    Route("/releases/{release}/files/{file}", one, name="file", methods=["GET"]),
    Route("/releases/{release}/all.zip", all_of_it, name="zip", methods=["GET"]),
]
