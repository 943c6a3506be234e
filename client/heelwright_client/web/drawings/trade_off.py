"""Mass of the inclining weights against the uncertainty that they leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_client.svg import Axis, Drawing, Picture, spread
from heelwright_client.svg_plot import SMALL, WIDE, Names, level, tick_words, upright
from heelwright_client.words import number

_LEFT, _EDGE, _TOP, _TALL = 58.0, 16.0, 28.0, 230.0


@dataclass(frozen=True)
class Choice:
    """One plan: total mass and uncertainty in the visitor's units, and whether it is the one shown on the page."""

    mass: float
    uncertainty: float
    chosen: bool = False


def trade_off(choices: Sequence[Choice], mass_unit: str, length_unit: str, width: int = WIDE) -> Picture:
    """Draw the plans found, each as a mark.

    Parameters
    ----------
    choices : sequence of Choice
        At least one.
    mass_unit, length_unit : str
        Symbols of the visitor's units.
    width : int
        Of the drawing [px].

    Returns
    -------
    Picture
        The plans in the order of their mass.
    """
    ordered = sorted(choices, key=lambda choice: choice.mass)
    across = Axis(*spread([choice.mass for choice in choices], 0.15), _LEFT, width - _EDGE)
    up = Axis(*spread([choice.uncertainty for choice in choices], 0.25), _TOP + _TALL, _TOP)
    title = "Total mass against the expected uncertainty of GM"
    drawing = Drawing(width, int(_TOP + _TALL) + 42, title, _told(ordered, mass_unit, length_unit))
    level(drawing, across, up.start, up.end, tick_words(across.ticks(10 if width >= WIDE else 5)))
    upright(drawing, up, across.start, across.end, tick_words(up.ticks(7)))
    drawing.words(4, _TOP - 11, f"95 % uncertainty of GM, {length_unit}; lower is better", size=SMALL)
    drawing.words(across.end, up.start + 33, f"total mass of the weights, {mass_unit}", size=SMALL, anchor="end")
    _plans(drawing, ordered, across, up)
    return drawing.picture()


def _told(ordered: Sequence[Choice], mass_unit: str, length_unit: str) -> str:
    told = "; ".join(_words(choice, mass_unit, length_unit) for choice in ordered)
    best = min(ordered, key=lambda choice: choice.uncertainty)
    return f"{len(ordered)} plans: {told}. The least uncertainty takes {number(best.mass, 1)} {mass_unit}."


def _words(choice: Choice, mass_unit: str, length_unit: str) -> str:
    told = f"{number(choice.mass, 1)} {mass_unit} leaves {number(choice.uncertainty, 3)} {length_unit}"
    return f"this plan, {told}" if choice.chosen else told


def _plans(drawing: Drawing, ordered: Sequence[Choice], across: Axis, up: Axis) -> None:
    points = [(across(choice.mass), up(choice.uncertainty)) for choice in ordered]
    names = Names(drawing, (across.start + 2, up.end, across.end, up.start))
    names.keep_line_free(points)
    drawing.line(points, width=0.8, dash="3 3")
    drawing.note("Each mark is a plan with its total mass; the dashes join them by mass.")
    if any(choice.chosen for choice in ordered):
        drawing.note("Filled diamond: this plan.")
    for choice, (x, y) in zip(ordered, points, strict=True):
        drawing.mark(
            x, y, "diamond" if choice.chosen else "circle", size=7 if choice.chosen else 5, filled=choice.chosen
        )
        names.keep_free(x, y, 7)
    for choice, (x, y) in sorted(zip(ordered, points, strict=True), key=lambda each: not each[0].chosen):
        words = number(choice.mass, 1)
        told = f"this plan, {words}" if choice.chosen else words
        if not names.put(x, y, told, away=11, bold=choice.chosen):
            drawing.note("Where marks crowd, some have no number; the table has them all.")
