"""The moment line while the test runs, narrow enough for a tablet held upright."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.svg import ACCENT, RULE, SHAPES, Axis, Drawing

_WIDTH, _HEIGHT, _LEFT, _RIGHT = 420, 400, 48, 404
_TOP, _BOTTOM, _MIDDLE, _HALF = 46, 250, 338, 34
_ENLARGED = 10


def running_plot(points: Sequence[Mapping[str, Any]], slope: float | None, again: Sequence[int]) -> str:
    """Draw the readings so far.

    Parameters
    ----------
    points : sequence of Mapping
        As the service gives them: state, instrument, moment, tangent, residual.
    slope : float or None
        Tangent for each t·m; None before a line can be drawn.
    again : sequence of int
        States that are to be read again, drawn in the colour of what must be acted on.

    Returns
    -------
    str
        SVG.
    """
    far = max((abs(p["moment_t_m"]) for p in points), default=0.0) * 1.1 or 1.0
    high = max((abs(p["tangent"]) for p in points), default=0.0) * 1.1 or 0.01
    across, up = Axis(-far, far, _LEFT, _RIGHT), Axis(-high, high, _BOTTOM, _TOP)
    names = list(dict.fromkeys(p["instrument"] for p in points))
    drawing = Drawing(_WIDTH, _HEIGHT, "Moment line so far", f"{len(points)} readings of {', '.join(names)}.")
    _frame(drawing, across, up, names)
    if slope is not None:
        drawing.line([(across(-far), up(-far * slope)), (across(far), up(far * slope))], width=1.2)
    pixels = (up(1.0) - up(0.0)) * _ENLARGED
    for point in points:
        shape = SHAPES[names.index(point["instrument"]) % len(SHAPES)]
        colour = ACCENT if point["state"] in again else "#1a1a1a"
        x = across(point["moment_t_m"])
        drawing.mark(x, up(point["tangent"]), shape, colour=colour)
        if point["residual"] is not None:
            reach = max(-_HALF, min(_HALF, point["residual"] * pixels))
            drawing.line([(x, _MIDDLE), (x, _MIDDLE + reach)], colour=RULE)
            drawing.mark(x, _MIDDLE + reach, shape, size=3, colour=colour)
    return drawing.text()


def _frame(drawing: Drawing, across: Axis, up: Axis, names: Sequence[str]) -> None:
    at = float(_LEFT)
    for order, name in enumerate(names):
        drawing.mark(at + 5, 20, SHAPES[order % len(SHAPES)])
        drawing.words(at + 14, 24, name)
        at += 32 + 8 * len(name)
    _scales(drawing, across, up)
    drawing.line([(_LEFT, up(0)), (_RIGHT, up(0))], width=0.8)
    drawing.line([(across(0), _TOP), (across(0), _BOTTOM)], width=0.8)
    drawing.line([(_LEFT, _MIDDLE), (_RIGHT, _MIDDLE)], width=0.8)
    drawing.words(_LEFT, _BOTTOM + 34, "to port")
    drawing.words((_LEFT + _RIGHT) / 2, _BOTTOM + 34, "moment, t·m", anchor="middle")
    drawing.words(_RIGHT, _BOTTOM + 34, "to starboard", anchor="end")
    drawing.words(_RIGHT, 24, "tangent of heel", anchor="end")
    drawing.words(_LEFT, _HEIGHT - 12, f"off the line, {_ENLARGED} times enlarged", size=11, colour="#555555")


def _scales(drawing: Drawing, across: Axis, up: Axis) -> None:
    """Round values without a sign: the words below say to which side."""
    for value in across.ticks(6):
        drawing.line([(across(value), _TOP), (across(value), _BOTTOM)], colour=RULE, width=0.5)
        drawing.words(across(value), _BOTTOM + 16, f"{abs(value):g}", anchor="middle")
    for value in up.ticks(5):
        drawing.line([(_LEFT, up(value)), (_RIGHT, up(value))], colour=RULE, width=0.5)
        drawing.words(_LEFT - 6, up(value) + 4, f"{abs(value):g}", anchor="end")
