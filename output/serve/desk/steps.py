"""The working copy that a page of the desk carries: the texts of a design and of a size table, and the steps in them.

The server keeps none of it: a page sends all with a change, and gets it back changed. A step is told by the stretch of
a text that it replaced, so that hundreds of them are no longer than the texts.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import Final

from output.serve.form import FormError

DESIGN: Final = "design"
TABLE: Final = "table"
"""The two texts."""

MOST: Final = 200
"""Steps that can be undone."""

ROOM: Final = 256 * 1024
"""Letters in the steps that can be undone, together: those of a whole file that was loaded anew are many."""


@dataclass(frozen=True, slots=True)
class Step:
    """What stood in one of the texts, what stands there now, and what was changed by it, for a reader."""

    text: str
    place: str
    at: int
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Copy:
    """The two texts as they are now; the steps that led there, and those that were taken back, each the newest last."""

    design: str
    table: str
    done: tuple[Step, ...] = ()
    undone: tuple[Step, ...] = ()

    def text(self, which: str) -> str:
        """One of the two texts."""
        return self.design if which == DESIGN else self.table

    def changed(self, which: str, place: str, text: str, *, joined: bool = False) -> Copy:
        """The copy with another text, as one step. It is `joined` to the step before if that was at the same place: a
        number that is typed is one step, not one for each key.

        >>> copy = Copy("a = 1", "").changed("design", "a", "a = 12").changed("design", "a", "a = 123", joined=True)
        >>> copy.design, copy.undo().design, copy.undo().redo().design
        ('a = 123', 'a = 1', 'a = 123')
        """
        start = self
        if joined and self.done and (self.done[-1].text, self.done[-1].place) == (which, place):
            start = self.undo()
        if text == start.text(which):
            return replace(start, undone=()) if start is not self else self
        done = (*start.done, _step(which, place, start.text(which), text))
        return replace(start._with(which, text), done=_kept(done), undone=())

    def undo(self) -> Copy:
        """The copy before its last step; the same if there is none.

        Raises:
            FormError: the step is not one of this text.
        """
        if not self.done:
            return self
        *done, step = self.done
        text = _put(self.text(step.text), step.at, step.after, step.before)
        return replace(self._with(step.text, text), done=tuple(done), undone=(*self.undone, step))

    def redo(self) -> Copy:
        """The copy with the step that was taken back last; the same if there is none.

        Raises:
            FormError: the step is not one of this text.
        """
        if not self.undone:
            return self
        *undone, step = self.undone
        text = _put(self.text(step.text), step.at, step.before, step.after)
        return replace(self._with(step.text, text), done=(*self.done, step), undone=tuple(undone))

    def _with(self, which: str, text: str) -> Copy:
        return replace(self, design=text) if which == DESIGN else replace(self, table=text)


def steps_text(copy: Copy) -> str:
    """The steps of a copy in one line, as a page carries them."""
    told = [[[one.text, one.place, one.at, one.before, one.after] for one in each] for each in (copy.done, copy.undone)]
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def copy_from(design: str, table: str, steps: str) -> Copy:
    """The copy in what a page has sent; its texts in JSON, so that no browser changes their line ends.

    >>> copy = Copy("a = 1", "").changed("design", "a", "a = 2")
    >>> copy_from(json.dumps(copy.design), json.dumps(copy.table), steps_text(copy)) == copy
    True

    Raises:
        FormError: it is none.
    """
    try:
        texts = [json.loads(raw) for raw in (design, table)]
        done, undone = (tuple(Step(*step) for step in each) for each in json.loads(steps))
    except (ValueError, TypeError, RecursionError):
        raise FormError("desk: its working copy cannot be read; open the desk anew") from None
    if not all(map(_is_text, texts)) or not all(map(_is_sound, (*done, *undone))):
        raise FormError("desk: its working copy cannot be read; open the desk anew")
    return Copy(texts[0], texts[1], done, undone)


def _is_sound(step: Step) -> bool:
    at_place = isinstance(step.at, int) and not isinstance(step.at, bool) and step.at >= 0
    return step.text in (DESIGN, TABLE) and at_place and all(map(_is_text, (step.place, step.before, step.after)))


def _is_text(raw: object) -> bool:
    """True of a text that can be written: half of a pair is no letter."""
    return isinstance(raw, str) and raw == raw.encode(errors="ignore").decode()


def _step(which: str, place: str, before: str, after: str) -> Step:
    """The shortest stretch that tells two texts apart."""
    shorter = min(len(before), len(after))
    start = _alike(before, after)
    end = min(_alike(before[::-1], after[::-1]), shorter - start)
    return Step(which, place, start, before[start : len(before) - end], after[start : len(after) - end])


def _alike(one: str, other: str) -> int:
    """How many letters two texts have in common at their beginning."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def _put(text: str, at: int, before: str, after: str) -> str:
    if text[at : at + len(before)] != before:
        raise FormError("desk: its steps are not of this text, and cannot be undone; open the desk anew")
    return text[:at] + after + text[at + len(before) :]


def _kept(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The newest of the steps, as many as there is room for."""
    kept: list[Step] = []
    room = ROOM
    for step in reversed(steps[-MOST:]):
        room -= len(step.before) + len(step.after) + len(step.place)
        if room < 0:
            break
        kept.append(step)
    return tuple(reversed(kept))
