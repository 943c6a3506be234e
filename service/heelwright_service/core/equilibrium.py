"""Floating a hull: to a given heel, or freely, by Newton's method on many conditions at once.

A ship at rest has its centres of gravity and buoyancy on one line square to the water surface:
x_G = x_B − sx·(z_G − z_B) and y_G = y_B − sy·(z_G − z_B).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import (
    PLANE,
    PLANE_X,
    PLANE_XX,
    PLANE_XY,
    PLANE_Y,
    PLANE_YY,
    VOLUME,
    VOLUME_X,
    VOLUME_Y,
    VOLUME_Z,
    hull_moments,
)
from heelwright_service.core.planes import Planes

Array = NDArray[np.float64]

MOST_ROUNDS = 40
CLOSE = 1e-11
"""Newton's steps end when they are smaller than this share of the hull's size."""


def float_at_heel(hull: Hull, volume_m3: Array, x_g_m: Array, z_g_m: Array, start: Planes) -> tuple[Planes, Array]:
    """Find draught and trim at a given heel for a given volume in longitudinal equilibrium.

    Parameters
    ----------
    hull : Hull
        The lofted hull form.
    volume_m3 : ndarray
        Volume to be displaced [m³], shape (p,).
    x_g_m, z_g_m : ndarray
        Centre of gravity along and above the baseline [m], shape (p,).
    start : Planes
        Starting planes, shape (p,); their `slope_y` and `hog_m` are kept.

    Returns
    -------
    tuple of Planes and ndarray
        The planes, and the hull's moments there as `hull_moments` gives them, shape (p, 10).

    Raises
    ------
    CoreError
        ``no-equilibrium`` when no waterplane carries the volume at that heel.

    Notes
    -----
    Unknowns T0 and sx; conditions V(T0, sx) = V and x_B − sx·(z_G − z_B) = x_G.

    Examples
    --------
    >>> from heelwright_service.core.record import HullDocument, Station
    >>> box = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
    >>> hull = Hull.from_document(HullDocument([Station(0.0, box), Station(50.0, box)]), 50.0)
    >>> found, _ = float_at_heel(hull, np.array([1200.0]), np.array([25.0]), np.array([4.0]), Planes.of(50.0, 3.0))
    >>> round(float(found.t0_m[0]), 9), abs(round(float(found.slope_x[0]), 9))
    (2.0, 0.0)
    """
    return _newton(hull, volume_m3, np.stack([x_g_m]), z_g_m, start, free_heel=False)


def float_free(
    hull: Hull,
    mass_t: Array | float,
    x_m: Array | float,
    y_m: Array | float,
    z_m: Array | float,
    density_t_per_m3: Array | float,
    start: Planes | None = None,
) -> Planes:
    """Find the water surface at which a ship floats freely.

    Parameters
    ----------
    hull : Hull
        The lofted hull form.
    mass_t : float or ndarray
        Displacement [t], shape (p,).
    x_m, y_m, z_m : float or ndarray
        Centre of gravity [m]; liquids with a free surface at their virtual height.
    density_t_per_m3 : float or ndarray
        Density of the water [t/m³].
    start : Planes, optional
        Starting planes; by default half depth, level and upright.

    Returns
    -------
    Planes
        The surfaces at equilibrium, shape (p,).

    Raises
    ------
    CoreError
        ``no-equilibrium`` when the ship sinks, capsizes or the search does not settle.

    Examples
    --------
    >>> from heelwright_service.core.record import HullDocument, Station
    >>> box = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
    >>> hull = Hull.from_document(HullDocument([Station(0.0, box), Station(50.0, box)]), 50.0)
    >>> round(float(float_free(hull, 1230.0, 25.0, 0.0, 4.0, 1.025).draught_mid_m[0]), 6)
    2.0
    """
    given = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(v, float)) for v in (mass_t, x_m, y_m, z_m, density_t_per_m3))
    )
    mass, x, y, z, density = given
    planes = start if start is not None else _at_volume(hull, np.asarray(mass / density))
    return _newton(hull, np.asarray(mass / density), np.stack([x, y]), z, planes, free_heel=True)[0]


def _at_volume(hull: Hull, volume_m3: Array) -> Planes:
    """Level, upright planes for the volumes, by bisection between keel and deck."""
    low, high = (np.full(len(volume_m3), limit) for limit in hull.depth_limits_m)
    for _ in range(30):
        middle = 0.5 * (low + high)
        above = hull_moments(hull, Planes.of(hull.length_bp_m, middle))[:, VOLUME] > volume_m3
        low, high = np.where(above, low, middle), np.where(above, middle, high)
        if np.max(high - low) < 0.02 * (hull.depth_limits_m[1] - hull.depth_limits_m[0]):
            break
    return Planes.of(hull.length_bp_m, 0.5 * (low + high))


def _newton(
    hull: Hull, volume: Array, centre: Array, z_g: Array, planes: Planes, free_heel: bool
) -> tuple[Planes, Array]:
    size = np.array([hull.depth_limits_m[1] - hull.depth_limits_m[0], 1.0, 1.0])
    reach = np.array([0.25, 0.02, 0.1])
    for _ in range(MOST_ROUNDS):
        moments = hull_moments(hull, planes)
        _refuse_unfloatable(moments, volume)
        residual, jacobian = _conditions(moments, volume, centre, z_g, planes, free_heel)
        try:
            step = -np.linalg.solve(jacobian, residual[..., None])[..., 0]
        except np.linalg.LinAlgError:
            raise _no_equilibrium() from None
        limit = (size * reach)[: step.shape[1]]
        step *= np.minimum(1.0, (limit / np.maximum(np.abs(step), 1e-300)).min(axis=1, keepdims=True))
        planes = _moved(planes, np.asarray(step, dtype=np.float64))
        if np.max(np.abs(step) / size[: step.shape[1]]) < CLOSE:
            return planes, hull_moments(hull, planes)
    raise _no_equilibrium()


def _moved(planes: Planes, step: Array) -> Planes:
    moved = replace(planes, t0_m=planes.t0_m + step[:, 0], slope_x=planes.slope_x + step[:, 1])
    return replace(moved, slope_y=planes.slope_y + step[:, 2]) if step.shape[1] == 3 else moved


def _conditions(
    moments: Array, volume: Array, centre: Array, z_g: Array, planes: Planes, free_heel: bool
) -> tuple[Array, Array]:
    """Residuals (p, n) and their derivatives (p, n, n) by T0, sx and, when free to heel, sy."""
    found, v = moments[:, VOLUME], moments[:, VOLUME]
    x_b, y_b, z_b = (moments[:, i] / v for i in (VOLUME_X, VOLUME_Y, VOLUME_Z))
    area, first_x, first_y = moments[:, PLANE], moments[:, PLANE_X], moments[:, PLANE_Y]
    xx, yy, xy = moments[:, PLANE_XX], moments[:, PLANE_YY], moments[:, PLANE_XY]
    lever = z_g - z_b
    residual = [found - volume, x_b - planes.slope_x * lever - centre[0]]
    rows = [
        [area, first_x, first_y],
        [(first_x - x_b * area) / v, (xx - x_b * first_x) / v - lever, (xy - x_b * first_y) / v],
    ]
    if free_heel:
        residual.append(y_b - planes.slope_y * lever - centre[1])
        rows.append([(first_y - y_b * area) / v, (xy - y_b * first_x) / v, (yy - y_b * first_y) / v - lever])
    count = len(residual)
    jacobian = np.stack([np.stack(row[:count], axis=-1) for row in rows], axis=1)
    return np.stack(residual, axis=-1), jacobian


def _refuse_unfloatable(moments: Array, volume: Array) -> None:
    if not (np.isfinite(moments).all() and (moments[:, VOLUME] > 0.0).all() and (moments[:, PLANE] > 0.0).all()):
        raise _no_equilibrium()
    if not (volume > 0.0).all():
        raise CoreError("no-equilibrium", "The displaced volume must be positive.", "")


def _no_equilibrium() -> CoreError:
    return CoreError(
        "no-equilibrium",
        "No floating position was found: the hull does not carry this mass at this heel with a waterplane left; check "
        "the displacement, the centre of gravity and the depth of the hull.",
        "",
    )
