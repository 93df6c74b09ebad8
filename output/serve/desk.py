"""The desk: a designer edits a design and its size table beside the drawing, saves, and publishes a release."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from output.serve import releases
from output.serve.serving import serving


async def shown(request: Request) -> Response:
    """The designs and size tables of the folder, to choose from."""
    folder = serving(request).folder
    return serving(request).page("desk.html", designs=folder.designs(), tables=folder.tables())


ROUTES: Final = [Route("/", shown, name="desk"), *releases.ROUTES]
