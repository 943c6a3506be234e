"""The moment line of a finished test as an SVG: tangent against moment, one mark shape an instrument."""

from __future__ import annotations

from collections.abc import Sequence

from heelwright_client.moment_figure import MomentFigure, Reading, moment_figure
from heelwright_client.moment_points import Line
from heelwright_client.svg import Picture
from heelwright_client.svg_plot import WIDE
from heelwright_client.units import SI, System


def moment_drawing(lines: Sequence[Line], title: str, system: System = SI) -> str:
    """Draw the moment line of a test as a file of its own, its title written above.

    Parameters
    ----------
    lines : sequence of Line
        One an instrument, at least one.
    title : str
        What the drawing is called.
    system : System
        Display units.

    Returns
    -------
    str
        SVG.
    """
    return moment_figure(_figure(lines, title, system, heading=True)).svg


def moment_picture(lines: Sequence[Line], title: str, system: System, width: int = WIDE) -> Picture:
    """Draw the moment line of a test for a page, which has a heading and a caption of its own.

    Parameters
    ----------
    lines : sequence of Line
        One an instrument, at least one.
    title : str
        What the drawing is called.
    system : System
        Display units.
    width : int
        Of the drawing [px].

    Returns
    -------
    Picture
        SVG and what explains it.
    """
    return moment_figure(_figure(lines, title, system, heading=False), width)


def _figure(lines: Sequence[Line], title: str, system: System, *, heading: bool) -> MomentFigure:
    readings = [
        Reading(point.state, line.instrument, point.moment_t_m, point.tangent - line.intercept, residual)
        for line in lines
        for point, residual in zip(line.points, line.residuals(), strict=True)
    ]
    return MomentFigure(readings, lines[0].slope, title, heading=heading, system=system)
