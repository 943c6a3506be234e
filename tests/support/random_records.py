"""Records that hypothesis makes up: some that a ship might give, some that only a typing error would.

Every value keeps the shape that the service's schemas ask for; whether the record makes sense is for the computation
to say.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from hypothesis import strategies as st

Document = dict[str, Any]
SIX = (0.05, 0.5, 0.95)
Draw = Callable[[st.SearchStrategy[Any]], Any]


def number(low: float, high: float) -> st.SearchStrategy[float]:
    """A finite number of a range."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


@st.composite
def records(draw: Draw) -> Document:
    """A whole test record of a vessel that was drawn for it."""
    length, depth = draw(number(4.0, 250.0)), draw(number(1.0, 30.0))
    breadth = draw(number(1.0, 60.0))
    size = (length, breadth, depth)
    vessel: Document = {"length_bp_m": length, "marks": _marks(draw, size)}
    if draw(st.integers(0, 3)):
        vessel["hull"] = draw(hulls(size))
    else:
        vessel["hydrostatic_table"] = {"rows": draw(tables(size))}
    if draw(st.booleans()):
        vessel["approved_lightship"] = {"mass_t": draw(number(1.0, 1e5)), "lcg_m": length / 2, "vcg_m": depth / 2}
    vessel["tanks"] = draw(st.lists(tanks(size), max_size=3, unique_by=lambda tank: tank["name"]))
    record: Document = {"vessel": vessel, "water": _water(draw), **_floating(draw, vessel["marks"], size)}
    record["soundings"] = [_sounding(draw, tank) for tank in vessel["tanks"] if draw(st.booleans())]
    record["items"] = draw(st.lists(items(size), max_size=3))
    record["persons"] = [
        {"mass_t": draw(number(0.0, 0.3)), **_place(draw, size)} for _ in range(draw(st.integers(0, 2)))
    ]
    record["uncertainties"] = draw(uncertainties())
    if draw(st.integers(0, 7)):
        record |= _test(draw, size)
        if len(record["soundings"]) > 1 and not draw(st.integers(0, 3)):
            record["ballast_moves"] = [_ballast_move(draw, record)]
    return record


@st.composite
def hulls(draw: Draw, size: tuple[float, float, float]) -> Document:
    """A hull of smooth stations, or of any points at all."""
    length, breadth, depth = size
    if not draw(st.integers(0, 11)):
        places = draw(st.lists(number(-10.0, length), min_size=2, max_size=5))
        points = st.lists(st.tuples(number(0.0, breadth), number(-1.0, depth)).map(list), min_size=2, max_size=6)
        stations = [{"x_m": x, "contour_m": draw(points)} for x in (sorted(places) if draw(st.booleans()) else places)]
    else:
        stations = _smooth_stations(draw, size)
    hull: Document = {"stations": stations}
    if not draw(st.integers(0, 3)):
        hull["shell_allowance_relative"] = draw(number(0.0, 0.1))
        volume = draw(number(-1.0, 1.0)) * 0.01 * length * breadth * depth
        hull["appendages"] = [{"name": "one", "volume_m3": volume, **_place(draw, size)}]
    return hull


def _smooth_stations(draw: Draw, size: tuple[float, float, float]) -> list[Document]:
    """Superellipses under a plan curve, whole or as demihulls, some with a port side of their own."""
    length, breadth, depth = size
    count, points = draw(st.integers(2, 9)), draw(st.integers(3, 9))
    fullness, power = draw(number(0.3, 12.0)), draw(number(0.6, 8.0))
    flare, off = draw(number(-0.4, 0.6)), draw(st.sampled_from([0.0, 0.0, 0.3]))
    height = np.linspace(0.0, 1.0, points)
    profile = (1.0 - (1.0 - height) ** power) ** (1.0 / power) * (1.0 + flare * height)
    step = draw(st.sampled_from([None, None, count // 2]))
    stations = []
    for i, x in enumerate(np.linspace(0.0, length, count)):
        half = 0.5 * breadth * max(0.0, 1.0 - abs(2.0 * x / length - 1.0) ** fullness) * profile
        z = depth * height
        if off:
            shell = np.concatenate(
                [
                    np.column_stack([off * breadth + 0.3 * half, z])[:],
                    np.column_stack([off * breadth - 0.3 * half, z])[::-1],
                ]
            )
            station: Document = {"x_m": float(x), "contour_m": np.maximum(shell, [1e-3, 0.0]).tolist()}
        else:
            station = {"x_m": float(x), "contour_m": [[0.0, 0.0], *np.column_stack([half, z])[1:].tolist()]}
        stations += [station, station] if step == i and 0 < i < count - 1 else [station]
    if not off and draw(st.booleans()):
        share = draw(number(0.5, 1.2))
        for station in stations:
            station["port_contour_m"] = [[-share * y, z] for y, z in station["contour_m"]]
    return stations


@st.composite
def tables(draw: Draw, size: tuple[float, float, float]) -> list[Document]:
    """A box's table, sometimes with a figure changed, a row lost or the trims missing."""
    length, breadth, depth = size
    trims = draw(st.sampled_from([[0.0], [-0.01, 0.0, 0.01], [0.0, 0.02]]))
    rows = []
    for draught in np.linspace(0.1, 0.9, draw(st.integers(2, 6))) * depth:
        for trim in trims:
            bm, long = breadth**2 / (12.0 * draught), length**2 / (12.0 * draught)
            rows.append(
                {
                    "draught_m": float(draught),
                    "trim_m": trim * length,
                    "volume_m3": float(length * breadth * draught),
                    "lcb_m": float(length / 2 - long * trim),
                    "vcb_m": float(draught / 2),
                    "km_t_m": float(draught / 2 + bm),
                    "lcf_m": length / 2,
                    "km_l_m": float(draught / 2 + long),
                }
            )
    if not draw(st.integers(0, 3)):
        row = rows[draw(st.integers(0, len(rows) - 1))]
        row[draw(st.sampled_from(["volume_m3", "km_t_m", "draught_m"]))] = draw(number(0.0, 1e4))
    if not draw(st.integers(0, 3)):
        for row in rows:
            del row["km_l_m"], row["lcf_m"]
    return rows[: -draw(st.integers(1, 2))] if not draw(st.integers(0, 5)) else rows


@st.composite
def tanks(draw: Draw, size: tuple[float, float, float]) -> Document:
    """A box tank somewhere in the ship, with or without its shape, sometimes with a wild table."""
    length, breadth, depth = size
    x, y, low = draw(number(0.0, length)), draw(number(-0.5, 0.5)) * breadth, draw(number(0.0, 0.5)) * depth
    long, wide, high = (
        draw(number(0.1, 0.3)) * length,
        draw(number(0.01, 0.5)) * breadth,
        draw(number(0.1, 0.6)) * depth,
    )
    rows = [
        {
            "sounding_m": float(s),
            "volume_m3": float(long * wide * s),
            "x_m": x,
            "y_m": y,
            "z_m": float(low + s / 2),
            "i_t_m4": long * wide**3 / 12,
            "i_l_m4": long**3 * wide / 12,
        }
        for s in np.linspace(0.0, high, draw(st.integers(2, 5)))
    ]
    if not draw(st.integers(0, 5)):
        draw(st.sampled_from(rows))[draw(st.sampled_from(["sounding_m", "volume_m3", "z_m"]))] = draw(number(0.0, 50.0))
    tank = {
        "name": f"tank {draw(st.integers(1, 9))}",
        "capacity_m3": long * wide * high,
        "pipe": {"x_m": x + draw(number(-0.5, 0.5)) * long, "y_m": y, "zero_z_m": low},
        "table": rows,
    }
    if draw(st.booleans()):
        ring = [[y - wide / 2, low], [y + wide / 2, low], [y + wide / 2, low + high], [y - wide / 2, low + high]]
        tank["geometry"] = {"stations": [{"x_m": x + side * long / 2, "contour_m": ring} for side in (-1.0, 1.0)]}
    return tank


@st.composite
def items(draw: Draw, size: tuple[float, float, float]) -> Document:
    """Surplus, missing or misplaced, at times heavier than the ship."""
    kind = draw(st.sampled_from(["surplus", "missing", "misplaced"]))
    item = {"description": "thing", "kind": kind, "mass_t": draw(number(0.0, 1.0)) ** 4 * 1e5, **_place(draw, size)}
    if kind == "misplaced" or not draw(st.integers(0, 29)):
        item |= {f"to_{name}": value for name, value in _place(draw, size).items()}
    return item


@st.composite
def uncertainties(draw: Draw) -> Document:
    """Some stated, zero among them."""
    limits = {"draught_m": 1.0, "reading_m": 0.1, "weight_mass_relative": 0.3, "hull_volume_relative": 0.1, "km_m": 1.0}
    return {
        name: draw(st.sampled_from([0.0, high, 0.01 * high])) for name, high in limits.items() if draw(st.booleans())
    }


def _place(draw: Draw, size: tuple[float, float, float]) -> Document:
    length, breadth, depth = size
    return {
        "x_m": draw(number(-0.1, 1.1)) * length,
        "y_m": draw(number(-0.6, 0.6)) * breadth,
        "z_m": draw(number(-0.2, 3.0)) * depth,
    }


def _marks(draw: Draw, size: tuple[float, float, float]) -> list[Document]:
    length, breadth, _ = size
    places = draw(st.sampled_from([SIX, SIX, (0.05, 0.95), (0.1, 0.3, 0.5, 0.7, 0.9), (0.0, 0.001, 1.0), (0.5,)]))
    sides = draw(st.sampled_from([(-1.0, 1.0), (-1.0, 1.0), (0.0,), (1.0,)]))
    return [
        {
            "name": f"{share} {side}",
            "x_m": share * length,
            "y_m": side * breadth / 2,
            "zero_z_m": draw(number(-0.1, 0.1)),
        }
        for share in places
        for side in sides
    ]


def _water(draw: Draw) -> Document:
    samples = [{"density_t_per_m3": draw(number(0.98, 1.04))} for _ in range(draw(st.integers(1, 2)))]
    if draw(st.booleans()):
        samples[0]["depth_m"] = draw(number(0.0, 20.0))
    if not draw(st.integers(0, 5)):
        kind = draw(st.sampled_from(["relative-density", "apparent-density", "density"]))
        glass = {"kind": kind, "calibrated_at_c": draw(number(0.0, 30.0))}
        if draw(st.integers(0, 3)):
            glass["reference_water_c"] = 15.0
        samples[0] |= {"glass": glass, "temperature_c": 12.0}
    water: Document = {"samples": samples, "density_basis": draw(st.sampled_from(["vacuum", "vacuum", "air"]))}
    if not draw(st.integers(0, 5)):
        probe = {"practical_salinity": draw(number(0.0, 45.0)), "temperature_c": draw(number(-2.0, 45.0))}
        water |= {"probe_samples": [probe], "samples": samples if draw(st.booleans()) else []}
    return water


def _floating(draw: Draw, marks: list[Document], size: tuple[float, float, float]) -> Document:
    length, breadth, depth = size
    draught, trim = (
        draw(number(0.2, 0.7) if draw(st.integers(0, 4)) else number(0.0, 1.1)) * depth,
        draw(number(-0.02, 0.02)) * length,
    )
    wild = not draw(st.integers(0, 7))
    readings = []
    for mark in marks:
        height = draught + trim * (0.5 - mark["x_m"] / length)
        error = draw(number(-1.0, 1.0)) * (depth if wild else 0.005)
        readings.append({"mark": mark["name"], "reading_m": height - mark["zero_z_m"] + error})
    found: Document = {"draughts": readings}
    if not draw(st.integers(0, 2)):
        found["freeboards"] = [
            {"x_m": share * length, "y_m": side * breadth / 2, "point_z_m": depth, "reading_m": depth - draught}
            for share in (0.1, 0.4, 0.9)
            for side in (-1.0, 1.0)
        ]
        found["draughts"] = readings if draw(st.booleans()) else []
    return found


def _sounding(draw: Draw, tank: Document) -> Document:
    state = draw(st.sampled_from(["empty", "pressed", "slack", "slack"]))
    sounding: Document = {"tank": tank["name"], "state": state, "density_t_per_m3": draw(number(0.7, 1.1))}
    top = max(row["sounding_m"] for row in tank["table"])
    if not draw(st.integers(0, 5)):
        sounding["liquid"] = draw(st.sampled_from(["fuel", "lubricating-oil", "water"]))
        sounding |= {"density_measured_at_c": draw(number(0.0, 60.0)), "temperature_c": draw(number(0.0, 60.0))}
    if state == "slack":
        sounding[draw(st.sampled_from(["sounding_m", "ullage_m"]))] = draw(number(0.0, 1.05)) * top
    return sounding


def _ballast_move(draw: Draw, record: Document) -> Document:
    giver, taker = (sounding["tank"] for sounding in record["soundings"][:2])
    names = ("from_before_m", "from_after_m", "to_before_m", "to_after_m")
    soundings = {name: draw(number(0.0, 2.0)) for name in names}
    return {"state": draw(st.integers(0, 4)), "from_tank": giver, "to_tank": taker, **soundings}


def _test(draw: Draw, size: tuple[float, float, float]) -> Document:
    length, breadth, depth = size
    weights = [
        {"id": name, "mass_t": draw(number(0.01, 1.0)) ** 3 * 500.0}
        for name in "ABCD"[: draw(st.sampled_from([4, 4, 3, 2, 1]))]
    ]
    names = [weight["id"] for weight in weights]
    reach = draw(number(0.1, 0.5)) * breadth if draw(st.integers(0, 9)) else draw(number(0.0, 0.5))
    lift = draw(st.sampled_from([0.0, 0.0, 1.0, -3.0]))
    across_by_state = [set(names[:count]) for count in range(len(names) + 1)] + [{name} for name in names[1:]] + [set()]
    if not draw(st.integers(0, 9)):
        across_by_state = draw(st.lists(st.sets(st.sampled_from(names)), min_size=1, max_size=9))
    states: list[Document] = []
    for count, moved in enumerate(across_by_state):
        positions = {}
        for i, weight in enumerate(weights):
            across = (weight["id"] in moved) != (i % 2 == 1)
            positions[weight["id"]] = [length / 2 + i, reach if across else -reach, depth + (lift if across else 0.0)]
        states.append({"number": count, "positions": positions})
    instruments = draw(
        st.lists(
            st.sampled_from(
                [
                    {"id": "P1", "kind": "pendulum", "length_m": 4.0},
                    {"id": "P2", "kind": "pendulum", "length_m": 3.0, "zero": "upright"},
                    {"id": "U", "kind": "u-tube", "length_m": 8.0},
                    {"id": "I", "kind": "inclinometer"},
                ]
            ),
            min_size=1,
            max_size=3,
            unique_by=lambda one: one["id"],
        )
    )
    return {
        "inclining_weights": weights,
        "states": states,
        "instruments": instruments,
        "readings": _readings(draw, weights, states, instruments),
    }


def _readings(
    draw: Draw, weights: list[Document], states: list[Document], instruments: list[Document]
) -> list[Document]:
    """In proportion to the moments with a little scatter, or anything."""
    masses = {weight["id"]: weight["mass_t"] for weight in weights}
    moments = [sum(masses[name] * at[1] for name, at in state["positions"].items()) for state in states]
    slope = draw(number(0.01, 0.1) if draw(st.integers(0, 4)) else number(-0.05, 0.3)) / max(
        1e-9, max(abs(moment) for moment in moments)
    )
    wild = not draw(st.integers(0, 7))
    readings = []
    for state, moment in zip(states, moments, strict=True):
        for instrument in instruments:
            tangent = draw(number(-0.9, 0.9)) if wild else slope * moment + draw(number(-1.0, 1.0)) * 1e-3
            angle = float(np.degrees(np.arctan(tangent)))
            value = (
                {"value_deg": angle}
                if instrument["kind"] == "inclinometer"
                else {"value_mm": 1000.0 * instrument["length_m"] * tangent}
            )
            readings.append({"state": state["number"], "instrument": instrument["id"], **value})
    if not draw(st.integers(0, 9)):
        readings[0]["withdrawn_reason"] = "misread"
    return readings
