"""The points of the moment line, read from a test record: change of moment against tangent, by instrument.

Only for drawing: the service fits the line and judges it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Point:
    """One reading: state, moment changed since the initial state [t·m] and tangent as read [-]."""

    state: int
    moment_t_m: float
    tangent: float


@dataclass(frozen=True)
class Line:
    """The readings of one instrument about a straight line with its own intercept."""

    instrument: str
    points: tuple[Point, ...]
    slope: float
    intercept: float

    def residuals(self) -> list[float]:
        """Return what the line leaves of each reading.

        Returns
        -------
        list of float
            Tangents [-].
        """
        return [point.tangent - self.intercept - self.slope * point.moment_t_m for point in self.points]


def moment_lines(record: Mapping[str, Any]) -> list[Line]:
    """Collect the points of every instrument and the line with a common slope through them.

    Parameters
    ----------
    record : Mapping
        A test record.

    Returns
    -------
    list of Line
        One an instrument, in the record's order; empty for a lightweight survey. The line is the least-squares one
        with a common slope and an intercept for each instrument.
    """
    moments = _moments(record)
    by_instrument = {
        str(instrument["id"]): [
            Point(reading["state"], moments[reading["state"]], _tangent(reading, instrument))
            for reading in record.get("readings", ())
            if reading["instrument"] == instrument["id"] and not reading.get("withdrawn_reason")
        ]
        for instrument in record.get("instruments", ())
    }
    read = {name: points for name, points in by_instrument.items() if points}
    slope = _common_slope(list(read.values()))
    return [
        Line(name, tuple(points), slope, _mean([p.tangent - slope * p.moment_t_m for p in points]))
        for name, points in read.items()
    ]


def _moments(record: Mapping[str, Any]) -> dict[int, float]:
    masses = {weight["id"]: weight["mass_t"] for weight in record.get("inclining_weights", ())}
    states = sorted(record.get("states", ()), key=lambda state: int(state["number"]))
    totals = {
        int(state["number"]): math.fsum(masses[name] * place[1] for name, place in state["positions"].items())
        for state in states
    }
    first = next(iter(totals.values()), 0.0)
    return {number: total - first for number, total in totals.items()}


def _tangent(reading: Mapping[str, Any], instrument: Mapping[str, Any]) -> float:
    if reading.get("value_mm") is not None:
        return float(reading["value_mm"]) / 1000.0 / float(instrument["length_m"])
    samples = reading.get("samples_deg") or [reading["value_deg"]]
    return math.tan(math.radians(_mean(samples)))


def _common_slope(groups: Sequence[Sequence[Point]]) -> float:
    over = under = 0.0
    for points in groups:
        middle = _mean([p.moment_t_m for p in points])
        over += math.fsum((p.moment_t_m - middle) * p.tangent for p in points)
        under += math.fsum((p.moment_t_m - middle) ** 2 for p in points)
    return over / under if under else 0.0


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)
