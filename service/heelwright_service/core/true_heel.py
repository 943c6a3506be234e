"""Readings of inclinometers freed of their own zero, so that their tangents are those of the ship's heel.

A pendulum's zero mark shifts its deflection, and so its tangent, by a constant. An inclinometer's zero is an angle: the
tangent of heel plus zero is not the tangent of the heel plus a constant, and its slope on the moment is too great by
twice the product of zero and heel.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.readings import ReadTangents

Array = NDArray[np.float64]


def less_angle(tangents: Array, zero: Array) -> Array:
    """Tangent of the difference of two angles given by their tangents.

    Parameters
    ----------
    tangents, zero : ndarray
        Tangents, of shapes that go together.

    Returns
    -------
    ndarray
        tan(α − β) = (tan α − tan β)/(1 + tan α·tan β).

    Examples
    --------
    >>> import math
    >>> angle = less_angle(np.array([math.tan(0.05)]), np.array([math.tan(0.02)]))
    >>> round(math.atan(float(angle[0])), 12)
    0.03
    """
    return np.asarray((tangents - zero) / (1.0 + tangents * zero))


def freed_of_zeros(read: ReadTangents, own_zero: NDArray[np.bool_], tangents: Array, heel: Array) -> Array:
    """Take the constant angle of each inclinometer with a zero of its own from its readings.

    Parameters
    ----------
    read : ReadTangents
        What the readings belong to.
    own_zero : ndarray of bool
        Instruments with an arbitrary zero, shape (i,).
    tangents : ndarray
        Tangents as read, shape (p, r).
    heel : ndarray
        Tangents of the ship's heel, list included, as the moments tell them, shape (p, r).

    Returns
    -------
    ndarray
        Tangents of true heel up to a small constant for each instrument, which its intercept takes up, shape (p, r).

    Notes
    -----
    The zero is the mean over all readings of the instrument of the angle read less the heel. Its error ε changes the
    slope by the share 2·ε·tan φ only (derived here).
    """
    freed = tangents.copy()
    for i in np.flatnonzero(own_zero & np.isnan(read.lengths_m)):
        mine = read.instrument_index == i
        if mine.any():
            zero = less_angle(tangents[:, mine], heel[:, mine]).mean(axis=1)
            freed[:, mine] = less_angle(tangents[:, mine], zero[:, None])
    return freed
