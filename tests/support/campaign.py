"""An invented vessel and her test, taken from a simulated inclining whose truth is known, for stories and API tests."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Flask
from heelwright_client.client import Client
from heelwright_client.wsgi_transport import WsgiTransport

from tests.support.app import new_token

SIMULATED = Path(__file__).parents[1] / "reference" / "simulated"
URL = "http://service.test"
DAY = "2024-05-15"
NEEDED_PLANS = (
    "lines-plan",
    "hydrostatics",
    "capacity-plan",
    "sounding-tables",
    "draught-marks",
    "general-arrangement",
)


def simulated(name: str = "ship-11") -> dict[str, Any]:
    """A simulated test record."""
    record: dict[str, Any] = json.loads((SIMULATED / f"{name}.record.json").read_text())
    return record


def truth(name: str = "ship-11") -> dict[str, Any]:
    """What the simulated ship really is."""
    found: dict[str, Any] = json.loads((SIMULATED / f"{name}.truth.json").read_text())
    return found


def client_of(app: Flask, role: str, name: str, **scope: Any) -> Client:
    """A client of one application with a token of its own."""
    return Client(URL, new_token(app, role, name=name, **scope), transport=WsgiTransport(app))


@dataclass(frozen=True)
class Crew:
    """The people of a test, each with a token of his own."""

    planner: Client
    ship: Client
    first: Client
    second: Client
    approver: Client


def crew_of(app: Flask) -> Crew:
    """Give everybody a token."""
    return Crew(
        client_of(app, "planner", "K. Lund"),
        client_of(app, "recorder", "Chief engineer"),
        client_of(app, "recorder", "M. Ito"),
        client_of(app, "recorder", "S. Aboud"),
        client_of(app, "approver", "P. Renard"),
    )


def enter_vessel(
    client: Client,
    record: dict[str, Any],
    *,
    approved: bool = True,
    admin: Client | None = None,
    approved_mass_t: float = 1105.0,
) -> str:
    """Enter the vessel of a record, with a lightship that was approved five years before."""
    vessel = record["vessel"]
    facts = {"name": "Ebb Tern", "kind": "passenger", "length_m": vessel["length_bp_m"], "rule_set": "solas-2020"}
    facts |= {name: vessel[name] for name in ("length_bp_m", "breadth_m", "depth_m")}
    if approved:
        facts["imo_number"] = "9999993"
    vessel_id = str(client.vessels.create(facts).document["id"])
    client.vessels.put_part(vessel_id, "hull", vessel["hull"])
    client.vessels.put_part(vessel_id, "marks", {"marks": vessel["marks"]})
    client.vessels.put_part(vessel_id, "tanks", {"tanks": vessel["tanks"]})
    if approved:
        lightship = {
            "date": "2019-04-02",
            "basis": "inclining-test",
            "mass_t": approved_mass_t,
            "lcg_m": 34.95,
            "tcg_m": 0.0,
            "vcg_m": 4.50,
            "approved": True,
        }
        (admin or client).lightships.add(vessel_id, lightship)
    return vessel_id


def plan_document(record: dict[str, Any]) -> dict[str, Any]:
    """A plan that no reviewer would send back."""
    stiffness = truth()["as_inclined"]["displacement_t"] * truth()["classical_gm_fluid_m"]
    return {
        "purpose": "periodic",
        "rule_set": "solas-2020",
        "date": DAY,
        "start_at": f"{DAY}T06:00:00+00:00",
        "place": {
            "name": "North basin",
            "sheltered": True,
            "depth_lowest_m": 8.0,
            "tide": "0.4 m at springs",
            "mooring": "bow and stern lines near the centreline",
            "gangway": "off",
            "shore_lines": "shore power off",
            "expected_density_t_per_m3": 1.0221,
        },
        "bookings": {
            "agency_turnaround_days": 21,
            "daylight": {"start": f"{DAY}T04:30:00+00:00", "end": f"{DAY}T20:00:00+00:00"},
            "tides": [{"start": f"{DAY}T06:00:00+00:00", "end": f"{DAY}T11:30:00+00:00", "depth_m": 8.2}],
        },
        "persons": [
            {"role": "person-in-charge", "name": "R. Osei"},
            {"role": "witness", "name": "L. Brandt", "independent": True},
            {"role": "recorder", "name": "M. Ito"},
        ],
        "moves": _moves(record, stiffness),
        "instruments": [
            {**each, "place": f"trunk {n}", "damping": "oil trough", "sheltered": True}
            for n, each in enumerate(record["instruments"])
        ],
        "draught_plan": {
            "marks": [mark["name"] for mark in record["vessel"]["marks"]],
            "datum": "moulded baseline",
            "marks_verified_on": "2022-03-01",
            "marks_verified_by": "the yard, in dock",
        },
        "density_plan": {
            "places": ["forward", "midships", "aft"],
            "hydrometers": [
                {"use": "water", "low_t_per_m3": 0.999, "high_t_per_m3": 1.03},
                {"use": "tank-liquids", "low_t_per_m3": 0.8, "high_t_per_m3": 1.0},
            ],
            "thermometer": True,
        },
        "expected": {
            "displacement_t": 1144.0,
            "gm_m": 1.04,
            "lightship_mass_t": 1105.0,
            "lightship_lcg_m": 34.95,
            "lightship_vcg_m": 4.50,
        },
        "item_list_handed_over_at": "2024-05-13T15:00:00+00:00",
        "mobile_things": [{"name": "Quay crane", "kind": "crane", "reading_position": "hook slewed ashore"}],
        "weather_limits": {"decided_by": "R. Osei"},
        "schedule": [{"at": "06:00", "event": "Muster"}, {"at": "06:30", "event": "Draughts, water, soundings"}],
        "attachments": [
            *({"kind": kind, "name": kind} for kind in NEEDED_PLANS),
            {"kind": "weight-certificates", "name": "W-1 to W-4", "valid_until": "2024-12-31"},
            {"kind": "hydrometer-certificate", "name": "H-12", "valid_until": "2025-06-30"},
        ],
        "hydrostatics": {
            "document": "Hull model rev. C",
            "approved_by": "Class",
            "dated": "2019-01-10",
            "accepted_by": "K. Lund",
            "accepted_on": "2024-03-01",
        },
        "safety": {
            "gas_free": "certificates of the day",
            "entry_permits": "by the master",
            "lifting_plan": "L-1",
            "stop_word": "STOP",
        },
        "equipment": ["sounding tape", "hydrometers", "thermometer"],
        "submitted_on": "2024-04-15",
    }


def _moves(record: dict[str, Any], stiffness_t_m: float) -> dict[str, Any]:
    start = record["states"][0]["positions"]
    masses = {weight["id"]: weight["mass_t"] for weight in record["inclining_weights"]}
    states = []
    for state in record["states"]:
        moment = sum(masses[w] * (at[1] - start[w][1]) for w, at in state["positions"].items())
        deflection = {i["id"]: 1000 * i["length_m"] * moment / stiffness_t_m for i in record["instruments"]}
        states.append({**state, "moment_t_m": moment, "deflection_mm": deflection})
    largest = max(abs(state["moment_t_m"]) for state in states)
    heel = math.degrees(math.atan(largest / stiffness_t_m))
    weights = [
        {**w, "certificate": f"W-{w['id']}", "deck_load_t_per_m2": 1.5, "deck_capacity_t_per_m2": 3.0}
        for w in record["inclining_weights"]
    ]
    band = {"expected": heel, "low": 0.9 * heel, "high": 1.15 * heel}
    return {"weights": weights, "states": states, "max_heel_deg": band}


def tank_plan_document(record: dict[str, Any]) -> dict[str, Any]:
    """The tank plan before the ship was asked: of the fuel tanks, only the starboard one is slack."""
    found = {each["tank"]: each for each in record["soundings"]}
    tanks: list[dict[str, Any]] = []
    for tank in record["vessel"]["tanks"]:
        name = tank["name"]
        density = found[name]["density_t_per_m3"]
        entry: dict[str, Any] = {"tank": name, "state": "empty", "space": "deep", "density_t_per_m3": density}
        if name.startswith("FO"):
            entry |= {"liquid": "fuel-storage", "burns": True}
        if name == "FO 1S":
            entry |= {"state": "slack", "sounding_m": found[name]["sounding_m"], "pair_with": "FO 1P"}
        if name == "WB 3P":
            entry |= {"entry": True, "liquid": "ballast-water"}
        tanks.append(entry)
    tanks.append({"tank": "Chain locker", "state": "empty", "space": "chain-locker", "liquid": "none"})
    systems = [
        {"name": "Fuel crossover", "kind": "cross-connection", "planned": "shut"},
        {"name": "Sea chests", "kind": "sea-chest", "planned": "flooded"},
        {"name": "Coolers", "kind": "cooling-circuit", "planned": "full"},
    ]
    return {"tanks": tanks, "systems": systems, "answers_due": "2024-05-03"}


def refusal(record: dict[str, Any]) -> dict[str, Any]:
    """The ship cannot empty the port fuel tank, and says what she can do instead."""
    found = next(each for each in record["soundings"] if each["tank"] == "FO 1P")
    return {
        "tank": "FO 1P",
        "answer": "cannot",
        "by": "Chief engineer",
        "on": "2024-05-01",
        "reason": "the transfer pump is ashore for repair",
        "offered_state": "slack",
        "offered_sounding_m": found["sounding_m"],
        "offered_density_t_per_m3": 0.86,
    }


def permit(tank: str = "WB 3P") -> dict[str, Any]:
    """An entry permit that holds all day."""
    return {
        "tank": tank,
        "competent_person": "H. Larkin",
        "certificate": "GF 118",
        "oxygen_percent": 20.9,
        "issued_at": "2020-01-01T00:00:00+00:00",
        "valid_until": "2099-01-01T00:00:00+00:00",
        "attendant": "Second mate",
        "rescue": "tripod and breathing set at the manhole",
    }


def soundings(record: dict[str, Any]) -> list[dict[str, Any]]:
    """What the sounding party enters: every tank with what shows its state, and the chain locker."""
    rows = []
    for each in record["soundings"]:
        proof = {"slack": "sounded", "pressed": "vent-overflow", "empty": "seen"}[each["state"]]
        at = {}
        if each["tank"] == "WB 3P":
            proof, at = "entered", {"at": f"{DAY}T06:10:00+00:00"}
        rows.append({**each, "evidence": proof, "by": "Sounding party", **at})
    return [*rows, {"tank": "Chain locker", "state": "empty", "density_t_per_m3": 1.0, "evidence": "seen"}]
