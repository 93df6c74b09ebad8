"""The counter: a wearer picks a design, types measurements, sees the garment and takes the pattern home."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from output.serve.serving import serving


async def shown(request: Request) -> Response:
    """The empty form."""
    return serving(request).page("counter.html")


ROUTES: Final = [Route("/", shown, name="counter")]
