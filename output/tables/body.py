"""A body as it stands in tables: how each measurement is known, and how far an estimate may be off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from blocks.measurements import Body
from blocks.words import together
from drafting.units import show_cm
from output.words import text as words

MEASURED: Final = "measured"
ESTIMATED: Final = "estimated"

TWO_IN_THREE: Final = "±: two bodies in three"
"""Lie within an error of one standard deviation; common statistics, of a normal distribution."""


def body_heading(body: Body, names: Sequence[str]) -> str:
    """The heading of a table of these measurements, which says what the error of an estimate means."""
    guessed = any(name in body.estimated for name in names)
    return f"Body measurements ({TWO_IN_THREE})" if guessed else "Body measurements"


def how_known(body: Body, name: str) -> str:
    """Whether it was measured or estimated, in one word."""
    return ESTIMATED if name in body.estimated else MEASURED


def how_well_known(body: Body, name: str) -> str:
    """Whether it was measured or estimated, and then with what error: as `estimated ± 1.9 cm`."""
    return " ".join(filter(None, (how_known(body, name), off_by([body], name))))


def off_by(bodies: Iterable[Body], name: str) -> str:
    """The error of an estimate, from its least to its most in several bodies; empty where it was measured.

    One standard deviation: two bodies in three lie within it.
    """
    errors = sorted(estimate.error for body in bodies if (estimate := body.estimate(name)))
    if not errors:
        return ""
    least, most = show_cm(errors[0]), show_cm(errors[-1])
    return f"± {most}" if least == most else f"± {least.removesuffix(' cm')} to {most}"


def estimates_text(body: Body, names: Sequence[str]) -> str:
    """What was estimated of these measurements, in a sentence; empty when all were measured."""
    guesses = [
        f"{words.spoken(name)} {show_cm(body.known(name))} {off_by([body], name)}".replace(" cm", "")
        for name in names
        if name in body.estimated
    ]
    return f"Estimated, not measured, in cm: {', '.join(guesses)} ({TWO_IN_THREE})" if guesses else ""


def beyond_text(body: Body, names: Sequence[str]) -> str:
    """Which estimates go beyond the bodies that their rules were drawn from, in a sentence; empty when none does."""
    beyond = [words.spoken(name) for name in names if body.strange(name)]
    if not beyond:
        return ""
    them = "them" if beyond[1:] else "it"
    return f"{together(beyond)}: estimated beyond the bodies that the rule was drawn from; measure {them}"
