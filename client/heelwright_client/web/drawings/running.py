"""The moment line while the test runs, narrow enough for a tablet held upright."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.moment_figure import MomentFigure, Reading, moment_figure
from heelwright_client.svg_plot import WIDE


def running_plot(
    points: Sequence[Mapping[str, Any]], slope: float | None, again: Sequence[int], width: int = WIDE
) -> str:
    """Draw the readings so far, the last state's ringed.

    Parameters
    ----------
    points : sequence of Mapping
        As the service gives them: state, instrument, moment, tangent, residual.
    slope : float or None
        Tangent for each t·m; None before a line can be drawn.
    again : sequence of int
        States that are to be read again, drawn in the colour of what must be acted on.
    width : int
        Of the drawing [px].

    Returns
    -------
    str
        SVG.
    """
    readings = [
        Reading(int(p["state"]), str(p["instrument"]), p["moment_t_m"], p["tangent"], p["residual"]) for p in points
    ]
    last = max((reading.state for reading in readings), default=None)
    return moment_figure(MomentFigure(readings, slope, "Moment line so far", again, last), width)
