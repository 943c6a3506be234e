"""What a ship carries on the day: tanks, items, persons and inclining weights, and the lightship that balances them."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .clipping import Cut, Plane
from .floating import Buoyancy, Load
from .forms import HullShape
from .liquids import Liquid, Tank
from .mesh import Mesh, bend, box_mesh, lofted

Array = NDArray[np.float64]

CONTENTS = (("FO", 0.86), ("FW", 1.0), ("WB", 1.025))


@dataclass(frozen=True, eq=False)
class Thing:
    """A mass with a place and, for what is misplaced, its home; the kinds are those of the record and 'person'."""

    description: str
    kind: str
    mass_t: float
    point_m: Array
    home_m: Array | None = None


@dataclass(frozen=True, eq=False)
class Weight:
    """An inclining weight with its spot on either side."""

    id: str
    mass_t: float
    port_m: Array
    starboard_m: Array
    home: str


@dataclass(frozen=True, eq=False)
class Masses:
    """Point masses aboard: lightship first; signed, so that what is missing counts negative."""

    masses_t: Array
    points_m: Array
    lightship_spread_m: float

    def bent(self, hog_m: float, length_bp_m: float) -> Masses:
        """Masses carried up by the hogged hull; the lightship is spread along the length, all else is a point."""
        lift = hog_m * bend(self.points_m[:, 0], length_bp_m)
        lift[0] -= hog_m * (2.0 * self.lightship_spread_m / length_bp_m) ** 2
        points = self.points_m.copy()
        points[:, 2] += lift
        return replace(self, points_m=points)


@dataclass(frozen=True, eq=False)
class Ship:
    """A ship ready for its test: everything in the axes of the undeformed hull.

    Parameters
    ----------
    shape : HullShape
        The hull.
    mesh : Mesh
        Its fine surface.
    density_t_per_m3 : float
        Of the water.
    lightship_t, lightship_m : float, ndarray
        Mass and centre of the lightship.
    things, weights, liquids : sequences
        What else is aboard, or is not.
    lightship_spread_m : float
        Radius of gyration of the lightship along the length: it matters only to how a hog carries it.
    """

    shape: HullShape
    mesh: Mesh
    density_t_per_m3: float
    lightship_t: float
    lightship_m: Array
    things: Sequence[Thing]
    weights: Sequence[Weight]
    liquids: Sequence[Liquid]
    lightship_spread_m: float

    def masses(self, spots: Sequence[str]) -> Masses:
        """Solid masses with every weight on the side named for it."""
        masses, points = [self.lightship_t], [self.lightship_m]
        for thing in self.things:
            sign = -1.0 if thing.kind == "missing" else 1.0
            masses.append(sign * thing.mass_t)
            points.append(thing.point_m)
            if thing.home_m is not None:
                masses.append(-thing.mass_t)
                points.append(thing.home_m)
        for weight, spot in zip(self.weights, spots, strict=True):
            masses.append(weight.mass_t)
            points.append(weight.port_m if spot == "port" else weight.starboard_m)
        return Masses(np.array(masses), np.array(points), self.lightship_spread_m)

    @property
    def home_spots(self) -> list[str]:
        return [weight.home for weight in self.weights]


def draw_tanks(shape: HullShape, rng: np.random.Generator) -> list[Liquid]:
    """Two or three pairs of tanks: boxes, prisms with a sloped side, and tanks shaped like a piece of hull."""
    pairs = int(rng.integers(2, 4))
    makers = [_box_tank, _sloped_tank, _curved_tank][:pairs]
    liquids = []
    for pair, maker in enumerate(makers):
        label, density = CONTENTS[pair]
        middle = (0.3 + 0.12 * pair + rng.uniform(0.0, 0.02)) * shape.length_bp_m
        low, high = _tank_room(shape, middle, rng)
        for side, letter in ((-1.0, "P"), (1.0, "S")):
            tank = _piped(f"{label} {pair + 1}{letter}", label, maker(low, high), side, rng)
            liquids.append(Liquid(tank, _volume_drawn(tank, pair, side, rng), density))
    return liquids


def _tank_room(shape: HullShape, middle_m: float, rng: np.random.Generator) -> tuple[Array, Array]:
    half_length = rng.uniform(0.025, 0.04) * shape.length_bp_m
    half_breadth = 0.5 * rng.uniform(0.6, 0.95) * shape.tank_breadth_m
    bottom = rng.uniform(0.05, 0.09) * shape.depth_m
    height = rng.uniform(0.13, 0.2) * shape.depth_m
    low = np.array([middle_m - half_length, shape.tank_y_m - half_breadth, bottom])
    high = np.array([middle_m + half_length, shape.tank_y_m + half_breadth, bottom + height])
    return np.round(low, 3), np.round(high, 3)


def _box_tank(low: Array, high: Array) -> Mesh:
    return box_mesh(low, high)


def _sloped_tank(low: Array, high: Array) -> Mesh:
    inset = 0.3 * (high[1] - low[1])
    ring = [[low[1], low[2]], [high[1] - inset, low[2]], [high[1], high[2]], [low[1], high[2]]]
    return lofted([low[0], high[0]], [ring, ring], closed=True)


def _curved_tank(low: Array, high: Array) -> Mesh:
    x = np.linspace(low[0], high[0], 7)
    turn = np.linspace(0.0, np.pi / 2, 9)
    breadth, height = high[1] - low[1], high[2] - low[2]
    rings = []
    for share in np.linspace(0.0, 1.0, 7):
        width = breadth * (1.0 - 0.3 * share**2)
        bilge = np.column_stack([np.sin(turn) ** 0.7 * width + low[1], low[2] + height * 0.8 * (1.0 - np.cos(turn))])
        corners = [[low[1] + width, high[2]], [low[1], high[2]]]
        rings.append(np.concatenate([bilge, corners]))
    return lofted(x, rings, closed=True)


def _piped(name: str, contents: str, shape: Mesh, side: float, rng: np.random.Generator) -> Tank:
    mesh = shape if side > 0.0 else shape.mirrored()
    low, high = mesh.vertices_m.min(axis=0), mesh.vertices_m.max(axis=0)
    middle, span = (low + high) / 2, high - low
    pipe = np.append(np.round(middle[:2] + rng.uniform(-0.35, 0.35, 2) * span[:2], 3), round(float(low[2]), 3))
    return Tank(name, mesh, pipe, contents)


def _volume_drawn(tank: Tank, pair: int, side: float, rng: np.random.Generator) -> float:
    """The first pair and half of the second are slack, the third is pressed to port and empty to starboard."""
    share = rng.uniform(0.4, 0.65)
    slack = pair == 0 or (pair == 1 and side < 0.0)
    if slack:
        return tank.shape.volume_m3 * share
    return tank.shape.volume_m3 if pair == 2 and side < 0.0 else 0.0


def draw_things(shape: HullShape, displacement_t: float, rng: np.random.Generator) -> list[Thing]:
    """Surplus stores, things not yet fitted, one thing out of place, and the people."""
    things = []
    for name, low in (("Stores in the forepeak", 0.9), ("Spares in the engine room", 0.22), ("Scaffolding", 0.6)):
        things.append(Thing(name, "surplus", *_drawn_mass(shape, displacement_t, low, rng)))
    for name, low in (("Davit not yet fitted", 0.35), ("Lifeboat not yet aboard", 0.25)):
        things.append(Thing(name, "missing", *_drawn_mass(shape, displacement_t, low, rng)))
    mass, point = _drawn_mass(shape, displacement_t, 0.1, rng)
    things.append(Thing("Hatch cover stowed aft", "misplaced", mass, point, _drawn_mass(shape, 1.0, 0.45, rng)[1]))
    for number in range(int(rng.integers(3, 7))):
        place = _drawn_mass(shape, 1.0, 0.5, rng)[1]
        things.append(Thing(f"Person {number + 1}", "person", round(rng.uniform(0.065, 0.1), 3), place))
    return things


def _drawn_mass(
    shape: HullShape, displacement_t: float, position: float, rng: np.random.Generator
) -> tuple[float, Array]:
    mass = round(displacement_t * rng.uniform(0.0008, 0.004), 3)
    x = (position + rng.uniform(-0.03, 0.03)) * shape.length_bp_m
    y = rng.uniform(-0.25, 0.25) * shape.breadth_m
    return mass, np.round([x, y, rng.uniform(0.3, 1.15) * shape.depth_m], 3)


def draw_weights(
    shape: HullShape, count: int, total_t: float, height_change_m: float, rng: np.random.Generator
) -> list[Weight]:
    """Weights of slightly different mass, every other one at home to port, each with its own place along the deck."""
    weights = []
    for index in range(count):
        mass = round(total_t / count * (1.0 + rng.uniform(-0.006, 0.006)), 3)
        x = (0.42 + 0.03 * index) * shape.length_bp_m
        y_port, y_starboard = shape.weight_y_m * (1.0 + rng.uniform(-0.01, 0.01, 2))
        z = shape.depth_m + 0.5
        port = np.round([x, -y_port, z], 3)
        starboard = np.round([x, y_starboard, z + height_change_m], 3)
        home = "port" if index % 2 == 0 else "starboard"
        weights.append(Weight(string.ascii_uppercase[index], mass, port, starboard, home))
    return weights


def weights_total_t(displacement_t: float, gm_m: float, heel_deg: float, shape: HullShape) -> float:
    """Mass of all weights so that the half moved from one side to the other heels the ship by an angle."""
    moment = displacement_t * gm_m * float(np.tan(np.radians(heel_deg)))
    total = 2.0 * moment / (2.0 * shape.weight_y_m)
    return min(total, shape.most_weight_relative * displacement_t)


def draw_ship(shape: HullShape, mesh: Mesh, weights: int, height_change_m: float, rng: np.random.Generator) -> Ship:
    """Load a hull so that it floats near its draught with a small trim and list and a sensible stability."""
    density = round(rng.uniform(1.005, 1.027), 4)
    slope_x = rng.uniform(-0.008, 0.006)
    list_tangent = float(np.tan(np.radians(rng.uniform(-0.35, 0.35))))
    plane = Plane(shape.draught_m - slope_x * shape.length_bp_m / 2, slope_x, list_tangent)
    cut = Buoyancy(mesh, density).cut(plane)
    displacement = density * cut.volume_m3
    liquids = draw_tanks(shape, rng)
    things = draw_things(shape, displacement, rng)
    kg, gm = _stability(shape, cut, rng)
    total = weights_total_t(displacement, gm, rng.uniform(2.0, 3.1), shape)
    placed = draw_weights(shape, weights, total, height_change_m, rng)
    spread = 0.27 * shape.length_bp_m
    bare = Ship(shape, mesh, density, 0.0, np.zeros(3), things, placed, liquids, spread)
    mass, centre = _balancing(bare, plane, cut, kg)
    return replace(bare, lightship_t=mass, lightship_m=centre)


def _stability(shape: HullShape, cut: Cut, rng: np.random.Generator) -> tuple[float, float]:
    """KG and GM of the loaded ship: a share of the depth, lower where that would leave too little GM."""
    km = float(cut.centroid_m[2] + cut.second_moments_m4[1, 1] / cut.volume_m3)
    kg = min(rng.uniform(0.6, 0.9) * shape.depth_m, km - rng.uniform(0.05, 0.12) * shape.breadth_m)
    return kg, km - kg


def _balancing(bare: Ship, plane: Plane, cut: Cut, kg: float) -> tuple[float, Array]:
    """The lightship with which the ship floats at the plane, with its centre of gravity (liquids level) at kg."""
    rest = bare.masses(bare.home_spots)
    load = Load.of_points(rest.masses_t, rest.points_m, bare.liquids)
    mass = round(bare.density_t_per_m3 * cut.volume_m3 - load.mass_t, 6)
    whole = load.mass_t + mass
    level, moved = load.moments_t_m(0.0, 0.0)[0], load.moments_t_m(plane.slope_x, plane.slope_y)[0]
    z = (whole * kg - level[2]) / mass
    lever = (mass * z + moved[2]) / whole - cut.centroid_m[2]
    wanted = cut.centroid_m[:2] - plane.vector[1:] * lever
    x, y = (whole * wanted - moved[:2]) / mass
    return mass, np.round([x, y, z], 6)
