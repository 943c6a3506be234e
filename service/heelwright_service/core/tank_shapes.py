"""What a tank's lofted shape holds under level and tilted surfaces."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import PLANE, VOLUME, VOLUME_X, VOLUME_Y, VOLUME_Z, hull_moments
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, Point, Station, Tank

Array = NDArray[np.float64]

MOST_LEVEL_ROUNDS = 60
LEVEL_SHARE = 1e-12
"""A liquid's surface is found when the volume under it is right to this share."""

LOFTS_KEPT = 1024
"""Lofted shapes kept in memory, the tanks of several ships: lofting one takes as long as asking it five times."""

Outline = tuple[tuple[float, tuple[Point, ...], tuple[Point, ...] | None], ...]


def lofted(tank: Tank, index: int, pointer: str = "/vessel/tanks") -> Hull | None:
    """Loft a tank's shape, or find it where the same stations were lofted before.

    Parameters
    ----------
    tank : Tank
        The tank.
    index : int
        Which of the tanks it is, for errors.
    pointer : str
        JSON Pointer of the tanks.

    Returns
    -------
    Hull or None
        None where the tank has only its table.

    Raises
    ------
    CoreError
        As `Hull.of_tank`; ``tank-shape-empty``.
    """
    if tank.geometry is None:
        return None
    try:
        if tank.geometry.appendages or tank.geometry.shell_allowance_relative:
            shape = Hull.of_tank(tank.geometry, "")
        else:
            shape = _lofted(_outline(tank.geometry))
    except CoreError as error:
        raise error.under(f"{pointer}/{index}/geometry") from None
    if not shape_volume_m3(shape) > 0.0:
        message = f"The shape of tank '{tank.name}' encloses no volume."
        raise CoreError("tank-shape-empty", message, f"{pointer}/{index}/geometry")
    return shape


def _outline(geometry: HullDocument) -> Outline:
    return tuple((each.x_m, _points(each.contour_m) or (), _points(each.port_contour_m)) for each in geometry.stations)


def _points(contour: Sequence[Point] | None) -> tuple[Point, ...] | None:
    return None if contour is None else tuple((y, z) for y, z in contour)


@lru_cache(maxsize=LOFTS_KEPT)
def _lofted(outline: Outline) -> Hull:
    return Hull.of_tank(HullDocument([Station(*each) for each in outline]), "")


def moved_moments(shape: Hull, volume_m3: float, slope_x: float, slopes_y: Array) -> Array:
    """Moments by which a liquid moves from its level place when the ship heels and trims.

    Parameters
    ----------
    shape, volume_m3, slope_x, slopes_y
        As in `shape_moments`.

    Returns
    -------
    ndarray
        In x, y and z [m⁴], shape (k, 3).
    """
    level = shape_moments(shape, volume_m3, 0.0, np.array([0.0]))[0]
    return np.asarray(shape_moments(shape, volume_m3, slope_x, slopes_y) - level)


def shape_moments(shape: Hull, volume_m3: float, slope_x: float, slopes_y: Array) -> Array:
    """Moments of a liquid of given volume under surfaces of given slopes, from the tank's shape.

    Parameters
    ----------
    shape : Hull
        The tank's lofted shape.
    volume_m3 : float
        Volume of the liquid [m³].
    slope_x : float
        Rise of the surface forward, tangent.
    slopes_y : ndarray
        Rises to starboard, tangents, shape (k,).

    Returns
    -------
    ndarray
        Moments of volume about the origin in x, y and z [m⁴], shape (k, 3).
    """
    low = np.full(len(slopes_y), shape.depth_limits_m[0])
    high = np.full(len(slopes_y), shape.depth_limits_m[1])
    reach = np.abs(shape.deck_edge_m[:, 1]).max() * np.abs(slopes_y).max(initial=0.0)
    reach += np.abs(shape.deck_edge_m[:, 0]).max() * abs(slope_x) + 1e-9
    low, high = low - reach, high + reach
    level = low + (high - low) * np.clip(volume_m3 / shape_volume_m3(shape), 0.0, 1.0)
    for _ in range(MOST_LEVEL_ROUNDS):
        moments = shape_at(shape, level, slope_x, slopes_y)
        excess = moments[:, VOLUME] - volume_m3
        low, high = np.where(excess > 0.0, low, level), np.where(excess > 0.0, level, high)
        if np.max(np.abs(excess)) <= LEVEL_SHARE * volume_m3:
            break
        step = np.divide(excess, moments[:, PLANE], out=np.full(len(level), np.inf), where=moments[:, PLANE] > 0.0)
        following = level - step
        inside = (following > low) & (following < high)
        level = np.where(inside, following, 0.5 * (low + high))
    scale = volume_m3 / np.maximum(moments[:, VOLUME], np.finfo(float).tiny)
    return np.asarray(moments[:, [VOLUME_X, VOLUME_Y, VOLUME_Z]] * scale[:, None])


def shape_volume_m3(shape: Hull) -> float:
    """Volume of a tank's whole shape [m³].

    Parameters
    ----------
    shape : Hull
        The tank's lofted shape.

    Returns
    -------
    float
        What it holds when pressed full [m³].
    """
    zero = np.zeros(1)
    return float(shape_at(shape, zero + shape.depth_limits_m[1], 0.0, zero)[0, VOLUME])


def shape_at(shape: Hull, level: Array, slope_x: float, slopes_y: Array) -> Array:
    """Moments of what a tank holds under given surfaces.

    Parameters
    ----------
    shape : Hull
        The tank's lofted shape.
    level : ndarray
        Heights of the surfaces at the origin [m], shape (k,).
    slope_x : float
        Rise of the surfaces forward, tangent.
    slopes_y : ndarray
        Rises to starboard, tangents, shape (k,).

    Returns
    -------
    ndarray
        As `hull_moments` gives them, shape (k, 10).
    """
    zero = np.zeros(len(slopes_y))
    return hull_moments(shape, Planes(level, zero + slope_x, slopes_y, zero, shape.length_bp_m))
