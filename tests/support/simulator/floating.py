"""Full equilibrium afloat: draught, trim and heel together, with every liquid level with the sea.

With the water plane z = T0 + sx·x + sy·y the vertical is the direction (−sx, −sy, 1). The weight of the ship and the
buoyancy act along one line when G − B is parallel to it:

    (x_G − x_B) + sx·(z_G − z_B) = 0,   (y_G − y_B) + sy·(z_G − z_B) = 0,   density·volume = mass.

Newton's method on (T0, sx, sy) with exact derivatives.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .clipping import Cut, Plane, cut_below
from .liquids import Liquid
from .mesh import Mesh

Array = NDArray[np.float64]

RESIDUAL_TOLERANCE = 1e-12
"""Largest residual accepted, of the mass and of the moments, relative to mass and to mass × length."""

STEP_TOLERANCE = 1e-11
"""Largest further step of Newton's method left undone [m, and of the slopes]."""


@dataclass(frozen=True, eq=False)
class Buoyancy:
    """A solid in water.

    Parameters
    ----------
    mesh : Mesh
        The moulded surface.
    density_t_per_m3 : float
        Of the water.
    shell_allowance_relative : float
        By how much the displaced volume exceeds the moulded one.
    appendage_moments : ndarray
        Constant volume and first moments (V, Vx, Vy, Vz) outside the stations [m³, m⁴], shape (4,).
    """

    mesh: Mesh
    density_t_per_m3: float
    shell_allowance_relative: float = 0.0
    appendage_moments: Array = field(default_factory=lambda: np.zeros(4))

    def cut(self, plane: Plane) -> Cut:
        moulded = cut_below(self.mesh, plane)
        scale = 1.0 + self.shell_allowance_relative
        return Cut(
            scale * moulded.volume_m3 + float(self.appendage_moments[0]),
            scale * moulded.moments_m4 + self.appendage_moments[1:],
            scale * moulded.lid_m4,
        )


@dataclass(frozen=True, eq=False)
class Load:
    """What the water carries: solid masses as one sum, and liquids.

    Parameters
    ----------
    solid_mass_t : float
        Sum of everything that does not move.
    solid_moments_t_m : ndarray
        Its moments (x, y, z), shape (3,).
    liquids : sequence of Liquid
        Tank contents.
    """

    solid_mass_t: float
    solid_moments_t_m: Array
    liquids: Sequence[Liquid] = ()

    @property
    def mass_t(self) -> float:
        return self.solid_mass_t + sum(liquid.mass_t for liquid in self.liquids)

    def moments_t_m(self, slope_x: float, slope_y: float) -> tuple[Array, Array]:
        moments, derivatives = self.solid_moments_t_m.copy(), np.zeros((3, 2))
        for liquid in self.liquids:
            moment, derivative = liquid.moments_t_m(slope_x, slope_y)
            moments += moment
            derivatives += derivative
        return moments, derivatives

    @classmethod
    def of_points(cls, masses_t: ArrayLike, points_m: ArrayLike, liquids: Sequence[Liquid] = ()) -> Load:
        masses, points = np.asarray(masses_t, float), np.asarray(points_m, float)
        return cls(float(masses.sum()), masses @ points, liquids)


@dataclass(frozen=True, eq=False)
class Afloat:
    """The answer: the plane, what is under it, and the stiffness there.

    Parameters
    ----------
    plane : Plane
        The water surface in ship axes.
    cut : Cut
        The immersed part.
    residuals : ndarray
        Mass and moments out of balance, relative to mass and to mass × length, shape (3,).
    gm_fluid_m : float
        Slope of the righting lever with tan(heel), liquids moving and the ship free to sink and trim [m].
    """

    plane: Plane
    cut: Cut
    residuals: Array
    gm_fluid_m: float

    @property
    def heel_deg(self) -> float:
        return float(np.degrees(np.arctan(self.plane.slope_y)))


def float_freely(buoyancy: Buoyancy, load: Load, start: Plane) -> Afloat:
    """Let a ship find its equilibrium from a starting plane."""
    vertices = buoyancy.mesh.vertices_m
    length = float(np.ptp(vertices[:, 0]))
    limits = np.array([0.1 * float(np.ptp(vertices[:, 2])), 0.05, 0.1])
    scale = load.mass_t * np.array([1.0, length, length])
    unknowns = start.vector
    for _ in range(60):
        plane = Plane(*(float(value) for value in unknowns))
        cut, residual, jacobian = _balance(buoyancy, load, plane)
        relative = residual / scale
        step = -np.linalg.solve(jacobian, residual)
        if np.max(np.abs(relative)) < RESIDUAL_TOLERANCE and np.max(np.abs(step)) < STEP_TOLERANCE:
            return Afloat(plane, cut, relative, _stiffness(jacobian) / load.mass_t)
        unknowns = unknowns + step / max(1.0, float(np.max(np.abs(step) / limits)))
    raise RuntimeError(f"no equilibrium found from {start}: relative residuals {relative}")


def _balance(buoyancy: Buoyancy, load: Load, plane: Plane) -> tuple[Cut, Array, Array]:
    cut = buoyancy.cut(plane)
    weight, weight_by_slope = load.moments_t_m(plane.slope_x, plane.slope_y)
    net = buoyancy.density_t_per_m3 * cut.moments_m4 - weight
    by_plane = buoyancy.density_t_per_m3 * cut.moment_derivatives(plane)
    by_plane[:, 1:] -= weight_by_slope
    slopes = plane.vector[1:]
    residual = np.array([buoyancy.density_t_per_m3 * cut.volume_m3 - load.mass_t, *(net[:2] + slopes * net[2])])
    jacobian = np.empty((3, 3))
    jacobian[0] = buoyancy.density_t_per_m3 * cut.lid_m4[0]
    jacobian[1:] = by_plane[:2] + np.outer(slopes, by_plane[2])
    jacobian[1, 1] += net[2]
    jacobian[2, 2] += net[2]
    return cut, residual, jacobian


def _stiffness(jacobian: Array) -> float:
    """Transverse stiffness with sinkage and trim left free (the Schur complement)."""
    held = jacobian[:2, :2]
    return float(jacobian[2, 2] - jacobian[2, :2] @ np.linalg.solve(held, jacobian[:2, 2]))
