"""The moment line of a finished test as an SVG: tangent against moment, one mark shape an instrument."""

from __future__ import annotations

from collections.abc import Sequence

from heelwright_client.moment_figure import MomentFigure, Reading, moment_figure
from heelwright_client.moment_points import Line
from heelwright_client.svg_plot import WIDE


def moment_drawing(lines: Sequence[Line], title: str, width: int = WIDE, *, heading: bool = True) -> str:
    """Draw the moment line of a test.

    Parameters
    ----------
    lines : sequence of Line
        One an instrument, at least one.
    title : str
        What the drawing is called.
    width : int
        Of the drawing [px].
    heading : bool
        Whether the title is written above; a page has its own heading.

    Returns
    -------
    str
        SVG.
    """
    readings = [
        Reading(point.state, line.instrument, point.moment_t_m, point.tangent - line.intercept, residual)
        for line in lines
        for point, residual in zip(line.points, line.residuals(), strict=True)
    ]
    return moment_figure(MomentFigure(readings, lines[0].slope, title, heading=heading), width)
