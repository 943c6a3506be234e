"""Mass of the inclining weights against the uncertainty that they leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_client.svg import RULE, Axis, Drawing, spread
from heelwright_client.words import number

_WIDTH, _HEIGHT = 520, 300
_LEFT, _RIGHT, _TOP, _BOTTOM = 70, 490, 30, 240


@dataclass(frozen=True)
class Choice:
    """One plan: total mass and uncertainty in the visitor's units, and whether it is the one shown on the page."""

    mass: float
    uncertainty: float
    chosen: bool = False


def trade_off(choices: Sequence[Choice], mass_unit: str, length_unit: str) -> str:
    """Draw the plans found, each as a mark.

    Parameters
    ----------
    choices : sequence of Choice
        At least one.
    mass_unit, length_unit : str
        Symbols of the visitor's units.

    Returns
    -------
    str
        SVG.
    """
    across = Axis(*spread([choice.mass for choice in choices], 0.15), _LEFT, _RIGHT)
    up = Axis(*spread([choice.uncertainty for choice in choices], 0.25), _BOTTOM, _TOP)
    pairs = ((number(c.mass, 1), number(c.uncertainty, 3)) for c in choices)
    told = "; ".join(f"{mass} {mass_unit} leaves {left} {length_unit}" for mass, left in pairs)
    drawing = Drawing(_WIDTH, _HEIGHT, "Total mass against the expected uncertainty of GM", f"{told}.")
    for value in across.ticks(6):
        drawing.line([(across(value), _TOP), (across(value), _BOTTOM)], colour=RULE, width=0.5)
        drawing.words(across(value), _BOTTOM + 18, f"{value:g}", anchor="middle", size=11)
    for value in up.ticks(4):
        drawing.line([(_LEFT, up(value)), (_RIGHT, up(value))], colour=RULE, width=0.5)
        drawing.words(_LEFT - 8, up(value) + 4, f"{value:g}", anchor="end", size=11)
    drawing.line([(_LEFT, _TOP), (_LEFT, _BOTTOM), (_RIGHT, _BOTTOM)])
    drawing.words(_RIGHT, _BOTTOM + 40, f"total mass, {mass_unit}", anchor="end")
    drawing.words(_LEFT - 50, 18, f"95 % uncertainty of GM, {length_unit}")
    drawing.line([(across(c.mass), up(c.uncertainty)) for c in sorted(choices, key=lambda c: c.mass)], width=0.8)
    for choice in choices:
        shape, size = ("diamond", 7.0) if choice.chosen else ("circle", 5.0)
        drawing.mark(across(choice.mass), up(choice.uncertainty), shape, size=size)
        if choice.chosen:
            drawing.words(across(choice.mass) + 11, up(choice.uncertainty) - 6, "this plan", bold=True)
    return drawing.text()
