"""A hull as a function of length: sections at any station, coarse for the record and fine for the mesh."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .mesh import Mesh, hull_mesh

Array = NDArray[np.float64]
Section = Callable[[float, int], Array]
"""Contour points (y, z) [m] at a position [m] in a run, counted from aft; shape (n, 2)."""

DECIMALS = 6
POINTS = 41


@dataclass(frozen=True, eq=False)
class HullShape:
    """One hull of a family.

    Parameters
    ----------
    length_bp_m, breadth_m, depth_m, draught_m : float
        Main dimensions and the draught to be floated near [m].
    section : callable
        The starboard contour, or the whole contour of a demihull.
    runs_m : sequence of float
        Ends of the runs [m]: aft end, every place where a station is given twice, forward end.
    port_section : callable, optional
        The port contour (y negative) of a hull that is not symmetric.
    closed : bool
        Whether the contours close on themselves.
    tank_y_m, tank_breadth_m : float
        Middle and breadth of the room for tanks on each side [m].
    weight_y_m : float
        Where inclining weights stand from the centreline [m].
    most_weight_relative : float
        Largest sum of inclining weights as a share of the displacement.
    """

    length_bp_m: float
    breadth_m: float
    depth_m: float
    draught_m: float
    section: Section
    runs_m: Sequence[float]
    tank_y_m: float
    tank_breadth_m: float
    weight_y_m: float
    port_section: Section | None = None
    closed: bool = False
    most_weight_relative: float = 0.03

    def mesh(self, stations: int, refine: int) -> Mesh:
        """The closed surface with `refine` mesh intervals to each station interval of the uncoarsened record."""
        places = self._places(stations, refine)
        x = [place[0] for place in places]
        starboard = [self.section(*place) for place in places]
        port = None if self.port_section is None else [self.port_section(*place) for place in places]
        return hull_mesh(x, starboard, port, self.closed)

    def document(self, stations: int, coarse: int) -> dict[str, Any]:
        """The stations as a record states them; every `coarse`-th of the full number."""
        return {"stations": [self._station(*place) for place in self._places((stations - 1) // coarse + 1, 1)]}

    def _places(self, stations: int, refine: int) -> list[tuple[float, int]]:
        ends = np.asarray(self.runs_m, float)
        shares = np.diff(ends) / (ends[-1] - ends[0])
        counts = np.maximum(2, np.round((stations - 1) * shares).astype(int)) * refine
        return [
            (float(x), run)
            for run, count in enumerate(counts)
            for x in np.linspace(ends[run], ends[run + 1], int(count) + 1)
        ]

    def _station(self, x_m: float, run: int) -> dict[str, Any]:
        station: dict[str, Any] = {"x_m": round(x_m, DECIMALS), "contour_m": _listed(self.section(x_m, run))}
        if self.port_section is not None:
            station["port_contour_m"] = _listed(self.port_section(x_m, run))
        return station


def _listed(points: Array) -> list[list[float]]:
    return [[float(y), float(z)] for y, z in np.round(points, DECIMALS)]


def plan_curve(position: float, aft_end: float, aft: float, forward: float, power_aft: float, power: float) -> float:
    """Breadth along the length as a share of the full breadth: `aft_end` at 0, one between, nothing at 1."""
    if position < aft:
        return 1.0 - (1.0 - aft_end) * math.pow((aft - position) / aft, power_aft)
    if position > forward:
        return max(0.0, 1.0 - math.pow((position - forward) / (1.0 - forward), power))
    return 1.0


def bilge_curve(height: Array, bilge: float, power: float) -> Array:
    """Superellipse from the keel to full breadth at the height `bilge`, upright above."""
    down = 1.0 - np.minimum(height / bilge, 1.0)
    return np.asarray((1.0 - down**power) ** (1.0 / power))


def shares(points: int = POINTS, power: float = 1.7) -> Array:
    """Heights of contour points as shares of the depth, closer together near the keel."""
    return np.asarray(np.linspace(0.0, 1.0, points) ** power)


def polyline(corners: Sequence[tuple[float, float]], pieces: Sequence[int]) -> Array:
    """Points along straight lines between corners, each line cut into so many pieces."""
    parts = [np.array([corners[0]], float)]
    for start, end, count in zip(corners[:-1], corners[1:], pieces, strict=True):
        along = np.arange(1, count + 1)[:, None] / count
        parts.append(np.asarray(start) * (1.0 - along) + np.asarray(end) * along)
    return np.concatenate(parts)
