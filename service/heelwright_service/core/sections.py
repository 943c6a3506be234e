"""Integrals over the immersed part of cross sections, exact for polygons.

A section is a chain of straight edges, travelled so that the solid lies to the left (keel, out, up, back to the
centreline). With the depth of a point under the water surface, d = w + s·y − z, the immersed area is the line integral
of max(d, 0) dy: the waterline and any edge on the centreline add nothing, so several wet pieces need no extra care.
"""

from __future__ import annotations

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
