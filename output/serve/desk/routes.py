"""The desk: a designer edits a design and its size table beside the drawing, saves, and publishes a release."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from output.serve.desk import releases
from output.serve.desk.bench import COPY, Page
from output.serve.desk.steps import DESIGN, TABLE, copy_from
from output.serve.desk.turn import CELL, MOVE, NEW, TEXTS, VALUE, Look, Sent, turn
from output.serve.editing import edit
from output.serve.form import fields
from output.serve.serving import serving

MOST_BYTES: Final = 1 << 20
MOST_FIELDS: Final = 20_000
"""Of a form with two working texts, and without scripting a field for each cell of a table."""

LOOKS: Final = ("view", "size", "rise", "piece", "cloth", "selvedge", "lay", "fit")
"""The fields that say what is drawn and on which cloth."""

TYPED: Final = (VALUE, CELL, MOVE, NEW)
CHOSEN: Final = "on."
"""How fields begin that something was typed into, and that switch a size on."""

DRAWING: Final = "drawing"
NOTES: Final = "notes"
"""What a script asks for: at once what is drawn, and then what takes longer."""

PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    DRAWING: ("bar", "outside", "parameters", "sizes", "view", "drawing", "changes"),
    NOTES: ("parameters", "sizes", "view", "drawing", "notes"),
}
"""The parts of the page that may be others then."""


async def shown(request: Request) -> Response:
    """The designs and size tables of the folder, to choose from."""
    folder = serving(request).folder
    return serving(request).page("desk.html", designs=folder.designs(), tables=folder.tables())


async def opened(request: Request) -> Response:
    """A design and a size table as their files are."""
    return await _turned(request, request.query_params)


async def changed(request: Request) -> Response:
    """What a page has, with a change: as a page, or for a script the parts of one."""
    sent = await fields(request, most_bytes=MOST_BYTES, most_fields=MOST_FIELDS, empty=True)
    return await _turned(request, sent)


async def files(request: Request) -> Response:
    """For a script that asks whether another program has changed them: what both files hold, as SHA-256."""
    folder, asked = serving(request).folder, request.query_params
    paths = folder.design(asked.get(DESIGN, "")), folder.table(asked.get(TABLE, ""))
    held = [(await asyncio.to_thread(edit.read, path)).sha256 for path in paths]
    return JSONResponse({"seen": " ".join(held)})


async def _turned(request: Request, sent: Mapping[str, str]) -> Response:
    """The page after one turn; for a script, the parts of it that may have changed."""
    at_hand = serving(request)
    design = at_hand.folder.named(sent.get(DESIGN, ""))
    table = sent.get(TABLE, "")
    asked = Sent(
        design=at_hand.folder.design(design.slug),
        table=at_hand.folder.table(table),
        copy=copy_from(*(sent[name] for name in COPY)) if all(name in sent for name in COPY) else None,
        seen={which: sent[f"{which}_seen"] for which in TEXTS if f"{which}_seen" in sent},
        typed={name: value for name, value in sent.items() if name.startswith(TYPED)},
        do=sent.get("do", ""),
        joined=sent.get("joins") == "1",
        look=_look(sent),
        whole=sent.get("part") != DRAWING,
    )
    page = Page(design.slug, table, asked, await at_hand.crew.do(turn, asked), find=sent.get("find", ""))
    if "application/json" not in request.headers.get("accept", ""):
        return at_hand.page("desk_edit.html", work=page)
    parts = {
        name: at_hand.pages.get_template(f"desk_{name}.html").render(work=page)
        for name in PARTS[NOTES if page.whole else DRAWING]
    }
    told = {"state": page.state, "open": page.turn.open, "refused": page.refused, "parts": parts}
    return JSONResponse({**told, "title": page.title, "told": page.told})


def _look(sent: Mapping[str, str]) -> Look:
    """How the page looks at the garment: of what it does not say, as it begins."""
    known: dict[str, Any] = {
        name: sent[name]
        for name in ("view", "size", "rise", "piece", "cloth", "selvedge", "lay", "fit")
        if name in sent
    }
    chosen = tuple(name.removeprefix(CHOSEN) for name in sent if name.startswith(CHOSEN))
    return Look(**known, sizes=chosen or None)


ROUTES: Final = [
    Route("/", shown, name="desk"),
    Route("/edit", opened, methods=["GET"], name="edit"),
    Route("/edit", changed, methods=["POST"]),
    Route("/files", files),
    *releases.ROUTES,
]
