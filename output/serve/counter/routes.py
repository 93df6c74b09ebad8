"""The counter: a wearer picks a design, types measurements, sees the garment and takes the pattern home.

The whole page is made here, for a browser with scripting or without; `static/counter.js` asks for parts of it while
somebody types. What was typed is read, drafted and forgotten.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache
from typing import Any, Final

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from blocks.cloth import Cloth
from blocks.fitting import NAMES as FINDINGS
from blocks.fitting import called
from blocks.measurements import RANGES
from blocks.words import together
from drafting.errors import DraftError
from drafting.units import show_measure, show_small
from output.paper.sizes import WIDE_SHEETS
from output.serve.attachment import attached
from output.serve.counter import download, wearer
from output.serve.counter.preview import Preview, preview, stem_of
from output.serve.counter.wearer import Asked, form_of, placed
from output.serve.crew import BusyError, LostError
from output.serve.drawing import screen
from output.serve.form import fields
from output.serve.serving import serving
from output.tables.summary import MOVED
from output.words.text import CAUTIONS, count, spoken

PARTS: Final = ("garment", "figures", "files")
"""Parts of the page that change with every figure."""


async def shown(request: Request) -> Response:
    """The empty form, for the design that the address names or the first."""
    slug = request.query_params.get("design", "")
    asked = wearer.read({"design": slug} if slug else {}, serving(request).folder)
    return _page(request, asked, None)


async def drawn(request: Request) -> Response:
    """The form as it was filled in, with the garment or with what is wrong beside each field."""
    asked = wearer.read(await fields(request), serving(request).folder)
    asked, seen = await _seen(request, asked)
    return _page(request, asked, seen)


async def previewed(request: Request) -> Response:
    """The parts of the page that what is being typed changes, for its script."""
    sent = dict(await fields(request))
    typing, before = sent.pop("typing", ""), sent.pop("shown", "")
    known = {name: value for name, value in sent.items() if name in wearer.FIELDS}  # a browser may keep old ones
    asked, seen = await _seen(request, wearer.read(known, serving(request).folder, typing=typing))
    told = _context(request, asked, seen)
    pages = serving(request).pages
    other = asked.design is not None and asked.design.design is not None and asked.design.slug != before
    parts: tuple[str, ...] = ("measures",) if other else ()
    if seen or other or asked.problems.get("") or not _begun(asked):
        parts += PARTS
    return JSONResponse(
        {
            "told": told["told"],
            "drawn": seen is not None,
            "shown": asked.design.slug if asked.design else "",
            "problems": {name: text for name, text in told["problems"].items() if name},
            "missing": asked.missing,
            "parts": {part: pages.get_template(f"counter_{part}.html").render(told) for part in parts},
        }
    )


async def packed(request: Request) -> Response:
    """All files that are ticked, in one zip."""
    sent = dict(await fields(request))
    sent.pop("file", None)
    return await _taken(request, sent, None)


async def one(request: Request) -> Response:
    """One of the files that are ticked, by its name."""
    sent = dict(await fields(request))
    return await _taken(request, sent, sent.pop("file", ""))


async def _taken(request: Request, sent: Mapping[str, str], name: str | None) -> Response:
    """A file of that name, or all; or the page again, when they cannot be made."""
    asked = wearer.read(sent, serving(request).folder)
    crew = serving(request).crew
    if asked.request is None:
        return _page(request, asked, None)
    try:
        if name is None:
            stem = await crew.do(stem_of, asked.request)
            return attached(await crew.stream(download.zipped, asked.request), f"{stem}.zip")
        file = await crew.stream(download.one, asked.request, name)
    except (BusyError, LostError):
        raise
    except DraftError as error:
        return _page(request, _with(asked, error), None)
    return attached(file, name)


async def _seen(request: Request, asked: Asked) -> tuple[Asked, Preview | None]:
    """What is to be seen of what is asked for, or what is wrong with it."""
    if asked.request is None:
        return asked, None
    try:
        return asked, await serving(request).crew.do(preview, asked.request)
    except (BusyError, LostError):
        raise
    except DraftError as error:
        return _with(asked, error), None


def _with(asked: Asked, error: DraftError) -> Asked:
    """What was asked for, and why it cannot be drafted."""
    place, told = placed(error)
    return Asked(asked.design, asked.values, {**asked.problems, place: told})


def _page(request: Request, asked: Asked, seen: Preview | None) -> Response:
    """The whole page; one that is told what is missing before anything was measured would only be scolding."""
    begun = _begun(asked)
    status = 422 if asked.problems and begun else 200
    if not begun:
        rest = {name: told for name, told in asked.problems.items() if name not in asked.missing}
        asked = Asked(asked.design, asked.values, rest, asked.missing)
    context = _context(request, asked, seen)
    return serving(request).page("counter.html", status=status, **context)


def _begun(asked: Asked) -> bool:
    """Whether anything was measured, or nothing need be."""
    return any(name in asked.values for name in RANGES) or not asked.missing


def _context(request: Request, asked: Asked, seen: Preview | None) -> dict[str, Any]:
    """What the templates are told."""
    designs = serving(request).folder.designs()
    usable = [one for one in designs if one.design]
    made = asked.design.design if asked.design else None
    values, workrooms = asked.values, {one.design.workroom for one in designs if one.design}
    return {
        "designs": designs,
        "usable": usable,
        "broken": [one for one in designs if one.problem],
        "only": usable[0] if len(usable) == 1 else None,
        "chosen": asked.design,
        "workroom": workrooms.pop() if len(workrooms) == 1 else "",
        "form": form_of(made) if made else None,
        "values": values,
        "fresh": not any(name != "design" for name in values),
        "problems": {name: told.removeprefix(f"{name}: ") for name, told in asked.problems.items()},
        "told": _told(asked, seen),
        "preview": seen,
        "files": seen.files if seen else (),
        "tapes": _tapes(),
        "sheets": {f"page.{paper.name}": paper.name for paper in WIDE_SHEETS},
        "usual_cloth": show_measure(Cloth().width),
        "usual_selvedge": show_small(Cloth().selvedge),
        "moved": MOVED,
        "cautions": CAUTIONS,
        "fields_open": _is_open,
        "called": _called,
    }


def _told(asked: Asked, seen: Preview | None) -> str:
    """How it stands, in a sentence or two."""
    if seen:
        pages = [f"{count(number, 'page')} of {paper}" for paper, number in seen.pages]
        cloth = [f"{seen.cloth[1]} of cloth {seen.cloth[0]}"] if seen.cloth_fits else ["too wide for this cloth"]
        warned = [f"{count(len(seen.warnings), 'thing')} to look at"] if seen.warnings else []
        return f"Drawn: {', '.join((*cloth, *pages, *warned))}."
    if asked.design is None or asked.design.design is None:
        return "Choose a design."
    wrong = [name for name in asked.problems if name and name not in asked.missing]
    if wrong:
        return f"Not drawn yet: look at {together([_called(name) for name in wrong])}."
    if asked.missing:
        return f"Still to measure: {together([_called(name) for name in asked.missing])}."
    return "This cannot be drawn." if asked.problems else ""


def _called(name: str) -> str:
    """A field as it is called in a sentence."""
    plain = name.partition(".")[2]
    return called(plain) if plain in FINDINGS else spoken(name)


def _is_open(names: Collection[str], values: Mapping[str, str], problems: Mapping[str, str]) -> bool:
    """Whether something is written in one of these fields, or wrong with it."""
    return any(name in values or name in problems for name in names)


@cache
def _tapes() -> Mapping[str, Markup]:
    """Where the tape goes for each measurement, drawn once."""
    return {name: Markup(screen.tape(name)) for name in RANGES}


ROUTES: Final = [
    Route("/", shown, name="counter"),
    Route("/", drawn, methods=["POST"]),
    Route("/preview", previewed, methods=["POST"]),
    Route("/files", packed, methods=["POST"]),
    Route("/file", one, methods=["POST"]),
]
