"""A hull form as given, checked and lofted; the same for a tank's shape.

Contours run from the keel to the deck edge on the starboard side. One that starts on the centreline is closed along
it; any other closes on itself (a demihull, a skeg). Without a port contour the port side is the mirror image.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.lofting import Run, Side, common_points, side_from_runs
from heelwright_service.core.record import LEAST_APART_M, Appendage, HullDocument, Station
from heelwright_service.core.surface import refuse_bent_surface

Array = NDArray[np.float64]

CENTRELINE_TOLERANCE_M = 1e-6

TOUCHING_SHARE = 1e-6
"""Points nearer to an edge than this share of the contour's size touch it; they do not cross it."""


@dataclass(frozen=True)
class Hull:
    """A lofted hull form.

    Parameters
    ----------
    length_bp_m : float
        Length between perpendiculars [m].
    sides : tuple of Side
        The starboard and the port side; a single side for a tank off the centreline.
    appendages : sequence of Appendage
        Constant immersed volumes.
    shell_allowance_relative : float
        Share by which the moulded volume is increased for the shell.
    depth_limits_m : tuple of float
        Lowest and highest point of the contours [m].
    deck_edge_m : ndarray
        Deck edge points (x, y, z) of both sides [m], shape (e, 3).
    """

    length_bp_m: float
    sides: tuple[Side, ...]
    appendages: Sequence[Appendage]
    shell_allowance_relative: float
    depth_limits_m: tuple[float, float]
    deck_edge_m: Array

    @classmethod
    def from_document(cls, document: HullDocument, length_bp_m: float, pointer: str = "/vessel/hull") -> Hull:
        """Check a hull form and loft it.

        Parameters
        ----------
        document : HullDocument
            Stations with contours [m], in order of x; a station given twice is a step along x.
        length_bp_m : float
            Length between perpendiculars [m].
        pointer : str
            Where the hull stands in the request, for errors.

        Returns
        -------
        Hull
            The hull, symmetric about the centreline unless port contours are given.

        Raises
        ------
        CoreError
            ``station-order``, ``contour-open``, ``contour-folded``, ``contour-crosses-centreline``, ``contour-short``,
            ``contour-mixed``, ``surface-folded`` or ``hull-empty``, naming the station.

        Examples
        --------
        >>> box = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
        >>> hull = Hull.from_document(HullDocument([Station(0.0, box), Station(50.0, box)]), 50.0)
        >>> hull.depth_limits_m
        (0.0, 5.0)
        """
        stations = list(document.stations)
        bounds = _run_bounds([station.x_m for station in stations], pointer)
        starboard = _contours(stations, bounds, pointer, port=False)
        port = _contours(stations, bounds, pointer, port=True)
        sides = (
            side_from_runs(_runs(stations, starboard, bounds), mirrored=False),
            side_from_runs(_runs(stations, port, bounds), mirrored=True),
        )
        _refuse_bent(sides, stations, True, pointer)
        edge = np.concatenate([_deck_edge(stations, starboard, 1.0), _deck_edge(stations, port, -1.0)])
        return cls._made(document, length_bp_m, sides, [*starboard, *port], edge)

    @classmethod
    def of_tank(cls, document: HullDocument, pointer: str) -> Hull:
        """Check a tank's shape and loft it.

        Parameters
        ----------
        document : HullDocument
            Stations in ship coordinates [m]. A contour that starts on the centreline is mirrored like a hull's; any
            other closes on itself at its own y, to port negative, and is not mirrored.
        pointer : str
            Where the shape stands in the request, for errors.

        Returns
        -------
        Hull
            The tank's shape; its length is that of its stations.

        Raises
        ------
        CoreError
            As `from_document`.
        """
        stations = list(document.stations)
        length = max((abs(station.x_m) for station in stations), default=1.0) or 1.0
        first = stations[0].contour_m if stations else ()
        if len(first) and abs(first[0][0]) <= CENTRELINE_TOLERANCE_M:
            return cls.from_document(document, length, pointer)
        bounds = _run_bounds([station.x_m for station in stations], pointer)
        contours = [_own_contour(s, f"{pointer}/stations/{i}/contour_m") for i, s in enumerate(stations)]
        sides = (side_from_runs(_runs(stations, contours, bounds, one_sided=False), mirrored=False),)
        _refuse_bent(sides, stations, False, pointer)
        return cls._made(document, length, sides, contours, _deck_edge(stations, contours, 1.0))

    @classmethod
    def _made(
        cls, document: HullDocument, length: float, sides: tuple[Side, ...], contours: list[Array], edge: Array
    ) -> Hull:
        heights = np.concatenate([contour[:, 1] for contour in contours])
        limits = (float(heights.min()), float(heights.max()))
        return cls(length, sides, tuple(document.appendages), document.shell_allowance_relative, limits, edge)


def _contours(stations: list[Station], bounds: list[tuple[int, int]], pointer: str, port: bool) -> list[Array]:
    contours = []
    for i, station in enumerate(stations):
        given = station.port_contour_m if port else station.contour_m
        if given is None:
            contours.append(_checked(station.contour_m, 1.0, station, f"{pointer}/stations/{i}/contour_m"))
        else:
            name = "port_contour_m" if port else "contour_m"
            contours.append(_checked(given, -1.0 if port else 1.0, station, f"{pointer}/stations/{i}/{name}"))
    for first, stop in bounds:
        _refuse_mixed_closing(contours, stations, first, stop, pointer)
    return contours


def _deck_edge(stations: list[Station], contours: list[Array], sign: float) -> Array:
    """Deck edge points of one side: the last contour point, of a closed contour the highest and there the outermost.

    A contour that ends on the centreline (a bulb ahead of the stem) has no deck edge; a hull or tank of nothing else
    (a horizontal cylinder) ends at the tops of its contours.
    """
    edge = []
    for station, contour in zip(stations, contours, strict=True):
        points = contour[:-1]
        top = points[-1] if _starts_on_centreline(contour) else points[np.lexsort((points[:, 0], points[:, 1]))[-1]]
        if not (_starts_on_centreline(contour) and top[0] <= CENTRELINE_TOLERANCE_M):
            edge.append((station.x_m, sign * top[0], top[1]))
    if not edge:
        edge = [(s.x_m, 0.0, contour[:, 1].max()) for s, contour in zip(stations, contours, strict=True)]
    return np.array(edge, dtype=float).reshape(-1, 3)


def _own_contour(station: Station, pointer: str) -> Array:
    """A tank's contour at its own y, closed on itself and travelled with the tank to the left."""
    contour = _points(station.contour_m, station, pointer)
    closed = contour if np.allclose(contour[0], contour[-1]) else np.vstack([contour, contour[:1]])
    _refuse_folded(closed, f"station at x = {station.x_m:g} m", pointer)
    return closed if _twice_area(closed) >= 0.0 else closed[::-1]


def _points(points: Sequence[tuple[float, float]], station: Station, pointer: str) -> Array:
    contour = np.asarray(points, dtype=float)
    where = f"station at x = {station.x_m:g} m"
    if contour.ndim != 2 or contour.shape[1] != 2 or len(contour) < 2:
        raise CoreError(
            "contour-short", f"The {where} needs at least two points [y, z]; give keel to deck edge.", pointer
        )
    if not np.isfinite(contour).all():
        raise CoreError("contour-not-finite", f"The {where} has a coordinate that is not a finite number.", pointer)
    return contour


def _checked(points: Sequence[tuple[float, float]], sign: float, station: Station, pointer: str) -> Array:
    """The contour with y counted outward and its closing edge added; refused when it is no closed simple curve."""
    where = f"station at x = {station.x_m:g} m"
    contour = _points(points, station, pointer) * np.array([sign, 1.0])
    if contour[:, 0].min() < -CENTRELINE_TOLERANCE_M:
        side = "starboard (y ≥ 0)" if sign > 0 else "port (y ≤ 0)"
        raise CoreError(
            "contour-crosses-centreline",
            f"The {where} has a point across the centreline; this contour must stay to {side}. Give each side its own.",
            pointer,
        )
    if _starts_on_centreline(contour):
        closed = np.vstack([contour, [0.0, contour[-1, 1]]])
    elif abs(contour[-1, 0]) <= CENTRELINE_TOLERANCE_M:
        raise CoreError(
            "contour-open",
            f"The contour of the {where} ends on the centreline but starts at y = {contour[0, 0]:g} m, so it does not "
            "close; start it at the keel, y = 0.",
            pointer,
        )
    else:
        closed = contour if np.allclose(contour[0], contour[-1]) else np.vstack([contour, contour[:1]])
    _refuse_folded(closed, where, pointer)
    return closed if _twice_area(closed) >= 0.0 else _turned(closed, where, pointer)


def _turned(closed: Array, where: str, pointer: str) -> Array:
    """A closed contour drawn the other way round is read backwards; one from deck to keel is refused, not guessed."""
    if _starts_on_centreline(closed):
        raise CoreError(
            "contour-folded", f"The contour of the {where} runs from deck to keel; give keel first.", pointer
        )
    return closed[::-1]


def _starts_on_centreline(contour: Array) -> bool:
    return bool(abs(contour[0, 0]) <= CENTRELINE_TOLERANCE_M)


def _twice_area(chain: Array) -> float:
    y, z = chain[:, 0], chain[:, 1]
    loop = float(np.sum(y[:-1] * z[1:] - y[1:] * z[:-1]) + y[-1] * z[0] - y[0] * z[-1])
    return loop if abs(loop) > 1e-9 else 0.0


def _refuse_folded(closed: Array, where: str, pointer: str) -> None:
    if np.all(np.diff(closed[:-1, 1]) > 0.0):
        return  # a contour that only rises cannot meet itself
    meeting = _first_self_crossing(closed)
    if meeting is not None:
        raise CoreError(
            "contour-folded",
            f"The contour of the {where} crosses itself between points {meeting[0]} and {meeting[1]}; "
            "give the points in order from the keel to the deck edge.",
            pointer,
        )


def _refuse_bent(sides: Sequence[Side], stations: list[Station], one_sided: bool, pointer: str) -> None:
    places = np.array([station.x_m for station in stations])
    alike = all(station.port_contour_m is None for station in stations)
    for side in sides[:1] if alike else sides:
        refuse_bent_surface(side, places, _first_self_crossing, one_sided, pointer)


def _first_self_crossing(chain: Array) -> tuple[int, int] | None:
    """Points before and after the first place where a chain passes through itself by more than rounding.

    An end that lies on another edge's line within the tolerance touches it; a chain that goes on to the other side
    there has passed through.
    """
    start, along = chain[:-1], np.diff(chain, axis=0)
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), np.finfo(float).tiny)
    along = along / length[:, None]
    tolerance = TOUCHING_SHARE * np.ptp(chain, axis=0).max()
    # of every edge (row) and every point (column): distance to its left, rounded to a side, and place along it
    left = -(along[:, 1:] * (chain[:, 0] - start[:, :1])) + along[:, :1] * (chain[:, 1] - start[:, 1:])
    side = np.where(np.abs(left) > tolerance, np.sign(left), 0.0)
    parted = side[:, :-1] * side[:, 1:] < 0.0
    found = np.argwhere(np.triu(parted & parted.T, 2))
    if len(found):
        return int(found[0][0]), int(found[0][1]) + 1
    place = along[:, :1] * (chain[:, 0] - start[:, :1]) + along[:, 1:] * (chain[:, 1] - start[:, 1:])
    on_edge = (side == 0.0) & (place > tolerance) & (place < length[:, None] - tolerance)
    through = on_edge[:, 1:-1] & (side[:, :-2] * side[:, 2:] < 0.0)
    edge, point = np.nonzero(through)
    return None if len(edge) == 0 else (int(min(edge[0], point[0] + 1)), int(max(edge[0], point[0] + 1)))


def _run_bounds(x_m: list[float], pointer: str) -> list[tuple[int, int]]:
    """First and last station of each run; a position given twice ends one run and begins the next."""
    if len(x_m) < 2:
        raise CoreError("hull-empty", f"A hull needs at least two stations, found {len(x_m)}.", f"{pointer}/stations")
    starts = [0]
    for i in range(1, len(x_m)):
        if x_m[i] < x_m[i - 1]:
            raise CoreError(
                "station-order",
                f"Station {i} at x = {x_m[i]:g} m comes after x = {x_m[i - 1]:g} m; order the stations by rising x.",
                f"{pointer}/stations/{i}/x_m",
            )
        if x_m[i] == x_m[i - 1]:
            starts.append(i)
        elif x_m[i] - x_m[i - 1] < LEAST_APART_M:
            raise CoreError(
                "station-order",
                f"Station {i} at x = {x_m[i]:.9g} m lies {x_m[i] - x_m[i - 1]:.2g} m ahead of the one before, "
                f"less than {LEAST_APART_M:g} m; give both the same x for a step, or leave one out.",
                f"{pointer}/stations/{i}/x_m",
            )
    bounds = list(zip(starts, [*starts[1:], len(x_m)], strict=True))
    lone = next((first for first, stop in bounds if stop - first < 2), None)
    if lone is not None:
        raise CoreError(
            "station-order",
            f"The station at x = {x_m[lone]:g} m stands alone between steps; a position may be given twice, not three "
            "times, and a step needs a hull on at least one side of it: leave out the copy at the hull's end.",
            f"{pointer}/stations/{lone}/x_m",
        )
    return bounds


def _refuse_mixed_closing(contours: list[Array], stations: list[Station], first: int, stop: int, pointer: str) -> None:
    on_centreline = _starts_on_centreline(contours[first])
    for i in range(first, stop):
        kind = _starts_on_centreline(contours[i])
        if kind != on_centreline:
            raise CoreError(
                "contour-mixed",
                f"The station at x = {stations[i].x_m:g} m starts {'on' if kind else 'off'} the centreline, the one at "
                f"x = {stations[first].x_m:g} m {'on' if on_centreline else 'off'} it; close the contours of one "
                "stretch alike, or give the station between twice.",
                f"{pointer}/stations/{i}/contour_m",
            )


def _runs(
    stations: list[Station], contours: list[Array], bounds: list[tuple[int, int]], one_sided: bool = True
) -> list[Run]:
    return [
        Run(np.array([s.x_m for s in stations[first:stop]]), common_points(contours[first:stop]), one_sided)
        for first, stop in bounds
    ]
