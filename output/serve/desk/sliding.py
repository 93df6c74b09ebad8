"""Where the casings of a garment lie, in steps as fine as its designer sets lengths, and what a file says for each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor
from typing import Final

from blocks.design import CasingDesign
from blocks.garment import Garment
from blocks.known import block_of
from blocks.parameters import parameters_of
from drafting.units import millimetres_per, show_in, step_of
from output.serve.drawing.screen import parts_of

DECIMALS: Final = 3
"""Of a share: a third of a millimetre of a rise."""


@dataclass(frozen=True, slots=True)
class Slider:
    """One casing: `at` so many steps, `step` mm each, above the origin of the block, and no further than the garment
    goes. Placed by a share it stays on its side of the origin, for on the other one a share is of something else;
    `whole` is the height in mm at which the share would be 1, None of a casing placed by its height. `unit` is the
    designer's, and `told` says where the casing lies.
    """

    name: str
    at: int
    low: int
    high: int
    step: float
    unit: str
    whole: float | None
    told: str

    def value(self, at: int) -> tuple[str, str]:
        """Which value of the casing puts it there, and what it is, as a design file says it.

        >>> Slider("upper", 150, 1, 280, 1.0, "mm", 280.0, "").value(140)
        ('share', '0.5')
        >>> Slider("thigh", -80, -130, 280, 1.27, "in", None, "").value(-60)
        ('height', '-3')
        """
        height = min(max(at, self.low), self.high) * self.step
        if self.whole is None:
            return "height", _plain(height / millimetres_per(self.unit), DECIMALS + 1)
        return "share", _plain(height / self.whole, DECIMALS)


def sliders(garment: Garment) -> tuple[Slider, ...]:
    """A slider for each casing of the garment's design, the topmost first, those that are left out among them."""
    return tuple(sorted(_sliders(garment), key=lambda one: -one.at))


def _sliders(garment: Garment) -> Iterator[Slider]:
    design, room_of = garment.design, block_of(garment.design).casing_room
    step = step_of(design.unit)
    outlines = [(piece.finished or piece.seam_line).bounds for piece in parts_of(garment)]
    bottom, top = min(box[1] for box in outlines), max(box[3] for box in outlines)
    for casing in design.casings:
        height = room_of(garment, design, casing.name).height if room_of else casing.height
        share = getattr(casing, "share", None)
        low, high = _bounds(casing, bottom, top)
        if share:
            low, high = (step, high) if share > 0 else (low, -step)
        yield Slider(
            name=casing.name,
            at=round(height / step),
            low=ceil(low / step),
            high=floor(high / step),
            step=step,
            unit=design.unit,
            whole=height / share if share else None,
            told=_told(height, share, design.unit),
        )


def _bounds(casing: CasingDesign, bottom: float, top: float) -> tuple[float, float]:
    """Between which heights a casing may be put."""
    about = parameters_of(casing)["height"]
    return max(bottom, about.low), min(top, about.high)


def _told(height: float, share: float | None, unit: str) -> str:
    where = show_in(round(height, 1), unit)
    return where if share is None else f"{where}, share {_plain(share, DECIMALS)}"


def _plain(number: float, decimals: int) -> str:
    """A number without trailing noughts."""
    text = f"{number + 0.0:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
