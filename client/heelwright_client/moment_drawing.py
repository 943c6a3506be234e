"""The moment line as an SVG: tangent against moment, one mark shape an instrument, residuals ten times below."""

from __future__ import annotations

from collections.abc import Sequence

from heelwright_client.moment_points import Line
from heelwright_client.svg import RULE, SHAPES, Axis, Drawing
from heelwright_client.words import number

_WIDTH, _LEFT, _RIGHT = 760, 80, 730
_TOP, _BOTTOM = 70, 400
_RESIDUALS_MIDDLE, _RESIDUALS_HALF = 510, 60
_ENLARGED = 10


def moment_drawing(lines: Sequence[Line], title: str) -> str:
    """Draw the moment line of a test.

    Parameters
    ----------
    lines : sequence of Line
        One an instrument, at least one.
    title : str
        Heading.

    Returns
    -------
    str
        SVG.
    """
    far = max(abs(p.moment_t_m) for line in lines for p in line.points) * 1.08 or 1.0
    high = max(abs(p.tangent - line.intercept) for line in lines for p in line.points) * 1.08 or 1.0
    across, up = Axis(-far, far, _LEFT, _RIGHT), Axis(-high, high, _BOTTOM, _TOP)
    drawing = Drawing(_WIDTH, 600, title, _described(lines, far))
    drawing.words(_LEFT, 28, title, size=16, bold=True)
    _legend(drawing, lines)
    _frame(drawing, across, up)
    drawing.line([(across(-far), up(-far * lines[0].slope)), (across(far), up(far * lines[0].slope))], width=1.2)
    _residuals(drawing, lines, across, up)
    for order, line in enumerate(lines):
        for point in line.points:
            drawing.mark(across(point.moment_t_m), up(point.tangent - line.intercept), SHAPES[order % len(SHAPES)])
    return drawing.text()


def _described(lines: Sequence[Line], far: float) -> str:
    readings = sum(len(line.points) for line in lines)
    names = ", ".join(line.instrument for line in lines)
    return f"{readings} readings of {names}; moments up to {number(far / 1.08, 1)} t·m; one slope, an intercept each."


def _legend(drawing: Drawing, lines: Sequence[Line]) -> None:
    at = float(_LEFT)
    for order, line in enumerate(lines):
        drawing.mark(at + 5, 46, SHAPES[order % len(SHAPES)])
        drawing.words(at + 15, 50, line.instrument)
        at += 30 + 8 * len(line.instrument)


def _frame(drawing: Drawing, across: Axis, up: Axis) -> None:
    for value in across.ticks(8):
        drawing.line([(across(value), _TOP), (across(value), _BOTTOM)], colour=RULE, width=0.5)
        drawing.words(across(value), _BOTTOM + 16, f"{abs(value):g}", anchor="middle")
    for value in up.ticks(6):
        drawing.line([(_LEFT, up(value)), (_RIGHT, up(value))], colour=RULE, width=0.5)
        drawing.words(_LEFT - 8, up(value) + 4, f"{abs(value):g}", anchor="end")
    drawing.line([(_LEFT, up(0)), (_RIGHT, up(0))], width=0.8)
    drawing.line([(across(0), _TOP), (across(0), _BOTTOM)], width=0.8)
    drawing.words(_LEFT, _BOTTOM + 34, "to port")
    drawing.words((_LEFT + _RIGHT) / 2, _BOTTOM + 34, "change of moment, t·m", anchor="middle")
    drawing.words(_RIGHT, _BOTTOM + 34, "to starboard", anchor="end")
    drawing.words(_RIGHT, 50, "tangent of the change of heel: starboard above, port below the line", anchor="end")


def _residuals(drawing: Drawing, lines: Sequence[Line], across: Axis, up: Axis) -> None:
    drawing.line([(_LEFT, _RESIDUALS_MIDDLE), (_RIGHT, _RESIDUALS_MIDDLE)], width=0.8)
    drawing.words(_LEFT, _RESIDUALS_MIDDLE - _RESIDUALS_HALF + 18, f"residuals, {_ENLARGED} times enlarged")
    pixels = (up(1.0) - up(0.0)) * _ENLARGED
    for order, line in enumerate(lines):
        for point, residual in zip(line.points, line.residuals(), strict=True):
            height = max(-_RESIDUALS_HALF, min(_RESIDUALS_HALF, residual * pixels))
            x = across(point.moment_t_m)
            drawing.line([(x, _RESIDUALS_MIDDLE), (x, _RESIDUALS_MIDDLE + height)], colour=RULE)
            drawing.mark(x, _RESIDUALS_MIDDLE + height, SHAPES[order % len(SHAPES)], size=3)
