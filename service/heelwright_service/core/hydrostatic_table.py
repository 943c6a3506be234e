"""A hydrostatic table as a source of hydrostatics: interpolated inside its grid, refused outside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline, CubicSpline

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import LEAST_APART_M, TableDocument, TableRow

Array = NDArray[np.float64]

LARGEST_TRIM_WITHOUT_AXIS = 0.01
"""Share of the length up to which a table without a trim axis may serve (1 % of LBP: class practice, BVAPP 1.1)."""

SECOND_MOMENT_SHARE = 0.064
"""I_L of a waterplane over area times length squared, where a table gives no KM_L: midway between a fine waterplane
(0.045) and a rectangle (1/12); derived here for lens-shaped and rectangular waterplanes."""

SECOND_MOMENT_SHARE_HALF_WIDTH = 0.0193
"""How far the share may lie to either side (rectangular distribution)."""

HOG_SHARE_OF_MEAN_DRAUGHT = 0.75
"""Share of a hog amidships by which the mean draught changes: the (F + 6M + A)/8 rule of draught surveys."""

_QUANTITIES = ("volume_m3", "lcb_m", "vcb_m", "km_t_m", "lcf_m", "km_l_m")
_VOLUME, _LCB, _VCB, _KM_T, _LCF, _KM_L = range(6)


@dataclass(frozen=True)
class TableHydrostatics:
    """What a table tells of a floating position; arrays of shape (p,).

    `lcf_m` and `km_l_m` are not a number where the table does not give them.
    """

    volume_m3: Array
    lcb_m: Array
    vcb_m: Array
    km_t_m: Array
    lcf_m: Array
    km_l_m: Array


class HydrostaticTable:
    """A full grid of draughts and trims with a smooth, monotone-safe interpolation in both directions.

    Parameters
    ----------
    document : TableDocument
        The rows of the table, in any order; every draught with every trim.
    length_bp_m : float
        Length between perpendiculars [m].
    pointer : str
        Where the table stands in the request, for errors.

    Raises
    ------
    CoreError
        ``table-not-rectangular``, ``table-short`` or ``table-not-rising``, naming the row.

    Examples
    --------
    >>> rows = [TableRow(t, 600.0 * t, 25.0, t / 2, t / 2 + 12.0 / t, lcf_m=25.0, km_l_m=t / 2 + 208.0 / t)
    ...         for t in (1.0, 2.0, 3.0)]
    >>> table = HydrostaticTable(TableDocument(rows), 50.0)
    >>> float(table.at(Planes.of(50.0, 2.0)).volume_m3[0])
    1200.0
    """

    def __init__(self, document: TableDocument, length_bp_m: float, pointer: str = "/vessel/hydrostatic_table") -> None:
        self.length_bp_m = length_bp_m
        self._pointer = pointer
        rows = list(document.rows)
        self.draughts_m = np.unique([row.draught_m for row in rows])
        self.trims_m = np.unique([row.trim_m for row in rows])
        self._refuse_too_near(self.draughts_m, "Draughts")
        self._refuse_too_near(self.trims_m, "Trims")
        smooth = _moments(self._filled(rows))
        self._columns = [
            [_column(self.draughts_m, smooth[q, :, t]) for t in range(len(self.trims_m))]
            for q in range(len(_QUANTITIES))
        ]

    @property
    def has_trim_axis(self) -> bool:
        """Whether the table holds more than one trim."""
        return len(self.trims_m) > 1

    def at(self, planes: Planes, trim_limit_relative: float = LARGEST_TRIM_WITHOUT_AXIS) -> TableHydrostatics:
        """Interpolate the table at floating positions; heel is not considered.

        Parameters
        ----------
        planes : Planes
            Water surfaces, shape (p,); a hog lowers the mean draught by three quarters of itself.
        trim_limit_relative : float
            Largest difference from the table's trim, as a share of the length, where the table has no trim axis.

        Returns
        -------
        TableHydrostatics
            Arrays of shape (p,).

        Raises
        ------
        CoreError
            ``draught-outside-table`` or ``trim-outside-table``, naming the range.

        Notes
        -----
        What is interpolated are volume, its first moments and the second moments of the waterplane, (KM − z_B)·V,
        which change slowly where KM itself turns: first along draught, then trim, by cubics with the slopes of the
        interpolating spline held to what keeps a monotone table monotone (Fritsch & Carlson 1980). Without a trim axis
        the volume is taken at the draught at the centre of flotation and the centre of buoyancy is moved by BM_L·sx;
        where the table gives no KM_L, BM_L is estimated from the waterplane's area (see `trim_shift_standard_m`).
        """
        draught = planes.draught_mid_m - HOG_SHARE_OF_MEAN_DRAUGHT * planes.hog_m
        if self.has_trim_axis:
            self._refuse_outside(draught, self.draughts_m, "draught")
            self._refuse_outside(planes.trim_m, self.trims_m, "trim")
            found = np.stack([self._both_ways(q, draught, planes.trim_m) for q in range(len(_QUANTITIES))])
            return TableHydrostatics(*_quantities(found))
        return self._single_trim(draught, planes, trim_limit_relative)

    def _single_trim(self, draught: Array, planes: Planes, limit: float) -> TableHydrostatics:
        off_trim = np.max(np.abs(planes.trim_m - self.trims_m[0])) / self.length_bp_m
        if off_trim > limit * (1.0 + 1e-9):
            raise CoreError(
                "trim-outside-table",
                f"The trim differs from the table's by {off_trim * 100:.2f} % of the length; a table without a "
                f"trim axis may be used up to {100.0 * LARGEST_TRIM_WITHOUT_AXIS:.0f} %. Give a table with trims, or "
                "the hull.",
                self._pointer,
            )
        self._refuse_outside(draught, self.draughts_m, "draught")
        slope = planes.slope_x + self.trims_m[0] / self.length_bp_m
        lcf = self._columns[4][0](draught)
        at_lcf = draught + np.where(np.isfinite(lcf), slope * (lcf - 0.5 * self.length_bp_m), 0.0)
        self._refuse_outside(at_lcf, self.draughts_m, "draught")
        found = np.stack([np.asarray(column[0](at_lcf)) for column in self._columns])
        volume, lcb, vcb, km_t, lcf, km_l = _quantities(found)
        bm_l = np.where(np.isfinite(km_l), km_l - vcb, SECOND_MOMENT_SHARE * self._bm_l_over_share_m(at_lcf, volume))
        shift = bm_l * slope
        return TableHydrostatics(volume, lcb + shift, vcb, km_t, lcf, km_l)

    @property
    def lacks_trim_shift(self) -> bool:
        """Whether the shift of buoyancy by trim has to be estimated: no trim axis, and a row without KM_L."""
        km_l = self._columns[_QUANTITIES.index("km_l_m")][0](self.draughts_m)
        return not self.has_trim_axis and not bool(np.isfinite(km_l).all())

    def trim_shift_standard_m(self, planes: Planes) -> float:
        """Standard uncertainty of the centre of buoyancy where its shift by trim had to be estimated.

        Parameters
        ----------
        planes : Planes
            A floating position, shape (1,).

        Returns
        -------
        float
            Standard uncertainty of LCB [m]; 0 where the table tells the shift.

        Notes
        -----
        BM_L = k·A·L²/V with A = dV/dT and k from 0.045 to 1/12, rectangular; the shift is BM_L·sx.
        """
        if not self.lacks_trim_shift:
            return 0.0
        draught = planes.draught_mid_m - HOG_SHARE_OF_MEAN_DRAUGHT * planes.hog_m
        slope = planes.slope_x + self.trims_m[0] / self.length_bp_m
        volume = np.asarray(self._columns[0][0](draught))
        over_share = self._bm_l_over_share_m(draught, volume)
        return float(abs(slope[0]) * over_share[0] * SECOND_MOMENT_SHARE_HALF_WIDTH / np.sqrt(3.0))

    def _bm_l_over_share_m(self, draught: Array, volume: Array) -> Array:
        """A·L²/V from the slope of the volume against the draught."""
        step = 1e-4 * (self.draughts_m[-1] - self.draughts_m[0])
        low = np.clip(draught - step, self.draughts_m[0], self.draughts_m[-1] - 2.0 * step)
        area = (self._columns[0][0](low + 2.0 * step) - self._columns[0][0](low)) / (2.0 * step)
        return np.asarray(area * self.length_bp_m**2 / volume)

    def _both_ways(self, quantity: int, draught: Array, trim: Array) -> Array:
        along_draught = np.stack([np.asarray(column(draught)) for column in self._columns[quantity]])
        if not np.isfinite(along_draught).all():
            return np.full(len(draught), np.nan)
        return _along(self.trims_m, along_draught, trim)

    def _refuse_too_near(self, values_m: Array, name: str) -> None:
        near = np.flatnonzero(np.diff(values_m) < LEAST_APART_M)
        if len(near):
            low, high = values_m[near[0] : near[0] + 2]
            raise CoreError(
                "table-not-rising",
                f"{name} of {low:.9g} m and {high:.9g} m lie less than {LEAST_APART_M:g} m apart; write one alike.",
                f"{self._pointer}/rows",
            )

    def _filled(self, rows: list[TableRow]) -> Array:
        grid = np.full((len(_QUANTITIES), len(self.draughts_m), len(self.trims_m)), np.nan)
        seen = np.zeros(grid.shape[1:], dtype=bool)
        for i, row in enumerate(rows):
            d, t = np.searchsorted(self.draughts_m, row.draught_m), np.searchsorted(self.trims_m, row.trim_m)
            if seen[d, t]:
                raise CoreError(
                    "table-not-rectangular",
                    f"Draught {row.draught_m:g} m at trim {row.trim_m:g} m is given twice; give each pair once.",
                    f"{self._pointer}/rows/{i}",
                )
            seen[d, t] = True
            grid[:, d, t] = [np.nan if (v := getattr(row, q)) is None else v for q in _QUANTITIES]
        if len(self.draughts_m) < 2:
            raise CoreError("table-short", "A hydrostatic table needs at least two draughts.", f"{self._pointer}/rows")
        if not seen.all():
            d, t = np.argwhere(~seen)[0]
            raise CoreError(
                "table-not-rectangular",
                f"The table lacks draught {self.draughts_m[d]:g} m at trim {self.trims_m[t]:g} m; give every draught "
                "with every trim.",
                f"{self._pointer}/rows",
            )
        falls = np.argwhere(np.diff(grid[0], axis=0) <= 0.0)
        if len(falls):
            raise CoreError(
                "table-not-rising",
                f"The volume does not rise with draught above {self.draughts_m[falls[0][0]]:g} m; check the rows.",
                f"{self._pointer}/rows",
            )
        return self._without_dry_rows(grid)

    def _without_dry_rows(self, grid: Array) -> Array:
        """Leave out draughts without volume: a ship does not float there, and no second moment can be told."""
        wet = (grid[0] > 0.0).all(axis=1)
        if wet.sum() < 2:
            message = "A hydrostatic table needs at least two draughts with a volume above zero."
            raise CoreError("table-short", message, f"{self._pointer}/rows")
        self.draughts_m = self.draughts_m[wet]
        return np.asarray(grid[:, wet])

    def _refuse_outside(self, values: Array, axis: Array, name: str) -> None:
        slack = 1e-9 * max(1.0, float(np.abs(axis).max()))
        outside = (values < axis[0] - slack) | (values > axis[-1] + slack)
        if outside.any():
            raise CoreError(
                f"{name}-outside-table",
                f"A {name} of {float(values[outside][0]):.3f} m lies outside the table's {axis[0]:g} to {axis[-1]:g} m;"
                " nothing is extrapolated: extend the table or check the readings.",
                f"{self._pointer}/rows",
            )


def _moments(quantities: Array) -> Array:
    """Volume, its first moments and the second moments of the waterplane from a table's quantities, shape (6, ...)."""
    volume, vcb = quantities[_VOLUME], quantities[_VCB]
    moments = quantities.copy()
    moments[[_LCB, _VCB]] *= volume
    moments[[_KM_T, _KM_L]] = (quantities[[_KM_T, _KM_L]] - vcb) * volume
    return moments


def _quantities(moments: Array) -> Array:
    """The inverse of `_moments`."""
    volume = moments[_VOLUME]
    quantities = moments.copy()
    quantities[[_LCB, _VCB, _KM_T, _KM_L]] /= volume
    quantities[[_KM_T, _KM_L]] += quantities[_VCB]
    return quantities


def _column(axis: Array, values: Array) -> Callable[[Array], Array]:
    """One quantity along draught; one that the table does not give in every row is unknown everywhere."""
    if np.isfinite(values).all():
        return CubicHermiteSpline(axis, values, _slopes(axis, values))
    return lambda at: np.full(np.shape(at), np.nan)


def _slopes(axis: Array, values: Array) -> Array:
    """Slopes of the spline through the values, held between the chords and to three times the lesser of them."""
    chords = np.diff(values, axis=0) / np.diff(axis).reshape(-1, *[1] * (values.ndim - 1))
    if len(axis) == 2:
        return np.repeat(chords, 2, axis=0)
    slopes = np.asarray(CubicSpline(axis, values, axis=0)(axis, 1))
    before, after = np.concatenate([chords[:1], chords]), np.concatenate([chords, chords[-1:]])
    slopes[1:-1] = np.clip(slopes[1:-1], np.minimum(before, after)[1:-1], np.maximum(before, after)[1:-1])
    most = 3.0 * np.minimum(np.abs(before), np.abs(after))
    direction = np.sign(before)
    held = direction * np.clip(direction * slopes, 0.0, most)
    return np.asarray(np.where(before * after > 0.0, held, slopes))


def _along(axis: Array, values: Array, at: Array) -> Array:
    """Cubic along the first axis of `values` (m, p), each column at its own position."""
    slopes = _slopes(axis, values)
    place = np.clip(np.searchsorted(axis, at, side="right") - 1, 0, len(axis) - 2)
    step = np.diff(axis)[place]
    share = (at - axis[place]) / step
    column = np.arange(len(at))
    low, high = values[place, column], values[place + 1, column]
    slope_low, slope_high = slopes[place, column] * step, slopes[place + 1, column] * step
    rise = high - low
    cubic = slope_low + slope_high - 2.0 * rise
    square = 3.0 * rise - 2.0 * slope_low - slope_high
    return np.asarray(((cubic * share + square) * share + slope_low) * share + low)
