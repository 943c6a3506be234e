"""The day of the test: the ship floated in every state, and what eyes and instruments would have read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .clipping import Plane
from .floating import Afloat, Buoyancy, Load, float_freely
from .forms import HullShape
from .liquids import Liquid, sounding_rows
from .loading import Ship, Thing
from .mesh import bend

Array = NDArray[np.float64]

DECIMALS = 6


@dataclass(frozen=True)
class Instrument:
    """A pendulum, U-tube or inclinometer with the arbitrary zero it was given (a tangent, or degrees)."""

    id: str
    kind: str
    length_m: float | None
    zero: float

    def reading(self, slope_y: float) -> dict[str, float]:
        """What it shows at a heel whose tangent is slope_y."""
        if self.length_m is None:
            return {"value_deg": round(float(np.degrees(np.arctan(slope_y))) - self.zero, DECIMALS)}
        return {"value_mm": round(1000.0 * self.length_m * (slope_y - self.zero), DECIMALS)}

    def document(self) -> dict[str, Any]:
        length = {} if self.length_m is None else {"length_m": self.length_m}
        return {"id": self.id, "kind": self.kind, **length}


@dataclass(frozen=True, eq=False)
class Mark:
    """A draught mark on the undeformed hull."""

    name: str
    x_m: float
    y_m: float
    zero_z_m: float


@dataclass(frozen=True, eq=False)
class TestDay:
    """A ship, the side every weight stood on in each state, and how it floated there."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    ship: Ship
    spots: Sequence[Sequence[str]]
    afloat: Sequence[Afloat]
    hog_m: float
    marks: Sequence[Mark]
    instruments: Sequence[Instrument]

    @property
    def initial(self) -> Plane:
        return self.afloat[0].plane


def lift_sequence(home: Sequence[str], rng: np.random.Generator) -> list[list[str]]:
    """One weight a lift: the port ones across and back in any order, then the starboard ones likewise."""
    states = [list(home)]
    for side in ("port", "starboard"):
        movers = [index for index, spot in enumerate(home) if spot == side]
        for target in ("starboard" if side == "port" else "port", side):
            for index in rng.permutation(movers):
                states.append([target if k == index else spot for k, spot in enumerate(states[-1])])
    return states


def float_states(ship: Ship, spots: Sequence[Sequence[str]], hog_m: float) -> list[Afloat]:
    """Float the ship in every state, each started from the one before."""
    length = ship.shape.length_bp_m
    buoyancy = Buoyancy(ship.mesh.bent(hog_m, length), ship.density_t_per_m3)
    liquids = [liquid.bent(hog_m, length) for liquid in ship.liquids]
    plane = Plane(ship.shape.draught_m + 2.0 / 3.0 * hog_m)
    found: list[Afloat] = []
    for places in spots:
        masses = ship.masses(places).bent(hog_m, length)
        found.append(float_freely(buoyancy, Load.of_points(masses.masses_t, masses.points_m, liquids), plane))
        plane = found[-1].plane
    return found


def draw_marks(shape: HullShape, rng: np.random.Generator) -> list[Mark]:
    """Six marks, none on a perpendicular or on the centreline, none zeroed exactly at the baseline."""
    marks = []
    for where, position, half in (("aft", 0.04, 0.2), ("midship", 0.5, 0.84), ("forward", 0.95, 0.15)):
        x = round((position + rng.uniform(-0.015, 0.015)) * shape.length_bp_m, 3)
        zero = round(rng.uniform(-0.02, 0.0), 3)
        y = round(half * shape.breadth_m / 2, 3)
        marks += [Mark(f"{where} port", x, -y, zero), Mark(f"{where} starboard", x, y, zero)]
    return marks


def draw_instruments(kinds: Sequence[str], shape: HullShape, rng: np.random.Generator) -> list[Instrument]:
    """Instruments of different lengths, each with a zero mark of its own."""
    instruments = []
    for number, kind in enumerate(kinds, start=1):
        zero = float(rng.uniform(-0.008, 0.008))
        if kind == "inclinometer":
            instruments.append(Instrument(f"I{number}", kind, None, float(np.degrees(zero))))
            continue
        span = 0.6 * shape.breadth_m if kind == "u-tube" else min(0.75 * shape.depth_m, 5.0) * (1.0 - 0.09 * number)
        length = round(span * rng.uniform(0.96, 1.0), 3)
        instruments.append(Instrument(f"{kind[0].upper()}{number}", kind, length, zero))
    return instruments


def record_of(day: TestDay, stations: int, coarse: int, tank_geometry: bool) -> dict[str, Any]:
    """The day without measurement error, as a test record."""
    ship = day.ship
    return {
        "vessel": _vessel(day, stations, coarse, tank_geometry),
        "test": {"date": "2024-05-14", "location": "Fitting-out basin"},
        "water": {"samples": _samples(ship)},
        "draughts": [{"mark": mark.name, "reading_m": _draught(day, mark)} for mark in day.marks],
        "soundings": [_sounding(day, liquid) for liquid in ship.liquids],
        "items": [_item(thing) for thing in ship.things if thing.kind != "person"],
        "persons": [_person(thing) for thing in ship.things if thing.kind == "person"],
        "inclining_weights": [{"id": weight.id, "mass_t": weight.mass_t} for weight in ship.weights],
        "states": [_state(ship, number, places) for number, places in enumerate(day.spots)],
        "instruments": [instrument.document() for instrument in day.instruments],
        "readings": [
            {"state": number, "instrument": instrument.id, **instrument.reading(afloat.plane.slope_y)}
            for number, afloat in enumerate(day.afloat)
            for instrument in day.instruments
        ],
    }


def _vessel(day: TestDay, stations: int, coarse: int, tank_geometry: bool) -> dict[str, Any]:
    shape = day.ship.shape
    return {
        "name": "Simulated vessel",
        "length_bp_m": shape.length_bp_m,
        "breadth_m": shape.breadth_m,
        "depth_m": shape.depth_m,
        "hull": shape.document(stations, coarse),
        "marks": [vars(mark) for mark in day.marks],
        "tanks": [_tank(liquid, tank_geometry) for liquid in day.ship.liquids],
    }


def _tank(liquid: Liquid, with_geometry: bool) -> dict[str, Any]:
    tank = liquid.tank
    x, y, zero = (float(value) for value in tank.pipe_m)
    rows = [{key: round(value, DECIMALS) for key, value in row.items()} for row in sounding_rows(tank)]
    document = {
        "name": tank.name,
        "contents": tank.contents,
        "capacity_m3": round(tank.shape.volume_m3, DECIMALS),
        "pipe": {"x_m": x, "y_m": y, "zero_z_m": zero},
        "table": rows,
    }
    return {**document, "geometry": {"stations": _tank_stations(liquid)}} if with_geometry else document


def _tank_stations(liquid: Liquid) -> list[dict[str, Any]]:
    """The tank's rings, at their true y, each closing on itself."""
    vertices = np.round(liquid.tank.shape.vertices_m, DECIMALS)
    places = np.unique(vertices[:, 0])
    return [{"x_m": float(x), "contour_m": vertices[vertices[:, 0] == x, 1:].tolist()} for x in places]


def _samples(ship: Ship) -> list[dict[str, float]]:
    depths = (0.5, ship.shape.draught_m / 2, ship.shape.draught_m)
    return [{"density_t_per_m3": ship.density_t_per_m3, "depth_m": round(depth, 3)} for depth in depths]


def _draught(day: TestDay, mark: Mark) -> float:
    lift = day.hog_m * float(bend(mark.x_m, day.ship.shape.length_bp_m))
    return round(day.initial.z_m(mark.x_m, mark.y_m) - mark.zero_z_m - lift, DECIMALS)


def _sounding(day: TestDay, liquid: Liquid) -> dict[str, Any]:
    seen = liquid if liquid.state == "pressed" else liquid.bent(day.hog_m, day.ship.shape.length_bp_m)
    sounding = seen.sounding_m(day.initial.slope_x, day.initial.slope_y)
    return {
        "tank": liquid.tank.name,
        "state": liquid.state,
        "sounding_m": round(sounding, DECIMALS),
        "density_t_per_m3": liquid.density_t_per_m3,
    }


def _placed(thing: Thing) -> dict[str, float]:
    x, y, z = (float(value) for value in thing.point_m)
    return {"mass_t": thing.mass_t, "x_m": x, "y_m": y, "z_m": z}


def _item(thing: Thing) -> dict[str, Any]:
    item = {"description": thing.description, "kind": thing.kind, **_placed(thing)}
    if thing.home_m is None:
        return item
    x, y, z = (float(value) for value in thing.home_m)
    return {**item, "to_x_m": x, "to_y_m": y, "to_z_m": z}


def _person(thing: Thing) -> dict[str, Any]:
    return {"name": thing.description, **_placed(thing)}


def _state(ship: Ship, number: int, places: Sequence[str]) -> dict[str, Any]:
    spots = {
        weight.id: [float(v) for v in (weight.port_m if place == "port" else weight.starboard_m)]
        for weight, place in zip(ship.weights, places, strict=True)
    }
    return {"number": number, "positions": spots}
