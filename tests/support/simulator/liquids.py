"""Liquids in tanks: a constant volume under a surface parallel to the sea, and what sounding tables say of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .clipping import Cut, Plane, cut_below
from .mesh import Mesh, bend

Array = NDArray[np.float64]

LEVEL_TOLERANCE_M = 1e-13


@dataclass(frozen=True, eq=False)
class Tank:
    """A tank's shape and the pipe through which it is sounded.

    Parameters
    ----------
    name : str
        The tank's name.
    shape : Mesh
        Its closed surface in ship axes.
    pipe_m : ndarray
        Place of the sounding pipe and height of its zero [m], shape (3,).
    contents : str
        What it carries.
    """

    name: str
    shape: Mesh
    pipe_m: Array
    contents: str = ""

    @cached_property
    def bottom_m(self) -> float:
        return float(self.shape.vertices_m[:, 2].min())

    @cached_property
    def top_m(self) -> float:
        return float(self.shape.vertices_m[:, 2].max())

    def bent(self, hog_m: float, length_bp_m: float) -> Tank:
        raised = self.pipe_m + np.array([0.0, 0.0, hog_m * float(bend(self.pipe_m[0], length_bp_m))])
        return replace(self, shape=self.shape.bent(hog_m, length_bp_m), pipe_m=raised)


@dataclass(frozen=True, eq=False)
class Liquid:
    """What is in a tank; volume 0 is empty, the whole capacity is pressed, anything between moves.

    Parameters
    ----------
    tank : Tank
        Where it is.
    volume_m3 : float
        How much.
    density_t_per_m3 : float
        Of what density.
    """

    tank: Tank
    volume_m3: float
    density_t_per_m3: float

    @property
    def state(self) -> str:
        if self.volume_m3 == 0.0:
            return "empty"
        return "pressed" if self.volume_m3 == self.tank.shape.volume_m3 else "slack"

    @property
    def mass_t(self) -> float:
        return self.volume_m3 * self.density_t_per_m3

    def bent(self, hog_m: float, length_bp_m: float) -> Liquid:
        """The same mass of liquid in the deformed tank; deforming keeps a tank's volume but for rounding."""
        tank = self.tank.bent(hog_m, length_bp_m)
        volume = tank.shape.volume_m3 if self.state == "pressed" else self.volume_m3
        return replace(self, tank=tank, volume_m3=volume)

    def moments_t_m(self, slope_x: float, slope_y: float) -> tuple[Array, Array]:
        """Mass moments (x, y, z) under a surface of given slopes, and their derivatives by the slopes, (3,), (3, 2)."""
        if self.state == "empty":
            return np.zeros(3), np.zeros((3, 2))
        if self.state == "pressed":
            return self.mass_t * self.tank.shape.centroid_m, np.zeros((3, 2))
        plane, cut = self.surface(slope_x, slope_y)
        by_plane = cut.moment_derivatives(plane)
        level_by_slope = -cut.lid_centroid_m
        by_slope = by_plane[:, 1:] + np.outer(by_plane[:, 0], level_by_slope)
        return self.density_t_per_m3 * cut.moments_m4, self.density_t_per_m3 * by_slope

    def surface(self, slope_x: float, slope_y: float) -> tuple[Plane, Cut]:
        """The plane of given slopes under which the liquid has its volume."""
        return level_of_volume(self.tank.shape, self.volume_m3, slope_x, slope_y)

    def sounding_m(self, slope_x: float, slope_y: float) -> float:
        """Height of the surface above the pipe's zero, at the pipe."""
        if self.state == "empty":
            return 0.0
        if self.state == "pressed":
            return self.tank.top_m - float(self.tank.pipe_m[2])
        x, y, zero = (float(v) for v in self.tank.pipe_m)
        return self.surface(slope_x, slope_y)[0].z_m(x, y) - zero


def level_of_volume(shape: Mesh, volume_m3: float, slope_x: float, slope_y: float) -> tuple[Plane, Cut]:
    """Find the plane of given slopes under which a solid holds a given volume (Newton inside a bracket)."""
    heights = shape.vertices_m @ np.array([-slope_x, -slope_y, 1.0])
    low, high = float(heights.min()), float(heights.max())
    height = low + (high - low) * volume_m3 / shape.volume_m3
    for _ in range(100):
        plane = Plane(height, slope_x, slope_y)
        cut = cut_below(shape, plane)
        excess = cut.volume_m3 - volume_m3
        low, high = (low, height) if excess > 0.0 else (height, high)
        step = -excess / cut.area_m2 if cut.area_m2 > 0.0 else high - low
        following = height + step
        if not low <= following <= high:
            following = 0.5 * (low + high)
        if abs(following - height) <= LEVEL_TOLERANCE_M * max(1.0, abs(height)):
            return plane, cut
        height = following
    raise RuntimeError(f"no level holds {volume_m3} m³ of {shape.volume_m3} m³")


def sounding_rows(tank: Tank, levels: int = 41) -> list[dict[str, float]]:
    """The tank's sounding table at a level, upright surface, second moments about the surface's centroid."""
    zero = float(tank.pipe_m[2])
    return [_sounding_row(tank, float(z), zero) for z in np.linspace(tank.bottom_m, tank.top_m, levels)]


def _sounding_row(tank: Tank, z: float, zero: float) -> dict[str, float]:
    depth = tank.top_m - tank.bottom_m
    inside = float(np.clip(z, tank.bottom_m + 1e-6 * depth, tank.top_m - 1e-6 * depth))
    cut = cut_below(tank.shape, Plane(inside))
    second = cut.second_moments_m4
    centre = tank.shape.centroid_m if z >= tank.top_m else cut.centroid_m
    volume = 0.0 if z <= tank.bottom_m else tank.shape.volume_m3 if z >= tank.top_m else cut.volume_m3
    return {
        "sounding_m": z - zero,
        "volume_m3": volume,
        "x_m": float(centre[0]),
        "y_m": float(centre[1]),
        "z_m": float(centre[2]),
        "i_t_m4": float(second[1, 1]),
        "i_l_m4": float(second[0, 0]),
    }
