"""The moment line while the test runs, narrow enough for a tablet held upright."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.moment_figure import MomentFigure, Reading, moment_figure
from heelwright_client.svg import Picture
from heelwright_client.svg_plot import WIDE
from heelwright_client.units import SI, System


def running_plot(
    points: Sequence[Mapping[str, Any]],
    slope: float | None,
    again: Sequence[int],
    width: int = WIDE,
    *,
    system: System = SI,
) -> Picture:
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
    system : System
        Display units.

    Returns
    -------
    Picture
        SVG and what explains it.
    """
    zeros = _zeros(points, slope)
    readings = [
        Reading(
            int(p["state"]), str(p["instrument"]), p["moment_t_m"], p["tangent"] - zeros[p["instrument"]], p["residual"]
        )
        for p in points
    ]
    last = max((reading.state for reading in readings), default=None)
    return moment_figure(MomentFigure(readings, slope, "Moment line so far", again, last, system=system), width)


def _zeros(points: Sequence[Mapping[str, Any]], slope: float | None) -> dict[str, float]:
    """Where each instrument's line crosses zero moment, so that all stand about one line; before a line, its first."""
    zeros: dict[str, float] = {}
    for p in points:
        fitted = slope is not None and p["residual"] is not None
        zero = p["tangent"] - p["residual"] - slope * p["moment_t_m"] if fitted else p["tangent"]
        zeros.setdefault(p["instrument"], zero)
    return zeros
