"""The floor of writing a PDF: what reportlab costs with no drafting, layout or labelling before it.

A tape records every call that a draft makes to reportlab's canvas; playing it makes the same file again. That is one
floor, and a low one: what is drawn on many pages is stored once. The other is a plain file, without that economy: every
page has the strokes and texts that are seen on it.
"""

from __future__ import annotations

from typing import Any

from reportlab import rl_config
from reportlab.pdfgen import canvas as reportlab_canvas

from drafting.role import Role
from output.drawing.lettering import overlap
from output.drawing.pens import PENS
from output.formats.pdf import Document

REAL_CANVAS = reportlab_canvas.Canvas


class _Outline:
    """A path on the tape: its own calls, and the real path that they built."""

    def __init__(self, real: Any) -> None:
        self.real = real
        self.calls: list[tuple[str, tuple[Any, ...], dict[str, Any]]] = []

    def __getattr__(self, name: str) -> Any:
        def call(*args: Any, **options: Any) -> Any:
            self.calls.append((name, args, options))
            return getattr(self.real, name)(*args, **options)

        return call


class Tape:
    """Stands where reportlab's Canvas stands, passes every call on and keeps it."""

    def __init__(self) -> None:
        self.made: tuple[tuple[Any, ...], dict[str, Any]] = ((), {})
        self.calls: list[tuple[str, tuple[Any, ...], dict[str, Any]]] = []
        self.text_streams = rl_config.useA85

    def __call__(self, *args: Any, **options: Any) -> Tape:
        self.made = (args, options)
        self._real = REAL_CANVAS(*args, **options)
        return self

    def __getattr__(self, name: str) -> Any:
        attribute = getattr(self._real, name)
        if not callable(attribute):
            return attribute

        def call(*args: Any, **options: Any) -> Any:
            self.calls.append((name, args, options))
            if name == "save":
                self.text_streams = rl_config.useA85
            result = attribute(*[arg.real if isinstance(arg, _Outline) else arg for arg in args], **options)
            if name == "beginPath":
                result = _Outline(result)
                self.calls[-1] = (name, (result,), {})
            return result

        return call

    def play(self, file: Any) -> None:
        """Write the recorded document into `file` with reportlab alone."""
        (_, *args), options = self.made
        canvas = REAL_CANVAS(file, *args, **options)
        paths: dict[int, Any] = {}
        before, rl_config.useA85 = rl_config.useA85, self.text_streams
        for name, args, given in self.calls:
            if name == "beginPath":
                path = canvas.beginPath()
                for step, step_args, step_given in args[0].calls:
                    getattr(path, step)(*step_args, **step_given)
                paths[id(args[0])] = path
            else:
                getattr(canvas, name)(*[paths.get(id(arg), arg) for arg in args], **given)
        rl_config.useA85 = before


class PlainDocument(Document):
    """Stores nothing: what is to be shown on a page is drawn on it, as far as it can be seen there."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._kept: dict[str, list[Any]] = {}

    def define(self, name: str, strokes: Any, box: Any) -> None:
        self._kept[name] = list(strokes)

    def show(self, name: str, *, shift: tuple[float, float], clip: Any = None) -> None:
        seen = self._kept[name]
        self._canvas.saveState()
        if clip:
            self._clip(*clip)
            (left, bottom, right, top), (x, y) = clip, shift
            here = (left - x, bottom - y, right - x, top - y)
            seen = [stroke for stroke in seen if overlap(stroke.path.bounds, here, apart=PENS[Role.CUT].width)]
        self._canvas.translate(*shift)
        self.strokes(seen)
        self._canvas.restoreState()
