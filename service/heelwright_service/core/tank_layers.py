"""Where the surface of a liquid lies in its tank, by the tank's table alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LAYER_SHARE = 0.05
"""Half the layer by which a surface's middle is found, of the table's depth: rounded centres average out in it."""


def middle_of_layer_m(volumes_m3: Array, centres_m: Array, second_moments_m4: Array, thickness_m: Array) -> Array:
    """Return the middle of a level surface, along or across, by the layer of liquid about it.

    Parameters
    ----------
    volumes_m3 : ndarray
        Volumes at the level, at the layer's top and at its bottom [m³], shape (3, p).
    centres_m : ndarray
        Their centres along one axis [m], shape (3, p).
    second_moments_m4 : ndarray
        Second moment of the surface about its own middle along that axis [m⁴], shape (p,).
    thickness_m : ndarray
        Of the layer [m], shape (p,).

    Returns
    -------
    ndarray
        `Δ(V·x)/ΔV` over the layer [m], shape (p,); the volume's centre where the layer holds nothing.

    Notes
    -----
    The theorem of moments on the layer (derived here). It is kept within the surface's radius of gyration √(i/A) of the
    volume's centre, lest a slip in one row throw it out of the tank.

    Examples
    --------
    A trough of 45°, filled to 2 m: its water is 0.667 m from the vertical side, the middle of its surface 1 m.

    >>> levels = np.array([[2.0], [2.1], [1.9]])
    >>> middle = middle_of_layer_m(5.0 * levels**2, levels / 3.0, np.array([80.0 / 12.0]), np.array([0.2]))
    >>> round(float(middle[0]), 2)
    1.0
    """
    level, top, bottom = volumes_m3
    layer = top - bottom
    some = layer > 1e-9 * np.maximum(level, np.finfo(float).tiny)
    held = np.where(some, layer, 1.0)
    off = (top * centres_m[1] - bottom * centres_m[2]) / held - centres_m[0]
    most = np.sqrt(np.maximum(second_moments_m4, 0.0) * thickness_m / held)
    return np.asarray(centres_m[0] + np.where(some, np.clip(off, -most, most), 0.0))
