"""The smooth surface through a hull's stations: corresponding contour points joined along x by cubics.

Between two stations every contour point follows a cubic in x whose slopes come from the interpolating spline through
the whole run of stations (fourth order for a smooth hull) and are then held between the two chords that meet at the
station, so that a flat side or a parallel middle body stays flat. A station given twice ends one run and begins the
next. Contours of unequal point counts are first given common points by their share of the contour's length.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from heelwright_service.core.sections import FixedSections

Array = NDArray[np.float64]

FINEST_PIECES = 100
"""The length is cut into at least so many pieces for the integration, whatever the number of stations."""

MOST_POINTS_A_POINT = 6
"""Stretches of contours with unequal counts get at most so many times the points of the longest contour."""

CORNER_RAD = np.radians(30.0)
"""A contour that turns by more at a point has a corner there (office default)."""

OWN_POINT_SHARE = 0.05
"""A station without corners is divided at a point of its own within this share of its contour's length."""

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(2)
_CUT_X, _CUT_W = np.polynomial.legendre.leggauss(3)

UNEQUAL_SPACING = 2.5
"""Intervals whose lengths differ by more cannot share the spline's slope: it swings out of the longer one."""

LEAST_STEEP = 3.0
"""A cubic keeps between its ends while its slopes stay below so many times the chord's (Fritsch and Carlson 1980)."""

LARGEST_SWING = 4.0 / 27.0
"""A cubic level at its ends' values swings out of them by this times its length and the slope at one of its ends."""

SMALL_SWING = 0.02
"""Swings below this share of the whole reach of a path are left to the spline (office default)."""

FLAT_EDGE = 0.3
"""An edge of a section that rises by less than this share of its breadth may leave the water almost at once."""


@dataclass(frozen=True)
class Run:
    """Stations between two steps, with one contour point path per column.

    Parameters
    ----------
    x_m : ndarray
        Station positions [m], strictly increasing, shape (m,).
    points_m : ndarray
        Contour points (y, z) [m], shape (m, n, 2).
    one_sided : bool
        Whether the contours stay on one side of the centreline; a tank's at its own y need not.
    """

    x_m: Array
    points_m: Array
    one_sided: bool = True


@dataclass(frozen=True)
class Side:
    """One side of a hull, ready for integration along x.

    Parameters
    ----------
    piece_low_m, piece_high_m : ndarray
        Ends of the integration pieces [m], shape (q,).
    coefficients : ndarray
        Cubic coefficients of y and z from the piece's lower end, shape (4, q, n, 2), highest power first.
    mirrored : bool
        True when the coordinates stand for the port side with y counted to port.
    """

    piece_low_m: Array
    piece_high_m: Array
    coefficients: Array
    mirrored: bool

    @cached_property
    def gauss(self) -> tuple[Array, Array, FixedSections]:
        """The sections at the integration points of every piece.

        Returns
        -------
        tuple
            Positions and weights [m], each of shape (2q,), and the sections there.
        """
        x, weights = gauss_positions(self.piece_low_m, self.piece_high_m, fine=False)
        y, z = self.sections_at(np.arange(len(x)), x)
        points = y.shape[-1]
        return x.ravel(), weights.ravel(), FixedSections.of(y.reshape(-1, points), z.reshape(-1, points))

    @cached_property
    def level_points(self) -> NDArray[np.bool_]:
        """Points of each piece whose passage through the surface matters: those of flat edges, keel and deck edge.

        Returns
        -------
        ndarray of bool
            Shape (q, n).
        """
        middle = 0.5 * (self.piece_low_m + self.piece_high_m)
        y, z = self.sections_at(np.arange(len(middle)), middle[:, None])
        flat = np.abs(np.diff(z[:, 0], axis=1)) <= FLAT_EDGE * np.abs(np.diff(y[:, 0], axis=1))
        marked = np.zeros(y[:, 0].shape, dtype=bool)
        marked[:, :-1] |= flat
        marked[:, 1:] |= flat
        marked[:, 0] = True
        return marked

    @cached_property
    def ends(self) -> tuple[Array, Array, Array]:
        """The sections at both ends of every piece.

        Returns
        -------
        tuple of ndarray
            Positions [m], shape (q, 2), and y and z of the points [m], shape (q, 2, n).
        """
        x = np.stack([self.piece_low_m, self.piece_high_m], axis=1)
        y, z = self.sections_at(np.arange(len(x)), x)
        return x, y, z

    def sections_at(self, piece: NDArray[np.intp], x_m: Array) -> tuple[Array, Array]:
        """Give the section's points at positions inside pieces.

        Parameters
        ----------
        piece : ndarray of int
            Index of the piece of each position, shape (k,).
        x_m : ndarray
            Positions [m], shape (k, g).

        Returns
        -------
        tuple of ndarray
            y and z of the section's points [m], each of shape (k, g, n).
        """
        local = (x_m - self.piece_low_m[piece][:, None])[..., None, None]
        a, b, c, d = (self.coefficients[i][piece][:, None] for i in range(4))
        points = ((a * local + b) * local + c) * local + d
        return points[..., 0], points[..., 1]


def side_from_runs(runs: list[Run], mirrored: bool) -> Side:
    """Loft runs of stations into one side.

    Parameters
    ----------
    runs : list of Run
        Runs in order of x; each has at least two stations.
    mirrored : bool
        Whether the side is the port one, with y counted to port.

    Returns
    -------
    Side
        The lofted side, its pieces short enough for the integration.
    """
    widest = max(run.points_m.shape[1] for run in runs)
    longest_piece_m = (runs[-1].x_m[-1] - runs[0].x_m[0]) / FINEST_PIECES
    lows, highs, coefficients = [], [], []
    for run in runs:
        cubics = _run_coefficients(run.x_m, _padded(run.points_m, widest), run.one_sided)
        low, high, cut = _subdivided(run.x_m, cubics, longest_piece_m)
        lows.append(low)
        highs.append(high)
        coefficients.append(cut)
    return Side(np.concatenate(lows), np.concatenate(highs), np.concatenate(coefficients, axis=1), mirrored)


def common_points(contours: list[Array]) -> Array:
    """Give contours of one run the same number of points, joining like with like.

    Parameters
    ----------
    contours : list of ndarray
        Contours (y, z) [m], each of shape (n_i, 2).

    Returns
    -------
    ndarray
        Shape (m, n, 2). Equal counts are taken as they are, the i-th points of neighbouring stations corresponding,
        as long as their corners agree with that.

    Notes
    -----
    Otherwise corners (chines, knuckles, deck edges) are joined with corners in their order, and between them points
    correspond by their share of the contour's length. A station without its like of corners is divided where its
    neighbours lead.
    """
    corners = [_corners(contour) for contour in contours]
    if len({len(contour) for contour in contours}) == 1 and _agree(corners):
        return np.stack(contours)
    shares = [_length_share(contour) for contour in contours]
    breaks = _common_breaks(contours, shares, corners)
    most = max(len(contour) for contour in contours)
    parts = [
        _common_part(contours, shares, corners, breaks[:, j], breaks[:, j + 1], MOST_POINTS_A_POINT * most)
        for j in range(breaks.shape[1] - 1)
    ]
    return np.concatenate([parts[0], *(part[:, 1:] for part in parts[1:])], axis=1)


def gauss_positions(low_m: Array, high_m: Array, fine: bool) -> tuple[Array, Array]:
    """Place Gauss-Legendre points in intervals.

    Parameters
    ----------
    low_m, high_m : ndarray
        Interval ends [m], shape (k,).
    fine : bool
        Three points an interval instead of two.

    Returns
    -------
    tuple of ndarray
        Positions [m] and weights [m], each of shape (k, g).
    """
    nodes, weights = (_CUT_X, _CUT_W) if fine else (_GAUSS_X, _GAUSS_W)
    half = 0.5 * (high_m - low_m)[:, None]
    return 0.5 * (low_m + high_m)[:, None] + half * nodes, half * weights


def _length_share(contour: Array) -> Array:
    steps = np.hypot(*np.diff(contour, axis=0).T)
    travelled = np.concatenate([[0.0], np.cumsum(steps)])
    if travelled[-1] <= 0.0:
        return np.linspace(0.0, 1.0, len(contour))
    return np.asarray(travelled / travelled[-1])


def _corners(contour: Array) -> NDArray[np.intp]:
    """Points at which a contour turns by more than the angle of a corner."""
    steps = np.diff(contour, axis=0)
    kept = np.flatnonzero(np.hypot(*steps.T) > 1e-9 * (1.0 + np.abs(contour).max()))
    directions = np.arctan2(steps[kept, 1], steps[kept, 0])
    turns = np.abs((np.diff(directions) + np.pi) % (2.0 * np.pi) - np.pi)
    return np.asarray(kept[1:][turns > CORNER_RAD])


def _agree(corners: list[NDArray[np.intp]]) -> bool:
    """Whether contours of equal counts have their corners at the same points, those without them left aside."""
    usual = _usual_count(corners)
    return len({tuple(corner) for corner in corners if len(corner) == usual}) == 1


def _usual_count(corners: list[NDArray[np.intp]]) -> int:
    counts = [len(corner) for corner in corners]
    return max(set(counts), key=lambda count: (counts.count(count), count))


def _common_breaks(contours: list[Array], shares: list[Array], corners: list[NDArray[np.intp]]) -> Array:
    """Shares of the length at which every contour is divided, shape (m, k + 2), the ends included."""
    counts = [len(corner) for corner in corners]
    usual = _usual_count(corners)
    members = [i for i, count in enumerate(counts) if count == usual]
    known = np.array([contours[i][corners[i]] for i in members]).reshape(len(members), usual, 2)
    breaks = np.zeros((len(counts), usual + 2))
    breaks[:, -1] = 1.0
    for i, share in enumerate(shares):
        if counts[i] == usual:
            breaks[i, 1:-1] = share[corners[i]]
        elif usual:
            breaks[i, 1:-1] = _shares_nearest(contours[i], share, _in_line(members, known, i))
    return breaks


def _in_line(members: list[int], known: Array, i: int) -> Array:
    """Where the corners of the neighbouring stations lead to at another station [m], shape (k, 2)."""
    if len(members) == 1:
        return np.asarray(known[0])
    low = max(0, min(int(np.searchsorted(members, i)) - 1, len(members) - 2))
    along = (i - members[low]) / (members[low + 1] - members[low])
    return np.asarray(known[low] + along * (known[low + 1] - known[low]))


def _shares_nearest(contour: Array, share: Array, points: Array) -> Array:
    """Shares of the places on a contour nearest to points, in order; at a point of the contour where one is near."""
    start, step = contour[:-1], np.diff(contour, axis=0)
    square = np.maximum(np.sum(step**2, axis=1), np.finfo(float).tiny)
    along = np.clip(np.sum((points[:, None] - start) * step, axis=2) / square, 0.0, 1.0)
    distance = np.hypot(*np.moveaxis(start + along[..., None] * step - points[:, None], 2, 0))
    edge = distance.argmin(axis=1)
    found = share[edge] + along[np.arange(len(points)), edge] * np.diff(share)[edge]
    own = share[np.abs(share[:, None] - found).argmin(axis=0)]
    return np.maximum.accumulate(np.where(np.abs(own - found) < OWN_POINT_SHARE, own, found))


def _common_part(
    contours: list[Array], shares: list[Array], corners: list[NDArray[np.intp]], low: Array, high: Array, most: int
) -> Array:
    """Points of all contours between two breaks, shape (m, n, 2)."""
    span = np.maximum(high - low, 1e-12)
    local = [(share - low[i]) / span[i] for i, share in enumerate(shares)]
    grid = _within(np.concatenate(local))
    if len(grid) > most:
        needed = np.concatenate([part[corner] for part, corner in zip(local, corners, strict=True)])
        grid = _within(np.concatenate([np.linspace(0.0, 1.0, most + 1), needed]))
    return np.stack(
        [
            np.column_stack([np.interp(low[i] + grid * span[i], shares[i], contour[:, axis]) for axis in (0, 1)])
            for i, contour in enumerate(contours)
        ]
    )


def _within(values: Array) -> Array:
    """Distinct values between 0 and 1, those ends among them."""
    inside = values[(values > 1e-6) & (values < 1.0 - 1e-6)]
    return np.unique(np.concatenate([[0.0, 1.0], np.round(inside, 6)]))


def _padded(points: Array, count: int) -> Array:
    missing = count - points.shape[1]
    return np.concatenate([points, np.repeat(points[:, -1:], missing, axis=1)], axis=1) if missing else points


def _run_coefficients(x: Array, points: Array, one_sided: bool) -> Array:
    slopes = station_slopes(x, points)
    if one_sided:
        slopes[..., 0] = _held_off_centreline(np.diff(x)[:, None], np.maximum(points[..., 0], 0.0), slopes[..., 0])
    h = np.diff(x)[:, None, None]
    rise = np.diff(points, axis=0)
    cubic = (slopes[:-1] + slopes[1:] - 2.0 * rise / h) / h**2
    square = (3.0 * rise / h - 2.0 * slopes[:-1] - slopes[1:]) / h
    return np.stack([cubic, square, slopes[:-1], points[:-1]])


def _held_off_centreline(h: Array, y: Array, slopes: Array) -> Array:
    """Slopes with which no path crosses the centreline between two stations (Schmidt and Hess 1988).

    A cubic with values y₀, y₁ ≥ 0 at the ends of an interval h stays at or above zero where its slopes there are at
    least −3·y₀/h and at most 3·y₁/h.
    """
    held = slopes.copy()
    held[:-1] = np.maximum(held[:-1], -3.0 * y[:-1] / h)
    held[1:] = np.minimum(held[1:], 3.0 * y[1:] / h)
    return held


def station_slopes(x_m: Array, values: Array) -> Array:
    """Slopes along x at the stations: those of the spline, held between the chords that meet there.

    Parameters
    ----------
    x_m : ndarray
        Station positions [m], strictly increasing, shape (m,), m at least 2.
    values : ndarray
        Values at the stations, shape (m, ...).

    Returns
    -------
    ndarray
        Slopes [per m], the shape of `values`; zero at both ends of a stretch of two or more level intervals.

    Examples
    --------
    >>> import numpy as np
    >>> station_slopes(np.arange(5.0), np.arange(5.0) ** 2).round(12).tolist()
    [0.0, 2.0, 4.0, 6.0, 8.0]
    """
    shape = (len(x_m) - 1,) + (1,) * (values.ndim - 1)
    chords = np.diff(values, axis=0) / np.diff(x_m).reshape(shape)
    if len(x_m) == 2:
        return np.repeat(chords, 2, axis=0)
    slopes = np.asarray(CubicSpline(x_m, values, axis=0, bc_type="not-a-knot")(x_m, 1))
    before, after = chords[:-1], chords[1:]
    slopes[1:-1] = np.clip(slopes[1:-1], np.minimum(before, after), np.maximum(before, after))
    slopes[1:-1] = _held_where_unequal(np.diff(x_m), slopes[1:-1], before, after, np.ptp(values, axis=0))
    for end, chord in ((0, chords[0]), (-1, chords[-1])):
        slopes[end] = np.sign(chord) * np.clip(slopes[end] * np.sign(chord), 0.0, 3.0 * np.abs(chord))
    scale = np.max(np.abs(values), axis=0, keepdims=True) / (x_m[-1] - x_m[0])
    level = np.abs(chords) <= 1e-9 * scale
    in_stretch = np.zeros(level.shape, dtype=bool)
    pairs = level[:-1] & level[1:]
    in_stretch[:-1] |= pairs
    in_stretch[1:] |= pairs
    touching = np.zeros(values.shape, dtype=bool)
    touching[:-1] |= in_stretch
    touching[1:] |= in_stretch
    slopes[touching] = 0.0
    slopes[np.abs(slopes) < 1e-14 * scale] = 0.0
    return slopes


def _held_where_unequal(h: Array, slopes: Array, before: Array, after: Array, reach: Array) -> Array:
    """Slopes that would swing out of a long interval beside a short one, held as monotone interpolation holds them.

    The weighted harmonic mean of the chords, zero where they turn (Fritsch and Butland 1984).
    """
    shape = (len(h) - 1,) + (1,) * (slopes.ndim - 1)
    one, other = h[:-1].reshape(shape), h[1:].reshape(shape)
    unequal = np.maximum(one, other) > UNEQUAL_SPACING * np.minimum(one, other)
    least = np.minimum(np.abs(before), np.abs(after))
    turning = before * after <= 0.0
    swing = LARGEST_SWING * np.maximum(one, other) * np.abs(slopes)
    swings = unequal & (swing > SMALL_SWING * reach) & (turning | (np.abs(slopes) > LEAST_STEEP * least))
    w1, w2 = 2.0 * other + one, other + 2.0 * one
    safe_before, safe_after = np.where(turning, 1.0, before), np.where(turning, 1.0, after)
    harmonic = np.where(turning, 0.0, (w1 + w2) / (w1 / safe_before + w2 / safe_after))
    return np.asarray(np.where(swings, harmonic, slopes))


def _subdivided(x: Array, cubics: Array, longest: float) -> tuple[Array, Array, Array]:
    counts = np.maximum(1, np.ceil(np.diff(x) / longest - 1e-9).astype(int))
    interval = np.repeat(np.arange(len(counts)), counts)
    within = np.concatenate([np.arange(k) for k in counts])
    step = (np.diff(x) / counts)[interval]
    offset = within * step
    a, b, c, d = (cubics[i][interval] for i in range(4))
    t = offset[:, None, None]
    moved = np.stack([a, 3.0 * a * t + b, (3.0 * a * t + 2.0 * b) * t + c, ((a * t + b) * t + c) * t + d])
    low = x[:-1][interval] + offset
    return low, low + step, moved
