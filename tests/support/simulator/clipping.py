"""The part of a closed surface under a plane, exactly, by the divergence theorem.

Every triangle is cut by the plane and each wet piece spans a tetrahedron with one point of the plane: the lid, which
lies in the plane, spans none, so it need not be built. The lid's own integrals come from the cut edges by Green's
theorem. Nothing is sampled and no triangle is approximated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .mesh import Mesh

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
CutCorners = tuple[Array, Array, Array, Array, Flags]


@dataclass(frozen=True)
class Plane:
    """The surface z = height + slope_x·x + slope_y·y in ship axes [m, -, -]."""

    height_m: float
    slope_x: float = 0.0
    slope_y: float = 0.0

    @property
    def vector(self) -> Array:
        return np.array([self.height_m, self.slope_x, self.slope_y])

    def z_m(self, x_m: float, y_m: float) -> float:
        return self.height_m + self.slope_x * x_m + self.slope_y * y_m


@dataclass(frozen=True)
class Cut:
    """What lies under a plane.

    Parameters
    ----------
    volume_m3 : float
        Volume under the plane.
    moments_m4 : ndarray
        Its first moments (x, y, z) about the origin, shape (3,).
    lid_m4 : ndarray
        Integrals over the lid, projected on the x-y plane, of the products of (1, x, y): ∫ p pᵀ dA with p = (1, x, y),
        shape (3, 3), so that the derivative of the volume by (height, slope_x, slope_y) is its first row.
    """

    volume_m3: float
    moments_m4: Array
    lid_m4: Array

    @property
    def centroid_m(self) -> Array:
        return self.moments_m4 / self.volume_m3

    @property
    def area_m2(self) -> float:
        return float(self.lid_m4[0, 0])

    @property
    def lid_centroid_m(self) -> Array:
        return np.asarray(self.lid_m4[0, 1:] / self.lid_m4[0, 0])

    @property
    def second_moments_m4(self) -> Array:
        """Second moments of the lid about its centroid: [[∫x², ∫xy], [∫xy, ∫y²]]."""
        first = self.lid_m4[0, 1:]
        return self.lid_m4[1:, 1:] - np.outer(first, first) / self.area_m2

    def moment_derivatives(self, plane: Plane) -> Array:
        """Derivatives of the moments (rows x, y, z) by the plane's (height, slope_x, slope_y), shape (3, 3)."""
        height_row = plane.vector @ self.lid_m4
        return np.stack([self.lid_m4[1], self.lid_m4[2], height_row])


def cut_below(mesh: Mesh, plane: Plane) -> Cut:
    """Integrate over the part of a closed mesh under a plane."""
    apex = np.array([0.0, 0.0, plane.height_m])
    whole, (lone, first, second, volumes, wet) = _pieces(mesh, plane, apex)
    volume = float(whole.sum() + volumes.sum())
    sums = whole @ mesh.corner_sums_m + volumes @ (lone + first + second)
    lid = _lid_integrals(np.where(wet, second, first), np.where(wet, first, second))
    return Cut(volume, (sums + volume * apex) / 4.0, lid)


def x_squared_below_m5(mesh: Mesh, plane: Plane) -> float:
    """Integral of x² over the part of a closed mesh under a plane; the apex of every tetrahedron is at x = 0."""
    apex = np.array([0.0, 0.0, plane.height_m])
    whole, (lone, first, second, volumes, _) = _pieces(mesh, plane, apex)
    full = mesh.corners_m[:, :, 0]
    parts = np.stack([lone[:, 0], first[:, 0], second[:, 0]], axis=1)
    squares = [(x.sum(axis=1) ** 2 + (x**2).sum(axis=1)) / 20.0 for x in (full, parts)]
    return float(whole @ squares[0] + volumes @ squares[1])


def _pieces(mesh: Mesh, plane: Plane, apex: Array) -> tuple[Array, CutCorners]:
    """Signed tetrahedra over a point of the plane: of whole triangles, and of corners cut off the straddling ones."""
    heights = mesh.vertices_m @ np.array([-plane.slope_x, -plane.slope_y, 1.0]) - plane.height_m
    corner_heights = heights[mesh.triangles]
    below = corner_heights < 0.0
    wet_corners = below.sum(axis=1)
    whole = np.where(wet_corners >= 2, mesh.determinants_m3 - mesh.double_areas_m2 @ apex, 0.0) / 6.0
    lone, first, second, wet = _cut_corners(mesh, corner_heights, below, wet_corners)
    volumes = np.einsum("ij,ij->i", lone - apex, np.cross(first - apex, second - apex)) / 6.0
    return whole, (lone, first, second, np.where(wet[:, 0], volumes, -volumes), wet)


def _cut_corners(
    mesh: Mesh, heights: Array, below: Flags, wet_corners: NDArray[np.intp]
) -> tuple[Array, Array, Array, Flags]:
    """The corner cut off each straddling triangle, and whether it is the wet part of it, shape (k, 1)."""
    straddling = np.flatnonzero((wet_corners == 1) | (wet_corners == 2))
    one_wet = wet_corners[straddling] == 1
    lone = np.argmax(below[straddling] == one_wet[:, None], axis=1)
    order = (lone[:, None] + np.arange(3)) % 3
    corners = np.take_along_axis(mesh.corners_m[straddling], order[:, :, None], axis=1)
    h = np.take_along_axis(heights[straddling], order, axis=1)
    along = h[:, :1] / (h[:, :1] - h[:, 1:])
    tip = corners[:, 0]
    first = tip + along[:, :1] * (corners[:, 1] - tip)
    second = tip + along[:, 1:] * (corners[:, 2] - tip)
    return tip, first, second, one_wet[:, None]


def _lid_integrals(start: Array, end: Array) -> Array:
    x0, y0, x1, y1 = start[:, 0], start[:, 1], end[:, 0], end[:, 1]
    cross = x0 * y1 - x1 * y0
    area = cross.sum() / 2.0
    x = cross @ (x0 + x1) / 6.0
    y = cross @ (y0 + y1) / 6.0
    xx = cross @ (x0 * x0 + x0 * x1 + x1 * x1) / 12.0
    yy = cross @ (y0 * y0 + y0 * y1 + y1 * y1) / 12.0
    xy = cross @ (2.0 * x0 * y0 + 2.0 * x1 * y1 + x0 * y1 + x1 * y0) / 24.0
    return np.array([[area, x, y], [x, xx, xy], [y, xy, yy]])
