"""Changes to a design file as its designer would make them by hand: its comments and its order stay.

Texts come in and texts go out; `read` and `save` alone touch a file. What the desk needs of it is here by one name.
"""

from __future__ import annotations

from typing import Any, Final

from blocks.parameters import Parameter
from blocks.quantity import not_a_number, read_cell
from drafting.errors import DesignError
from output.serve.editing.alteration import number_typed, text_typed, with_value, without
from output.serve.editing.casings import swapped, with_casing
from output.serve.editing.cells import Sheet
from output.serve.editing.differences import Difference, differences
from output.serve.editing.listed import Group, Listed, listed
from output.serve.editing.places import CASING, place_of
from output.serve.editing.problems import Problem, problems
from output.serve.editing.saved import NEW, ChangedOutsideError, Saved, plain, read, save
from output.serve.editing.sizes import sheet, with_cell, with_column, with_row, without_column, without_row
from output.serve.editing.statements import At
from output.system.reading import toml_of

__all__ = [
    "NEW",
    "ChangedOutsideError",
    "Difference",
    "Group",
    "Listed",
    "Problem",
    "Saved",
    "Sheet",
    "changed",
    "differences",
    "listed",
    "plain",
    "problems",
    "read",
    "save",
    "sheet",
    "swapped",
    "with_casing",
    "with_cell",
    "with_column",
    "with_row",
    "without_column",
    "without_row",
]

OTHERWISE: Final = {"height": "share", "share": "height"}
"""Of a casing: each stands instead of the other."""


def changed(text: str, place: str, value: str | None) -> str:
    r"""A design's text with one value as it was typed, or taken out with None, so that it goes back to its default.

    A place is `name`, `leg.fullness`, or `casing.upper.share`, a casing by its name, or by its number from 1 where it
    has no name of its own; `casing.upper` alone, with None, takes the casing out. A length is in the file's unit. Of a
    casing's height and share one stands instead of the other. A number out of range is written: `listed` tells of it.

    >>> changed('[leg]\ntaper = 0.4  # narrow\n', "leg.taper", "0,5")
    '[leg]\ntaper = 0.5  # narrow\n'

    Raises:
        OutputError: the text is no TOML, or the change would harm what stands beside the value.
        DesignError: no value has that place, or it takes a number and what was typed is none.
    """
    data = toml_of(text.removeprefix("\ufeff"), "design")
    at, kind = place_of(data, place)
    if value is None:
        return without(text, at)
    if kind is None:
        raise DesignError(f"{place}: it is a whole casing; change one value of it")
    literal, old = _literal(place, value, kind), _at(data, at)
    goal = toml_of(f"x = {literal}", place)["x"]
    instead = OTHERWISE.get(str(at[-1]), "") if at[0] == CASING and len(at) == len((CASING, 0, "key")) else ""
    if type(goal) is type(old) and goal == old and not _at(data, (*at[:-1], instead)):
        return text
    return with_value(text, at, literal, instead=instead)


def _at(data: Any, at: At) -> Any:
    """What is at a place; None where nothing is."""
    for key in at:
        try:
            data = data[key]
        except (LookupError, TypeError):
            return None
    return data


def _literal(place: str, value: str, kind: Parameter | type) -> str:
    """A value as TOML writes it, from what was typed.

    Raises:
        DesignError: it should be a number and is none.
    """
    if not isinstance(kind, Parameter):
        return text_typed(value)
    if number := number_typed(value):
        return number
    raise DesignError(f"{place}: {not_a_number(read_cell(value.strip()))}")
