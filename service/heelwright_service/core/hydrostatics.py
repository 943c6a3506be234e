"""Hydrostatics of a hull form at any water surface: any draught, trim and heel, with hog or sag."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.hull import Hull
from heelwright_service.core.lofting import Side, gauss_positions
from heelwright_service.core.planes import Planes
from heelwright_service.core.sections import (
    AREA,
    BREADTH,
    BREADTH_Y,
    BREADTH_YY,
    MOMENT_DEPTH,
    MOMENT_Y,
    section_integrals,
)

Array = NDArray[np.float64]

CHUNK_POINTS = 400_000
"""Contour points in work at once: keeps the arrays of a chunk in the processor's cache."""

VOLUME, VOLUME_X, VOLUME_Y, VOLUME_Z, PLANE, PLANE_X, PLANE_Y, PLANE_XX, PLANE_YY, PLANE_XY = range(10)


@dataclass(frozen=True)
class Hydrostatics:
    """Properties of the immersed hull at one or many water surfaces; every field has shape (p,).

    The waterplane is projected on the ship's x-y plane and its second moments are about axes through its centroid.
    `km_t_m` is the slope of the righting curve at constant volume: z_B + (1 + tan²φ)·I_T/V, at no heel KM.
    """

    volume_m3: Array
    lcb_m: Array
    tcb_m: Array
    vcb_m: Array
    waterplane_area_m2: Array
    lcf_m: Array
    tcf_m: Array
    i_t_m4: Array
    i_l_m4: Array
    i_xy_m4: Array
    km_t_m: Array
    km_l_m: Array
    deck_edge_immersed: NDArray[np.bool_]


def hydrostatics(hull: Hull, planes: Planes) -> Hydrostatics:
    """Compute the immersed volume, its centre and the waterplane of a hull.

    Parameters
    ----------
    hull : Hull
        The lofted hull form.
    planes : Planes
        Water surfaces, shape (p,).

    Returns
    -------
    Hydrostatics
        Arrays of shape (p,). Where nothing is immersed the centres are not a number: callers refuse such planes.

    Notes
    -----
    Sections are clipped exactly as polygons and integrated along x by Gauss-Legendre points; pieces in which the keel,
    the deck edge or a flat part of the section goes through the surface are split there.

    Examples
    --------
    >>> from heelwright_service.core.record import HullDocument, Station
    >>> box = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
    >>> hull = Hull.from_document(HullDocument([Station(0.0, box), Station(50.0, box)]), 50.0)
    >>> found = hydrostatics(hull, Planes.of(50.0, 2.0))
    >>> round(float(found.volume_m3[0]), 6), round(float(found.km_t_m[0]), 6)
    (1200.0, 7.0)
    """
    return from_moments(hull_moments(hull, planes), planes, deck_edge_immersed(hull, planes))


def hull_moments(hull: Hull, planes: Planes) -> Array:
    """Integrate volume and waterplane moments about the origin.

    Parameters
    ----------
    hull : Hull
        The lofted hull form.
    planes : Planes
        Water surfaces, shape (p,).

    Returns
    -------
    ndarray
        Shape (p, 10): volume [m³], its moments of x, y, z [m⁴], waterplane area [m²], its moments of x and y [m³] and
        its second moments xx, yy, xy [m⁴], all about the origin of the ship's axes.

    Notes
    -----
    The shell's allowance enlarges volume and waterplane alike, so that the waterplane stays the volume's derivative and
    z_B + I_T/V the slope of the centre of buoyancy.
    """
    total = np.zeros((len(planes), 10))
    for side in hull.sides:
        points_a_plane = 3 * len(side.piece_low_m) * side.coefficients.shape[2]
        step = max(1, CHUNK_POINTS // points_a_plane)
        for first in range(0, len(planes), step):
            chosen = slice(first, first + step)
            total[chosen] += _side_moments(side, planes.part(chosen))
    total *= 1.0 + hull.shell_allowance_relative
    for part in hull.appendages:
        total[:, :4] += part.volume_m3 * np.array([1.0, part.x_m, part.y_m, part.z_m])
    return total


def from_moments(moments: Array, planes: Planes, deck_edge: NDArray[np.bool_]) -> Hydrostatics:
    """Turn moments about the origin into centres and second moments about the centroid.

    Parameters
    ----------
    moments : ndarray
        As `hull_moments` gives them, shape (p, 10).
    planes : Planes
        The water surfaces they belong to, shape (p,).
    deck_edge : ndarray of bool
        Whether a deck edge is under water, shape (p,).

    Returns
    -------
    Hydrostatics
        Arrays of shape (p,).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        volume, area = moments[:, VOLUME], moments[:, PLANE]
        lcb, tcb, vcb = (moments[:, i] / volume for i in (VOLUME_X, VOLUME_Y, VOLUME_Z))
        lcf, tcf = moments[:, PLANE_X] / area, moments[:, PLANE_Y] / area
        i_t = moments[:, PLANE_YY] - area * tcf**2
        i_l = moments[:, PLANE_XX] - area * lcf**2
        i_xy = moments[:, PLANE_XY] - area * lcf * tcf
        km_t = vcb + (1.0 + planes.slope_y**2) * i_t / volume
        km_l = vcb + (1.0 + planes.slope_x**2) * i_l / volume
    return Hydrostatics(volume, lcb, tcb, vcb, area, lcf, tcf, i_t, i_l, i_xy, km_t, km_l, deck_edge)


def deck_edge_immersed(hull: Hull, planes: Planes) -> NDArray[np.bool_]:
    """Say whether any point of the deck edge lies under the water surface.

    Parameters
    ----------
    hull : Hull
        The lofted hull form.
    planes : Planes
        Water surfaces, shape (p,).

    Returns
    -------
    ndarray of bool
        Shape (p,).
    """
    return freeboard_m(hull, planes) < 0.0


def freeboard_m(hull: Hull, planes: Planes) -> Array:
    """Least height of the deck edge above the water surface, measured along z.

    Parameters
    ----------
    hull : Hull
        The lofted hull form.
    planes : Planes
        Water surfaces, shape (p,).

    Returns
    -------
    ndarray
        Least freeboard [m] over the given stations, shape (p,); negative when a deck edge is under water.
    """
    x, y, z = hull.deck_edge_m.T
    return np.asarray((z - planes.height_m(x, y)).min(axis=1))


def _side_moments(side: Side, planes: Planes) -> Array:
    """Moments of one side with its own y outward; the port side is turned back at the end."""
    outward = -planes.slope_y if side.mirrored else planes.slope_y
    x, weights, sections = side.gauss
    emerging = _emerging(side, planes, outward)
    counted = np.where(np.repeat(emerging, len(x) // emerging.shape[1], axis=1), 0.0, weights)
    moments = _integrated(x[None], planes, outward, sections.integrals(planes.height_m(x), outward), counted)
    if emerging.any():
        moments += _emerging_moments(side, planes, outward, emerging)
    if side.mirrored:
        moments[:, [VOLUME_Y, PLANE_Y, PLANE_XY]] *= -1.0
    return moments


def _integrated(x: Array, planes: Planes, outward: Array, sections: Array, weights: Array) -> Array:
    """Sum section integrals along x; axes are (plane, position)."""
    height = planes.t0_m[:, None] + planes.slope_x[:, None] * x - planes.hog_m[:, None] * planes.bend(x)
    area = sections[..., AREA]
    moment_z = height * area + outward[:, None] * sections[..., MOMENT_Y] - sections[..., MOMENT_DEPTH]
    breadth = sections[..., BREADTH]
    parts = [
        area,
        x * area,
        sections[..., MOMENT_Y],
        moment_z,
        breadth,
        x * breadth,
        sections[..., BREADTH_Y],
        x * x * breadth,
        sections[..., BREADTH_YY],
        x * sections[..., BREADTH_Y],
    ]
    return np.stack([np.sum(part * weights, axis=1) for part in parts], axis=1)


def _emerging(side: Side, planes: Planes, outward: Array) -> NDArray[np.bool_]:
    """Say in which pieces a level point of the section goes through the surface, shape (plane, piece)."""
    x, y, z = side.ends
    level = side.level_points
    chosen = np.flatnonzero(level.any(axis=0))
    depth = planes.height_m(x)[..., None] + outward[:, None, None, None] * y[..., chosen] - z[..., chosen]
    wet = depth > 0.0
    return np.asarray(((wet[:, :, 0] != wet[:, :, 1]) & level[:, chosen]).any(axis=-1))


def _emerging_moments(side: Side, planes: Planes, outward: Array, emerging: NDArray[np.bool_]) -> Array:
    """Integrate the pieces in which a flat part of the section goes through the surface.

    Each such piece is split where each point of the section does so; between those places breadth and area are smooth.
    """
    plane, piece = np.nonzero(emerging)
    chosen, slope = planes.part(plane), outward[plane]
    low, high = side.piece_low_m[piece], side.piece_high_m[piece]
    x, y, z = (values[piece] for values in side.ends)
    start, end = (
        (chosen.t0_m + chosen.slope_x * x[:, i] - chosen.hog_m * planes.bend(x[:, i]))[:, None]
        + slope[:, None] * y[:, i]
        - z[:, i]
        for i in (0, 1)
    )
    crosses = (start > 0.0) != (end > 0.0)
    share = np.divide(start, start - end, out=np.ones(start.shape), where=crosses)
    cuts = np.sort(np.concatenate([np.zeros((len(piece), 1)), share, np.ones((len(piece), 1))], axis=1), axis=1)
    cuts = low[:, None] + cuts * (high - low)[:, None]
    pair, part = np.nonzero(np.diff(cuts, axis=1) > 0.0)
    x, weights = gauss_positions(cuts[pair, part], cuts[pair, part + 1], fine=True)
    y, z = side.sections_at(piece[pair], x)
    here = chosen.part(pair)
    height = here.t0_m[:, None] + here.slope_x[:, None] * x - here.hog_m[:, None] * planes.bend(x)
    sections = section_integrals(y, height[..., None] + slope[pair][:, None, None] * y - z)
    moments = np.zeros((len(planes), 10))
    np.add.at(moments, plane[pair], _integrated(x, here, slope[pair], sections, weights))
    return moments
