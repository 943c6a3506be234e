"""Hull forms for tests: prisms of any section and a pyramid, as the service's hull documents."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatics import Hydrostatics, hydrostatics
from heelwright_service.core.planes import Planes
from heelwright_service.core.record import HullDocument, Station
from numpy.typing import NDArray

Array = NDArray[np.float64]
Contour = list[tuple[float, float]]


def prism_document(contour: Sequence[Sequence[float]], length_m: float) -> HullDocument:
    """A hull of one section from end to end."""
    points = [(float(y), float(z)) for y, z in contour]
    return HullDocument([Station(0.0, points), Station(length_m, points)])


def prism(contour: Sequence[Sequence[float]], length_m: float) -> Hull:
    """The lofted prism."""
    return Hull.from_document(prism_document(contour, length_m), length_m)


def box_contour(breadth_m: float, depth_m: float) -> Contour:
    """Half of a rectangle."""
    half = 0.5 * breadth_m
    return [(0.0, 0.0), (half, 0.0), (half, depth_m)]


def wedge_contour(half_angle_deg: float, depth_m: float) -> Contour:
    """Half of a triangle, apex down."""
    return [(0.0, 0.0), (depth_m * float(np.tan(np.radians(half_angle_deg))), depth_m)]


def ellipse_contour(
    semi_breadth_m: float, semi_depth_m: float, points_an_arc: int, breaks_rad: Sequence[float] = ()
) -> Contour:
    """Half of an ellipse; every angle given (from the keel, in the stretched circle) becomes a point of the contour."""
    ends = [0.0, *sorted(set(breaks_rad)), float(np.pi)]
    arcs = [np.linspace(a, b, points_an_arc + 1)[1:] for a, b in itertools.pairwise(ends)]
    angles = np.concatenate([[0.0], *arcs])
    y, z = semi_breadth_m * np.sin(angles), semi_depth_m * (1.0 - np.cos(angles))
    y[-1] = 0.0
    return list(zip(y.tolist(), z.tolist(), strict=True))


def half_of(polygon: Sequence[Sequence[float]]) -> Contour:
    """The starboard half of a symmetric polygon that is given counter-clockwise from its lower port corner."""
    starboard = [(float(y), float(z)) for y, z in polygon if y > 0.0]
    return [(0.0, starboard[0][1]), *starboard]


def pyramid(half_angle_deg: float, depth_m: float, corners: int, cuts_m: Sequence[float] = ()) -> Hull:
    """A pyramid on a regular polygon, apex down, inscribed in a cone; exact as a hull, for its edges are straight.

    Between two corners of the deck every edge that a section meets runs straight from the apex, so each stretch is a
    run of two stations. A water surface bends where it meets an edge: further steps at those `cuts_m` (distances from
    the apex) let the integration start anew there.
    """
    radius = depth_m * float(np.tan(np.radians(half_angle_deg)))
    angles = np.arange(corners // 4 + 1) * 2.0 * np.pi / corners
    rims = radius * np.cos(angles)[::-1]
    rims[0] = 0.0
    forward = []
    for i, (low, high) in enumerate(itertools.pairwise(rims)):
        steps = [low, *sorted({c for c in cuts_m if low + 1e-9 < c < high - 1e-9}), high]
        for ends in itertools.pairwise(steps):
            forward += [Station(radius + float(x), _pyramid_section(x, i, angles, radius, depth_m)) for x in ends]
    aft = [Station(2.0 * radius - s.x_m, s.contour_m) for s in reversed(forward)]
    return Hull.from_document(HullDocument([*aft, *forward]), 2.0 * radius)


def floated_pyramid(
    half_angle_deg: float, depth_m: float, corners: int, draught_m: float, heel_deg: float
) -> tuple[Planes, Hydrostatics]:
    """A pyramid heeled at the volume it has upright at a draught, with steps where the surface meets its edges."""
    k, t = float(np.tan(np.radians(half_angle_deg))), float(np.tan(np.radians(heel_deg)))
    angles = np.arange(corners // 4 + 1) * 2.0 * np.pi / corners
    volume = corners / 2.0 * np.sin(2.0 * np.pi / corners) * k**2 * draught_m**3 / 3.0
    apex_depth = draught_m
    for _ in range(6):
        cuts = [apex_depth / (1.0 / (k * np.cos(a)) - s * t * np.tan(a)) for a in angles[:-1] for s in (1.0, -1.0)]
        hull = pyramid(half_angle_deg, depth_m, corners, [float(c) for c in cuts])
        planes, found = heeled_at_volume(hull, volume, heel_deg, draught_m)
        apex_depth = float(planes.height_m(np.array([0.5 * hull.length_bp_m]))[0, 0])
    return planes, found


def _pyramid_section(x: float, stretch: int, angles: Array, radius: float, depth: float) -> Contour:
    """Edges met between rim corners `stretch` and `stretch + 1` (counted from abeam), then the rim itself."""
    count = len(angles) - 1 - stretch
    met = angles[:count]
    y, z = x * np.tan(met), np.minimum(x * depth / radius / np.cos(met), depth)
    inner, outer = angles[count - 1], angles[count]
    share = (radius * np.cos(inner) - x) / (radius * (np.cos(inner) - np.cos(outer)))
    rim = radius * (np.sin(inner) + share * (np.sin(outer) - np.sin(inner)))
    return [*zip(y.tolist(), z.tolist(), strict=True), (float(rim), depth)]


def plane_at_volume(hull: Hull, volume_m3: float, start: Planes) -> Planes:
    """The plane of the same slopes that cuts off a volume, by Newton's method on its height."""
    planes = start
    for _ in range(60):
        found = hydrostatics(hull, planes)
        step = (volume_m3 - found.volume_m3) / found.waterplane_area_m2
        planes = replace(planes, t0_m=planes.t0_m + step)
        if np.max(np.abs(step)) < 1e-12:
            return planes
    raise AssertionError("no plane cuts off this volume")


def heeled_at_volume(hull: Hull, volume_m3: float, heel_deg: float, draught_m: float) -> tuple[Planes, Hydrostatics]:
    """The hull heeled at constant volume without trim, and its hydrostatics."""
    planes = plane_at_volume(hull, volume_m3, Planes.of(hull.length_bp_m, draught_m, heel_deg=heel_deg))
    return planes, hydrostatics(hull, planes)


def extrapolated(measure: Callable[[int], Array], count: int) -> Array:
    """What a measure on polygons of ever more corners tends to: its error is a series in 1/n² (Richardson)."""
    coarse, middle, fine = (measure(count * k) for k in (1, 2, 4))
    first, second = (4.0 * middle - coarse) / 3.0, (4.0 * fine - middle) / 3.0
    return np.asarray((16.0 * second - first) / 15.0)
