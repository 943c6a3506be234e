"""Closed surfaces of triangles, built from stations by straight lines between corresponding contour points."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles turned outwards; the surface is closed when the mesh stands for a solid.

    Parameters
    ----------
    vertices_m : ndarray
        Corner positions [m], shape (n, 3).
    triangles : ndarray of int
        Corner indices, counter-clockwise seen from outside, shape (m, 3).
    """

    vertices_m: Array
    triangles: Indices

    @cached_property
    def corners_m(self) -> Array:
        return self.vertices_m[self.triangles]

    @cached_property
    def determinants_m3(self) -> Array:
        """Six times the volume of the tetrahedra over the origin."""
        a, b, c = np.moveaxis(self.corners_m, 1, 0)
        return np.asarray(np.einsum("ij,ij->i", a, np.cross(b, c)))

    @cached_property
    def double_areas_m2(self) -> Array:
        """Twice the vector areas of the triangles."""
        a, b, c = np.moveaxis(self.corners_m, 1, 0)
        return np.asarray(np.cross(b - a, c - a))

    @cached_property
    def corner_sums_m(self) -> Array:
        return np.asarray(self.corners_m.sum(axis=1))

    @property
    def volume_m3(self) -> float:
        return float(self.determinants_m3.sum()) / 6.0

    @property
    def centroid_m(self) -> Array:
        moments = self.determinants_m3 @ self.corner_sums_m / 24.0
        return np.asarray(moments / self.volume_m3)

    def bent(self, hog_m: float, length_bp_m: float) -> Mesh:
        """Raise every corner by hog·b(x), b = 1 amidships and 0 at the perpendiculars."""
        vertices = self.vertices_m.copy()
        vertices[:, 2] += hog_m * bend(vertices[:, 0], length_bp_m)
        return Mesh(vertices, self.triangles)

    def mirrored(self) -> Mesh:
        return Mesh(self.vertices_m * np.array([1.0, -1.0, 1.0]), self.triangles[:, ::-1])


def bend(x_m: ArrayLike, length_bp_m: float) -> Array:
    """Shape of a hogged girder: a parabola of height 1 amidships that vanishes at the perpendiculars."""
    return np.asarray(1.0 - (2.0 * np.asarray(x_m, float) / length_bp_m - 1.0) ** 2)


def joined(meshes: Sequence[Mesh]) -> Mesh:
    starts = np.cumsum([0] + [len(mesh.vertices_m) for mesh in meshes[:-1]])
    triangles = [mesh.triangles + start for mesh, start in zip(meshes, starts, strict=True)]
    return Mesh(np.concatenate([mesh.vertices_m for mesh in meshes]), np.concatenate(triangles))


def lofted(x_m: ArrayLike, rings_m: ArrayLike, closed: bool) -> Mesh:
    """Join rings of points by ruled quadrilaterals (two triangles each) and cap both ends.

    Parameters
    ----------
    x_m : array_like
        Position of every ring [m], shape (s,).
    rings_m : array_like
        Points (y, z) of every ring [m], shape (s, n, 2).
    closed : bool
        Whether the last point of a ring joins the first by a face. When not, both lie on the plane y = 0, whose missing
        face is shared with the other half of the solid.

    Returns
    -------
    Mesh
        Turned outwards.
    """
    x, rings = np.asarray(x_m, float), np.asarray(rings_m, float)
    count, width = rings.shape[:2]
    vertices = np.concatenate([np.broadcast_to(x[:, None, None], (count, width, 1)), rings], axis=2).reshape(-1, 3)
    start = np.arange(width if closed else width - 1)
    follow = (start + 1) % width
    base = (np.arange(count - 1) * width)[:, None]
    low, low_next = base + start, base + follow
    faces = [
        np.stack([low, low_next + width, low + width], axis=-1).reshape(-1, 3),
        np.stack([low, low_next, low_next + width], axis=-1).reshape(-1, 3),
        _fan(width, 0)[:, ::-1],
        _fan(width, (count - 1) * width),
    ]
    return _outwards(Mesh(vertices, np.concatenate(faces)))


def hull_mesh(
    x_m: ArrayLike, starboard_m: ArrayLike, port_m: ArrayLike | None = None, closed_contours: bool = False
) -> Mesh:
    """Close a hull: the deck by level lines from the deck edge to the centreline, the ends by flat caps.

    Parameters
    ----------
    x_m : array_like
        Stations [m], in order, a step along the hull given as two stations at the same place, shape (s,).
    starboard_m : array_like
        Contour points (y, z) [m] from keel to deck edge, or once around for closed contours, shape (s, n, 2).
    port_m : array_like, optional
        The port contours with y negative; absent, the starboard ones are mirrored.
    closed_contours : bool
        Whether each contour closes on itself (a demihull) instead of along deck and centreline.
    """
    starboard = _half(x_m, np.asarray(starboard_m, float), closed_contours)
    if port_m is None:
        return joined([starboard, starboard.mirrored()])
    mirror = np.array([-1.0, 1.0])
    port = _half(x_m, np.asarray(port_m, float) * mirror, closed_contours).mirrored()
    return joined([starboard, port])


def mesh_from_document(hull: Mapping[str, Any]) -> Mesh:
    """Mesh the stations of a hull document whose contours all have the same number of points."""
    stations = hull["stations"]
    starboard = [station["contour_m"] for station in stations]
    if len({len(contour) for contour in starboard}) > 1:
        raise ValueError("the contours have different numbers of points; only equal ones can be joined one by one")
    port = [station["port_contour_m"] for station in stations] if "port_contour_m" in stations[0] else None
    closed = any(contour[0][0] != 0.0 for contour in starboard)
    return hull_mesh([station["x_m"] for station in stations], starboard, port, closed)


def box_mesh(low_m: ArrayLike, high_m: ArrayLike) -> Mesh:
    """A box between two opposite corners."""
    (x0, y0, z0), (x1, y1, z1) = np.asarray(low_m, float), np.asarray(high_m, float)
    ring = [[y0, z0], [y1, z0], [y1, z1], [y0, z1]]
    return lofted([x0, x1], [ring, ring], closed=True)


def _half(x_m: ArrayLike, contours: Array, closed: bool) -> Mesh:
    if closed:
        return lofted(x_m, contours, closed=True)
    deck_centre = contours[:, -1:] * np.array([0.0, 1.0])
    return lofted(x_m, np.concatenate([contours, deck_centre], axis=1), closed=False)


def _fan(width: int, start: int) -> Indices:
    inner = np.arange(1, width - 1)
    return np.stack([np.zeros_like(inner), inner, inner + 1], axis=-1) + start


def _outwards(mesh: Mesh) -> Mesh:
    return mesh if mesh.volume_m3 >= 0.0 else Mesh(mesh.vertices_m, mesh.triangles[:, ::-1])
