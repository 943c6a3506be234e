"""The water surface that the draught and freeboard readings describe, by weighted least squares.

Every reading gives one point of the surface in ship axes. The fit z = T0 + sx·x + sy·y − δ·b(x) is linear in its
unknowns, so for given places and weights it is one matrix, applied to any number of sets of readings at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import DraughtReading, FreeboardReading, Mark

Array = NDArray[np.float64]

SAME_PLACE_SHARE = 0.02
"""Readings closer along the ship than this share of the length count as one longitudinal position (office default)."""


@dataclass(frozen=True)
class WaterPoints:
    """Points of the water surface as read.

    Parameters
    ----------
    names : list of str
        What each point is called in the record.
    pointers : list of str
        JSON Pointer of each reading.
    x_m, y_m, z_m : ndarray
        Ship coordinates of the points [m], shape (m,).
    is_freeboard : ndarray of bool
        Whether the point comes from a freeboard, shape (m,).
    """

    names: list[str]
    pointers: list[str]
    x_m: Array
    y_m: Array
    z_m: Array
    is_freeboard: NDArray[np.bool_]


@dataclass(frozen=True)
class WaterlineFit:
    """The design of a fit: which unknowns the places of the readings can determine, and how.

    Parameters
    ----------
    matrix : ndarray
        Turns the heights of the points [m] into T0 [m], sx, sy and δ [m], shape (4, m); rows of unknowns that cannot be
        determined are zero.
    design : ndarray
        The points' coefficients, shape (m, 4).
    determined : tuple of bool
        Whether T0, sx, sy and δ are determined.
    longitudinal_positions : int
        How many distinct positions along the ship were read.
    length_bp_m : float
        Length between perpendiculars [m].
    y_m : ndarray
        Where the points stand across the ship [m], shape (m,).
    """

    matrix: Array
    design: Array
    determined: tuple[bool, bool, bool, bool]
    longitudinal_positions: int
    length_bp_m: float
    y_m: Array

    @property
    def degrees_of_freedom(self) -> int:
        """Readings beyond those that the unknowns use up."""
        return int(self.design.shape[0]) - sum(self.determined)

    def planes(self, heights_m: Array, list_tangent: Array | None = None) -> Planes:
        """Fit the surface to sets of point heights.

        Parameters
        ----------
        heights_m : ndarray
            Heights of the points above the baseline [m], shape (p, m).
        list_tangent : ndarray, optional
            Tangent of the list as known from elsewhere, shape (p,); it counts only where the points cannot tell it,
            which are then read on a surface that slopes so. Upright when absent.

        Returns
        -------
        Planes
            The fitted surfaces, shape (p,).
        """
        if list_tangent is not None and not self.determined[2]:
            t0, slope_x, _, hog = self.matrix @ (heights_m - list_tangent[:, None] * self.y_m).T
            return Planes(t0, slope_x, list_tangent, hog, self.length_bp_m)
        t0, slope_x, slope_y, hog = self.matrix @ heights_m.T
        return Planes(t0, slope_x, slope_y, hog, self.length_bp_m)

    def residuals_m(self, heights_m: Array) -> Array:
        """Heights read less heights fitted.

        Parameters
        ----------
        heights_m : ndarray
            Heights of the points [m], shape (p, m).

        Returns
        -------
        ndarray
            Residuals [m], shape (p, m).
        """
        return np.asarray(heights_m - (self.matrix @ heights_m.T).T @ self.design.T)

    def residual_standard_deviations_m(self, standard_m: Array) -> Array:
        """Standard deviation that each residual has when the readings have the stated uncertainties.

        Parameters
        ----------
        standard_m : ndarray
            Standard uncertainties of the points [m], shape (m,).

        Returns
        -------
        ndarray
            Standard deviations [m], shape (m,); zero where the fit passes through the point whatever it says.
        """
        passing = np.eye(len(standard_m)) - self.design @ self.matrix
        spread = np.sqrt(np.sum((passing * standard_m) ** 2, axis=1))
        return np.asarray(np.where(spread < 1e-9 * np.max(standard_m, initial=1e-12), 0.0, spread))


def water_points(
    marks: Sequence[Mark], draughts: Sequence[DraughtReading], freeboards: Sequence[FreeboardReading]
) -> WaterPoints:
    """Turn draughts and freeboards into points of the water surface.

    Parameters
    ----------
    marks : sequence of Mark
        The vessel's draught marks.
    draughts : sequence of DraughtReading
        Readings at named marks [m].
    freeboards : sequence of FreeboardReading
        Heights of known points above the water [m].

    Returns
    -------
    WaterPoints
        All points in the order given, draughts first.

    Raises
    ------
    CoreError
        ``mark-unknown``, ``mark-read-twice``, ``mark-verification`` or ``draughts-missing``.
    """
    known = {mark.name: mark for mark in marks}
    _refuse_unverified_with_date(marks)
    rows: list[tuple[str, str, float, float, float, bool]] = []
    for i, reading in enumerate(draughts):
        mark = known.get(reading.mark)
        if mark is None:
            raise CoreError(
                "mark-unknown",
                f"The draught was read at '{reading.mark}', but the vessel's marks are {_listed(known)}.",
                f"/draughts/{i}/mark",
            )
        if any(reading.mark == earlier.mark for earlier in draughts[:i]):
            raise CoreError(
                "mark-read-twice",
                f"The mark '{reading.mark}' is read twice; give one value for each mark.",
                f"/draughts/{i}/mark",
            )
        height = mark.zero_z_m + reading.reading_m
        rows.append((mark.name, f"/draughts/{i}/reading_m", mark.x_m, mark.y_m, height, False))
    for i, board in enumerate(freeboards):
        name = f"freeboard at x {board.x_m:g} m, y {board.y_m:g} m"
        height = board.point_z_m - board.reading_m
        rows.append((name, f"/freeboards/{i}/reading_m", board.x_m, board.y_m, height, True))
    if not rows:
        raise CoreError(
            "draughts-missing", "Neither draughts nor freeboards are given; one of them is needed.", "/draughts"
        )
    names, pointers, x, y, z, board_flags = zip(*rows, strict=True)
    x_m, y_m, z_m = (np.array(column, float) for column in (x, y, z))
    return WaterPoints(list(names), list(pointers), x_m, y_m, z_m, np.array(board_flags, bool))


def refuse_water_off_hull(points: WaterPoints, limits_m: tuple[float, float]) -> None:
    """Refuse a draught above all decks or below the keel: a slip of the reading, its unit or its mark.

    Parameters
    ----------
    points : WaterPoints
        The water surface as read.
    limits_m : tuple of float
        Lowest and highest point of the hull form [m].

    Raises
    ------
    CoreError
        ``water-off-hull``, naming the reading furthest off.
    """
    low, high = limits_m
    outside = np.maximum(low - points.z_m, points.z_m - high)
    worst = int(np.argmax(outside))
    if outside[worst] <= 0.0:
        return
    what = "freeboard" if points.is_freeboard[worst] else "draught"
    name = points.names[worst].removeprefix("freeboard at ")
    raise CoreError(
        "water-off-hull",
        f"The {what} read at {name} puts the water {float(points.z_m[worst]):.3f} m above the baseline, but the hull "
        f"reaches from {low:g} m to {high:g} m; check this reading, its unit (m) and the height of its mark or point.",
        points.pointers[worst],
    )


def waterline_fit(points: WaterPoints, standard_m: Array, length_bp_m: float, with_hog: bool = True) -> WaterlineFit:
    """Prepare the weighted least-squares fit for the places that were read.

    Parameters
    ----------
    points : WaterPoints
        Where the surface was read.
    standard_m : ndarray
        Standard uncertainty of each height [m], shape (m,); all zero weighs them alike.
    length_bp_m : float
        Length between perpendiculars [m].
    with_hog : bool
        Whether the hog may be among the unknowns.

    Returns
    -------
    WaterlineFit
        The fit; hog is among the unknowns from three longitudinal positions on, list where both sides were read.

    Raises
    ------
    CoreError
        ``draughts-too-few`` when fewer than two longitudinal positions were read, so that the trim is unknown.
    """
    positions = _distinct(points.x_m, SAME_PLACE_SHARE * length_bp_m)
    if positions < 2:
        raise CoreError(
            "draughts-too-few",
            "All readings stand at one place along the ship, so the trim is unknown; read at least two places, better "
            "all six marks or five freeboards a side.",
            points.pointers[0].rsplit("/", 2)[0],
        )
    bend = Planes.of(length_bp_m, 0.0).bend(points.x_m)
    design = np.column_stack([np.ones_like(points.x_m), points.x_m, points.y_m, -bend])
    sides = float(np.ptp(points.y_m)) > 1e-6
    determined = (True, True, sides, with_hog and positions >= 3)
    used = [i for i, yes in enumerate(determined) if yes]
    used = _independent(design, used)
    weights = 1.0 / np.where(standard_m > 0.0, standard_m, np.min(standard_m[standard_m > 0.0], initial=1.0))
    matrix = np.zeros((4, len(points.x_m)))
    matrix[used] = np.linalg.pinv(design[:, used] * weights[:, None]) * weights
    flags: Any = tuple(i in used for i in range(4))
    return WaterlineFit(matrix, design * np.array(flags, float), flags, positions, length_bp_m, points.y_m)


def _independent(design: Array, used: list[int]) -> list[int]:
    """Drop first the hog, then the list, while the readings cannot tell the unknowns apart."""
    scaled = design / np.maximum(np.abs(design).max(axis=0), 1e-12)
    for unknown in (3, 2):
        if np.linalg.matrix_rank(scaled[:, used], tol=1e-6) == len(used):
            break
        used = [i for i in used if i != unknown]
    return used


def _distinct(values: Array, gap: float) -> int:
    ordered = np.sort(values)
    count, last = 1, ordered[0]
    for value in ordered[1:]:
        if value - last > gap:
            count, last = count + 1, value
    return count


def _refuse_unverified_with_date(marks: Sequence[Mark]) -> None:
    for i, mark in enumerate(marks):
        if mark.verified == "not-verified" and mark.verified_on is not None:
            raise CoreError(
                "mark-verification",
                f"The mark '{mark.name}' is said never to have been verified and yet has a date of it; leave one out.",
                f"/vessel/marks/{i}/verified_on",
            )


def _listed(known: dict[str, Mark]) -> str:
    return ", ".join(f"'{name}'" for name in known) or "none"
