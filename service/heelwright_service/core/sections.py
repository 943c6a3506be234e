"""Integrals over the immersed part of cross sections, exact for polygons.

A section is a chain of straight edges, travelled so that the solid lies to the left (keel, out, up, back to the
centreline). With the depth of a point under the water surface, d = w + s·y − z, the immersed area is the line integral
of max(d, 0) dy: the waterline and any edge on the centreline add nothing, so several wet pieces need no extra care.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

AREA, MOMENT_Y, MOMENT_DEPTH, BREADTH, BREADTH_Y, BREADTH_YY = range(6)


def section_integrals(y_m: Array, depth_m: Array) -> Array:
    """Integrate the immersed part of many section chains at once.

    Parameters
    ----------
    y_m : ndarray
        Transverse coordinates of the chain's points [m], shape (..., n).
    depth_m : ndarray
        Depth of the same points below the water surface, measured parallel to z [m], broadcastable to the same shape.

    Returns
    -------
    ndarray
        Shape (..., 6): area [m²], its moment about the centreline [m³], its moment of depth [m³], and of the waterline
        the breadth [m], its first moment [m²] and its second moment [m³].

    Notes
    -----
    Green's theorem on the clipped edges; along an edge y and d are linear, so each integral is a closed form.

    Examples
    --------
    >>> import numpy as np
    >>> y = np.array([0.0, 3.0, 3.0, 0.0])
    >>> z = np.array([0.0, 0.0, 5.0, 5.0])
    >>> section_integrals(y, 2.0 - z)[:2].tolist()
    [6.0, 9.0]
    """
    y0, y1 = y_m[..., :-1], y_m[..., 1:]
    d0, d1 = depth_m[..., :-1], depth_m[..., 1:]
    wet0, wet1 = d0 > 0.0, d1 > 0.0
    span = d0 - d1
    fraction = np.divide(d0, span, out=np.zeros(span.shape), where=wet0 != wet1)
    crossing = y0 + fraction * (y1 - y0)
    start = np.where(wet0, y0, crossing)
    end = np.where(wet1, y1, np.where(wet0, crossing, start))
    upper, lower = np.maximum(d0, 0.0), np.maximum(d1, 0.0)
    step = end - start
    both = upper + lower
    squares = start * start + start * end + end * end
    return np.stack(
        [
            0.5 * np.einsum("...e,...e->...", step, both),
            np.einsum("...e,...e->...", step, start * (both + upper) + end * (both + lower)) / 6.0,
            np.einsum("...e,...e->...", step, upper * both + lower * lower) / 6.0,
            step.sum(-1),
            0.5 * np.einsum("...e,...e->...", step, start + end),
            np.einsum("...e,...e->...", step, squares) / 3.0,
        ],
        axis=-1,
    )


@dataclass(frozen=True)
class FixedSections:
    """Sections that many water surfaces will cut, with the integrals of their whole edges worked out once.

    Along an edge that is wholly wet the depth w + s·y − z needs no clipping: its integrals are sums of ∫dy, ∫y·dy,
    ∫y²·dy, ∫z·dy, ∫y·z·dy and ∫z²·dy, which do not depend on the surface. Only edges that cross it are clipped.

    Parameters
    ----------
    y_m, z_m : ndarray
        Points of the chains [m], shape (s, n).
    edges : ndarray
        The six integrals of every edge, shape (s, n − 1, 6).
    """

    y_m: Array
    z_m: Array
    edges: Array

    @classmethod
    def of(cls, y_m: Array, z_m: Array) -> FixedSections:
        """Work out the integrals of the edges.

        Parameters
        ----------
        y_m, z_m : ndarray
            Points of the chains [m], shape (s, n).

        Returns
        -------
        FixedSections
            Ready for any number of surfaces.
        """
        y0, y1, z0, z1 = y_m[:, :-1], y_m[:, 1:], z_m[:, :-1], z_m[:, 1:]
        step = y1 - y0
        mixed = 2.0 * (y0 * z0 + y1 * z1) + y0 * z1 + y1 * z0
        edges = [
            step,
            0.5 * step * (y0 + y1),
            step * (y0 * y0 + y0 * y1 + y1 * y1) / 3.0,
            0.5 * step * (z0 + z1),
            step * mixed / 6.0,
            step * (z0 * z0 + z0 * z1 + z1 * z1) / 3.0,
        ]
        return cls(y_m, z_m, np.stack(edges, axis=-1))

    def integrals(self, height_m: Array, slope: Array) -> Array:
        """Integrate the immersed part of all sections for many surfaces.

        Parameters
        ----------
        height_m : ndarray
            Height of each surface on the centreline at each section [m], shape (p, s).
        slope : ndarray
            Rise of each surface towards positive y, tangent, shape (p,).

        Returns
        -------
        ndarray
            Shape (p, s, 6), as `section_integrals` gives them.
        """
        wet = slope[:, None, None] * self.y_m - self.z_m > -height_m[..., None]
        whole = (wet[..., :-1] & wet[..., 1:]).astype(np.float64)
        sums = np.matmul(whole.transpose(1, 0, 2), self.edges).transpose(1, 0, 2)
        g, gy, gyy, gz, gyz, gzz = (sums[..., i] for i in range(6))
        w, s = height_m, slope[:, None]
        found = np.empty((*height_m.shape, 6))
        found[..., AREA] = w * g + s * gy - gz
        found[..., MOMENT_Y] = w * gy + s * gyy - gyz
        found[..., MOMENT_DEPTH] = 0.5 * (w * w * g + s * s * gyy + gzz) + w * s * gy - w * gz - s * gyz
        found[..., BREADTH] = g
        found[..., BREADTH_Y] = gy
        found[..., BREADTH_YY] = gyy
        self._add_crossing(found, wet, height_m, slope)
        return found

    def _add_crossing(self, found: Array, wet: NDArray[np.bool_], height_m: Array, slope: Array) -> None:
        plane, section, edge = np.nonzero(wet[..., :-1] != wet[..., 1:])
        pairs = np.stack([edge, edge + 1], axis=-1)
        y, z = self.y_m[section[:, None], pairs], self.z_m[section[:, None], pairs]
        depth = height_m[plane, section][:, None] + slope[plane][:, None] * y - z
        np.add.at(found, (plane, section), section_integrals(y, depth))
