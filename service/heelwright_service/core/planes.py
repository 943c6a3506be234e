"""Water surfaces in ship axes: z = T0 + sx·x + sy·y, lowered by the hog of the hull along its length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Planes:
    """One or many water surfaces.

    Parameters
    ----------
    t0_m : ndarray
        Height of the surface at the aft perpendicular on the centreline [m], shape (p,).
    slope_x : ndarray
        Rise forward (by the head positive), tangent, shape (p,).
    slope_y : ndarray
        Rise to starboard, the tangent of the heel to starboard, shape (p,).
    hog_m : ndarray
        Amount by which the keel amidships stands above its ends' chord [m], hog positive, shape (p,).
    length_bp_m : float
        Length between perpendiculars [m]: the hog is a parabola that vanishes at them.
    """

    t0_m: Array
    slope_x: Array
    slope_y: Array
    hog_m: Array
    length_bp_m: float

    @classmethod
    def of(
        cls,
        length_bp_m: float,
        draught_m: ArrayLike,
        trim_m: ArrayLike = 0.0,
        heel_deg: ArrayLike = 0.0,
        hog_m: ArrayLike = 0.0,
    ) -> Planes:
        """Make planes from draught, trim, heel and hog as people state them.

        Parameters
        ----------
        length_bp_m : float
            Length between perpendiculars [m].
        draught_m : array_like
            Moulded draught at mid-length on the centreline, before hog [m].
        trim_m : array_like
            Trim by the stern over the length between perpendiculars [m].
        heel_deg : array_like
            Heel to starboard [deg].
        hog_m : array_like
            Hog amidships [m], sag negative.

        Returns
        -------
        Planes
            Planes of the common broadcast shape.

        Examples
        --------
        >>> Planes.of(100.0, 5.0, trim_m=1.0).t0_m.tolist()
        [5.5]
        """
        stated = (np.atleast_1d(np.asarray(v, float)) for v in (draught_m, trim_m, heel_deg, hog_m))
        given = np.broadcast_arrays(*stated)
        draught, trim, heel, hog = (np.array(v, dtype=float) for v in given)
        return cls(draught + 0.5 * trim, -trim / length_bp_m, np.tan(np.radians(heel)), hog, length_bp_m)

    def __len__(self) -> int:
        return len(self.t0_m)

    def part(self, chosen: slice | NDArray[np.intp] | NDArray[np.bool_]) -> Planes:
        """Take some of the planes.

        Parameters
        ----------
        chosen : slice or ndarray
            Which planes.

        Returns
        -------
        Planes
            Those planes, in the order asked for.
        """
        return Planes(
            self.t0_m[chosen], self.slope_x[chosen], self.slope_y[chosen], self.hog_m[chosen], self.length_bp_m
        )

    def bend(self, x_m: Array) -> Array:
        """Shape of the hog along the length: 1 amidships, 0 at the perpendiculars.

        Parameters
        ----------
        x_m : ndarray
            Positions forward of the aft perpendicular [m].

        Returns
        -------
        ndarray
            b(x) = 1 − ((x − L/2)/(L/2))², dimensionless.
        """
        return np.asarray(1.0 - (2.0 * x_m / self.length_bp_m - 1.0) ** 2)

    def height_m(self, x_m: Array, y_m: Array | float = 0.0) -> Array:
        """Height of the surface on the undeformed hull.

        Parameters
        ----------
        x_m, y_m : ndarray
            Positions [m], broadcastable against a leading axis of planes.

        Returns
        -------
        ndarray
            T0 + sx·x + sy·y − δ·b(x) [m], shape (p, ...).
        """
        x = np.asarray(x_m, float)
        lead = (slice(None),) + (None,) * max(x.ndim, np.ndim(y_m))
        return np.asarray(
            self.t0_m[lead] + self.slope_x[lead] * x + self.slope_y[lead] * y_m - self.hog_m[lead] * self.bend(x)
        )

    @property
    def draught_mid_m(self) -> Array:
        """Moulded draught at mid-length on the centreline, before hog [m], shape (p,)."""
        return self.t0_m + 0.5 * self.slope_x * self.length_bp_m

    @property
    def trim_m(self) -> Array:
        """Trim by the stern [m], shape (p,)."""
        return -self.slope_x * self.length_bp_m

    @property
    def heel_deg(self) -> Array:
        """Heel to starboard [deg], shape (p,)."""
        return np.degrees(np.arctan(self.slope_y))
