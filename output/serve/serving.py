"""What every page has at hand: the settings, the processes that draft, the templates; and how it says what is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from jinja2 import Environment
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from output.serve.crew import Crew, Limits
from output.serve.folder import Folder
from output.serve.front.guard import Bounds
from output.serve.front.hosts import Hosts
from output.serve.releases.publishing import Runs
from output.system.pool import processors


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What is served: the designs of a `folder`, at the desk as well if there is a `token` for it."""

    folder: Path
    token: str = ""
    workers: int = field(default_factory=processors)
    limits: Limits = field(default_factory=Limits)
    bounds: Bounds = field(default_factory=Bounds)
    hosts: Hosts = field(default_factory=Hosts)


@dataclass(frozen=True, slots=True)
class Serving:
    """What every page has at hand."""

    settings: Settings
    crew: Crew
    folder: Folder
    runs: Runs
    pages: Environment

    def page(self, name: str, *, status: int = 200, headers: Mapping[str, str] | None = None, **told: Any) -> Response:
        """A page made of its template."""
        return HTMLResponse(self.pages.get_template(name).render(**told), status_code=status, headers=headers)


def serving(request: Request) -> Serving:
    """What the page that is asked for has at hand."""
    found: Serving = request.app.state.serving
    return found


def problem(request: Request, status: int, told: str, headers: Mapping[str, str] | None = None) -> Response:
    """An answer that says what is wrong: for a script if one asks, or as a page."""
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"problem": told}, status_code=status, headers=headers)
    return serving(request).page("error.html", status=status, headers=headers, told=told)
