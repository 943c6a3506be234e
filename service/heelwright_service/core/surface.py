"""Whether the surface through the stations is one that a hull can have: not across the centreline, not through itself.

Every station may be sound and the surface between two of them not: corresponding points whose paths cross, or a path
that swings out of an interval. Looked at halfway along every piece of the surface.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.lofting import Side

Array = NDArray[np.float64]
Crossing = Callable[[Array], tuple[int, int] | None]

ACROSS_SHARE = 0.002
"""Of the half-breadth: a surface that crosses the centreline by less is rounding of the loft (office default)."""

BULGE_SHARE = 0.2
"""Of the half-breadth: a surface that swings further out than both its stations by more is no hull (office default)."""

MOST_LOOKED_AT = 400
"""Sections of a side that are searched for folds."""


def refuse_bent_surface(side: Side, stations_m: Array, crossing: Crossing, one_sided: bool, pointer: str) -> None:
    """Refuse a surface that bends over itself between two stations.

    Parameters
    ----------
    side : Side
        The lofted side.
    stations_m : ndarray
        Positions of the stations as given [m], shape (m,).
    crossing : callable
        Finds the first place where a closed contour [m] of shape (n, 2) passes through itself, None without one.
    one_sided : bool
        Whether the side has to stay on its side of the centreline.
    pointer : str
        Where the hull stands in the request.

    Raises
    ------
    CoreError
        ``surface-folded``, naming the two stations.
    """
    middle = 0.5 * (side.piece_low_m + side.piece_high_m)
    y, z = (each[:, 0] for each in side.sections_at(np.arange(len(middle)), middle[:, None]))
    half_breadth = float(np.abs(y).max())
    if one_sided:
        across = -y.min(axis=1)
        _refuse_where(across > ACROSS_SHARE * half_breadth, middle, stations_m, "crosses the centreline", pointer)
        beyond = y.max(axis=1) - _widest_at_ends(side, middle, stations_m)
        _refuse_where(beyond > BULGE_SHARE * half_breadth, middle, stations_m, "swings out beyond both", pointer)
    step = max(1, len(middle) // MOST_LOOKED_AT)
    folded = np.zeros(len(middle), dtype=bool)
    for i in range(0, len(middle), step):
        rises = bool(np.all(np.diff(z[i, :-1]) > 0.0))
        folded[i] = not rises and crossing(np.column_stack([y[i], z[i]])) is not None
    _refuse_where(folded, middle, stations_m, "passes through itself", pointer)


def _widest_at_ends(side: Side, middle_m: Array, stations_m: Array) -> Array:
    """Half-breadth of the wider of the two stations beside every piece [m], shape (q,)."""
    first = np.searchsorted(stations_m, middle_m, side="right") - 1
    low, high = stations_m[first], stations_m[np.minimum(first + 1, len(stations_m) - 1)]
    begins = np.searchsorted(side.piece_low_m, low - 1e-9)
    ends = np.searchsorted(side.piece_high_m, high - 1e-9)
    widths = [
        side.sections_at(piece, at[piece][:, None])[0][:, 0].max(axis=1)
        for piece, at in ((begins, side.piece_low_m), (np.minimum(ends, len(middle_m) - 1), side.piece_high_m))
    ]
    return np.asarray(np.maximum(*widths))


def _refuse_where(bad: NDArray[np.bool_], middle_m: Array, stations_m: Array, does: str, pointer: str) -> None:
    if not bad.any():
        return
    at = float(middle_m[int(np.argmax(bad))])
    first = int(np.searchsorted(stations_m, at, side="right")) - 1
    raise CoreError(
        "surface-folded",
        f"Between the stations at x = {stations_m[first]:g} m and x = {stations_m[first + 1]:g} m the surface through "
        f"them {does}, though each of them is sound; give a station between, give one of them twice where the hull "
        "steps, or give both the same number of points that correspond.",
        f"{pointer}/stations/{first}",
    )
