"""Plans and tank plans of the invented tests as the service takes them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from heelwright_client.demo.ships import Ship

LEADER, SURVEYOR, WITNESS, MATE = "Ines Aldous", "Tomas Rein", "Odile Marsh", "Kaspar Lund"
_HEEL_DEG = 2.4
_FLOATS_AT = {"Quillmoor": (4.12, 2.24), "Feshwick Provider": (5.63, 2.22)}
_INSTRUMENTS = (("P1", "pendulum", 4.49), ("P2", "pendulum", 4.03), ("I3", "inclinometer", None))
_LIQUIDS = {"fuel oil": ("fuel-storage", 0.86), "fresh water": ("potable-water", 1.0)}


def plan_of(ship: Ship, day: date, moves: Mapping[str, Any]) -> dict[str, Any]:
    """Write the plan of an inclining test.

    Parameters
    ----------
    ship : Ship
        The ship.
    day : datetime.date
        When she is inclined.
    moves : Mapping
        Weights, states and the heel that they give.

    Returns
    -------
    dict
        The plan, with what the stages ask for.
    """
    return {
        **survey_plan_of(ship, day),
        "persons": _people(),
        "moves": dict(moves),
        "instruments": [_instrument(*each) for each in _INSTRUMENTS],
        "weather_limits": {
            "wind_m_per_s": 5.0,
            "wave_m": 0.1,
            "decided_by": LEADER,
            "decision_at": f"{day}T05:30:00+00:00",
        },
        "safety": {
            "gas_free": "certificate of the day",
            "entry_permits": "one for each tank",
            "lifting_plan": "LP-3",
            "stop_word": "avast",
        },
    }


def survey_plan_of(ship: Ship, day: date) -> dict[str, Any]:
    """Write the plan of a lightweight survey: an inclining test without weights, instruments and their limits.

    Parameters
    ----------
    ship : Ship
        The ship.
    day : datetime.date
        When she is surveyed.

    Returns
    -------
    dict
        The plan.
    """
    return {
        "purpose": "periodic",
        "date": day.isoformat(),
        "start_at": f"{day}T06:00:00+00:00",
        "place": {
            "name": "Saltmarsh basin, east quay",
            "sheltered": True,
            "depth_lowest_m": 7.5,
            "mooring": "four lines",
            "gangway": "lifted clear",
            "shore_lines": "power cable slack",
            "expected_density_t_per_m3": 1.014,
            "tide": "neap, 0.4 m",
        },
        "persons": _people(),
        "draught_plan": {
            "marks": [f"{place} {side}" for place in ("aft", "midship", "forward") for side in ("port", "starboard")],
            "datum": "moulded baseline",
            "marks_verified_on": f"{day.year - 1}-02-02",
            "marks_verified_by": "dock report 7",
            "means": "boat, tube",
        },
        "expected": {
            "displacement_t": round(1.05 * ship.mass_t, 1),
            **_floating(ship),
            "trim_m": 0.3,
            "heel_deg": 0.0,
            "lightship_mass_t": ship.mass_t,
            "lightship_lcg_m": ship.lcg_m,
            "lightship_vcg_m": ship.vcg_m,
        },
        "hydrostatics": {
            "document": "Hydrostatics rev. C",
            "approved_by": "the Administration",
            "dated": f"{day.year - 3}-01-12",
            "accepted_by": SURVEYOR,
            "accepted_on": f"{day.year - 1}-04-01",
        },
    }


def _floating(ship: Ship) -> dict[str, float]:
    """GM with free surfaces and draught amidships of the planned condition; of a usual ship where none is named."""
    gm_m, draught_m = _FLOATS_AT.get(ship.name, (1.0, round(0.42 * ship.form.depth_m, 2)))
    return {"gm_m": gm_m, "draught_mid_m": draught_m}


def _people() -> list[dict[str, Any]]:
    return [
        {"role": "person-in-charge", "name": LEADER, "independent": True},
        {"role": "surveyor", "name": SURVEYOR},
        {"role": "witness", "name": WITNESS, "independent": True},
    ]


def _instrument(name: str, kind: str, length_m: float | None) -> dict[str, Any]:
    facts = {"id": name, "kind": kind, "place": "hold, centreline", "damping": "oil trough", "sheltered": True}
    return {**facts, "length_m": length_m, "certificate": f"I-{name}"}


def recorded_moves(record: Mapping[str, Any], day: date) -> dict[str, Any]:
    """Read the weights and states of a record as a plan has them.

    Parameters
    ----------
    record : Mapping
        A test record.
    day : datetime.date
        The day of the test, to date the certificates before it.

    Returns
    -------
    dict
        Weights, states and the heel that they give.
    """
    weights = [
        {**weight, "certificate": f"W-{weight['id']}", "certified_on": f"{day.year - 1}-05-01"}
        for weight in record["inclining_weights"]
    ]
    heel = {"expected": 2.6, "low": 2.3, "high": 3.0}
    return {"weights": weights, "states": record["states"], "max_heel_deg": heel}


def four_weights(ship: Ship, day: date) -> dict[str, Any]:
    """Place four equal weights on a ship, two a side, and move them one by one and back.

    Parameters
    ----------
    ship : Ship
        The ship.
    day : datetime.date
        The day of the test.

    Returns
    -------
    dict
        Weights, states and the heel that two weights on the same side give at her GM.
    """
    out_m = round(0.36 * ship.form.breadth_m, 2)
    mass_t = round(ship.mass_t * _floating(ship)["gm_m"] * math.tan(math.radians(_HEEL_DEG)) / (4.0 * out_m), 2)
    sides = {"A": -1.0, "B": 1.0, "C": -1.0, "D": 1.0}
    states = [{"number": 0, "positions": _positions(ship, sides, out_m)}]
    for number, moved in enumerate("ACCABDDB", start=1):
        sides = {**sides, moved: -sides[moved]}
        states.append({"number": number, "positions": _positions(ship, sides, out_m)})
    certified = {"certified_on": f"{day.year - 1}-05-01"}
    weights = [{"id": name, "mass_t": mass_t, "certificate": f"W-{name}", **certified} for name in sides]
    heel = {"expected": _HEEL_DEG, "low": _HEEL_DEG - 0.3, "high": _HEEL_DEG + 0.4}
    return {"weights": weights, "states": states, "max_heel_deg": heel}


def _positions(ship: Ship, sides: Mapping[str, float], out_m: float) -> dict[str, list[float]]:
    first_m, apart_m, above_m = 0.4 * ship.form.length_m, 0.05 * ship.form.length_m, ship.form.depth_m + 0.5
    return {
        name: [round(first_m + index * apart_m, 2), side * out_m, round(above_m, 2)]
        for index, (name, side) in enumerate(sides.items())
    }


def tank_plan_of(tanks: list[dict[str, Any]], due: date) -> dict[str, Any]:
    """Plan the tanks of a ship with box tanks: fuel at 40 %, fresh water pressed up.

    Parameters
    ----------
    tanks : list of dict
        Her tanks as stored.
    due : datetime.date
        When the ship has to have answered.

    Returns
    -------
    dict
        The tank plan.
    """
    return {"tanks": [_planned(tank) for tank in tanks], "answers_due": due.isoformat()}


def _planned(tank: Mapping[str, Any]) -> dict[str, Any]:
    liquid, density = _LIQUIDS[tank["contents"]]
    facts = {"tank": tank["name"], "space": "double-bottom", "liquid": liquid, "density_t_per_m3": density}
    if liquid == "fuel-storage":
        name, _, side = tank["name"].rpartition(" ")
        other = f"{name} {'starboard' if side == 'port' else 'port'}"
        return {**facts, "state": "slack", "fill_percent": 40.0, "pair_with": other, "evidence": "sounded"}
    return {**facts, "state": "pressed", "evidence": "vent-overflow"}


def recorded_tank_plan(record: Mapping[str, Any]) -> dict[str, Any]:
    """Plan every tank in the state that a record found it in.

    Parameters
    ----------
    record : Mapping
        A test record.

    Returns
    -------
    dict
        The tank plan.
    """
    found = {each["tank"]: each for each in record["soundings"]}
    return {"tanks": [_as_found(tank["name"], found.get(tank["name"])) for tank in record["vessel"]["tanks"]]}


def _as_found(name: str, sounded: Mapping[str, Any] | None) -> dict[str, Any]:
    if sounded is None or sounded["state"] == "empty":
        return {"tank": name, "state": "empty", "evidence": "seen"}
    kept = {key: sounded[key] for key in ("state", "sounding_m", "density_t_per_m3") if key in sounded}
    return {"tank": name, **kept, "evidence": "sounded"}
