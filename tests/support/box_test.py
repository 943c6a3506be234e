"""A box ship and everything that has to be done for a test of her, step by step, on a fresh installation."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Flask

from tests.support.app import engine_of, make_app, migrated_sqlite
from tests.support.campaign import Crew, client_of, crew_of, plan_document, simulated

WEIGHTS = {"A": -4.0, "B": 4.0, "C": -4.0, "D": 4.0}
ACROSS = ["", "A", "AC", "C", "", "B", "BD", "D", ""]
STATES = [
    {"number": n, "positions": {w: [25.0, -y if w in moved else y, 6.0] for w, y in WEIGHTS.items()}}
    for n, moved in enumerate(ACROSS)
]
MARKS = [
    {"name": f"{end} {side}", "x_m": x, "y_m": y, "zero_z_m": 0.0}
    for (end, x), (side, y) in itertools.product(
        (("aft", 1.0), ("midship", 25.0), ("forward", 49.0)), (("port", -6.0), ("starboard", 6.0))
    )
]
# A box of 50 × 12 m at 2.05 m in fresh water: Δ 1230 t, KM = T/2 + B²/(12·T) = 6.878 m; KG 5 m, so GM 1.878 m.
STIFFNESS_T_M = 1230.0 * (1.025 + 144.0 / (12.0 * 2.05) - 5.0)


@dataclass(frozen=True)
class Bench:
    """A fresh box ship and her test."""

    app: Flask
    crew: Crew
    vessel_id: str
    test_id: str

    def everything(self) -> dict[str, Callable[[], object]]:
        """What has to be done, in an order in which it can be done."""
        plans, aboard, t = self.crew.planner.tests, self.crew.first.tests, self.test_id
        return {
            "plan": lambda: plans.put_plan(t, box_plan()),
            "tank plan": lambda: plans.put_tank_plan(t, box_tank_plan()),
            "issue": lambda: plans.move(t, "procedure-issued"),
            "work list": lambda: plans.prepare(t),
            "prepare": lambda: plans.move(t, "preparing"),
            "ticks": self.tick_all,
            "advisory survey": lambda: aboard.enter(t, "closings", {"what": "advisory-survey", "name": "x"}),
            "go on survey": lambda: plans.move(t, "survey-day"),
            "persons": lambda: aboard.enter(t, "persons", {"name": "x", "mass_t": 0.08, "x_m": 25, "y_m": 0, "z_m": 6}),
            "weights": lambda: self.each("weights", [{"id": w, "mass_t": 5.0, "certificate": w} for w in WEIGHTS]),
            "instruments": lambda: self.each("instruments", [
                {"id": name, "kind": "pendulum", "length_m": length} for name, length in (("P1", 6.0), ("P2", 5.5))
            ]),
            "water": lambda: self.each("water", [{"density_t_per_m3": 1.0, "temperature_c": 9.0}] * 3),
            "draughts": lambda: self.each("draughts", [{"mark": m["name"], "reading_m": 2.05} for m in MARKS]),
            "soundings": lambda: aboard.enter(
                t, "soundings", {"tank": "Void", "state": "empty", "density_t_per_m3": 1.0, "evidence": "seen"}
            ),
            "survey": lambda: aboard.enter(t, "closings", {"what": "survey", "name": "x"}),
            "start": lambda: plans.move(t, "test-day"),
            "states": lambda: self.each("states", STATES),
            "readings": lambda: self.each("readings", readings()),
            "signatures": lambda: self.each("signatures", [
                {"what": what, "role": role, "name": "x", "at": "2024-05-15T10:00:00+00:00"}
                for what, role in (("reservations", "witness"), ("data", "witness"), ("data", "person-in-charge"))
            ]),
            "close": lambda: aboard.enter(t, "closings", {"what": "test-day", "name": "x"}),
            "reduce": lambda: plans.reduce(t, uncertainty="none"),
            "result": lambda: plans.move(t, "preliminary-result"),
            "review": lambda: plans.move(t, "under-review"),
            "answers": self.answer_all,
            "approve": lambda: self.crew.approver.tests.approve(t, "P. Renard"),
        }  # fmt: skip

    def tick_all(self) -> None:
        """Tick every item of the work list."""
        for item in self.crew.planner.tests.preparations(self.test_id)["items"]:
            self.crew.first.tests.mark(self.test_id, item["key"], "done")

    def answer_all(self) -> None:
        """Answer every open finding of the review."""
        for finding in self.crew.planner.tests.review(self.test_id)["open"]:
            self.crew.planner.tests.answer(self.test_id, finding, "seen", "K. Lund")

    def each(self, collection: Any, rows: list[dict[str, Any]]) -> None:
        """Enter several things."""
        for row in rows:
            self.crew.first.tests.enter(self.test_id, collection, row)

    @property
    def stage(self) -> str:
        """Where the test stands."""
        return str(self.crew.planner.tests.get(self.test_id).document["stage"])


def readings() -> list[dict[str, Any]]:
    """What two pendulums show on the box in each state."""
    rows = []
    for state, length in itertools.product(STATES, (("P1", 6.0), ("P2", 5.5))):
        moment = sum(5.0 * (at[1] - WEIGHTS[w]) for w, at in state["positions"].items())
        value = 1e3 * length[1] * moment / STIFFNESS_T_M
        rows.append({"state": state["number"], "instrument": length[0], "value_mm": value})
    return rows


def box_plan() -> dict[str, Any]:
    """The demo plan, with the box's weights, instruments and marks."""
    plan = plan_document(simulated("box-14"))
    deflection = {n: {"P1": 6e3 * m / STIFFNESS_T_M, "P2": 5.5e3 * m / STIFFNESS_T_M} for n, m in enumerate(
        (0.0, 40.0, 80.0, 40.0, 0.0, -40.0, -80.0, -40.0, 0.0)
    )}  # fmt: skip
    loads = {"deck_load_t_per_m2": 1.0, "deck_capacity_t_per_m2": 2.0}
    plan["moves"] = {
        "weights": [{"id": w, "mass_t": 5.0, "certificate": w, **loads} for w in WEIGHTS],
        "states": [{**state, "deflection_mm": deflection[n]} for n, state in enumerate(STATES)],
        "max_heel_deg": {"expected": 1.98, "low": 1.8, "high": 2.3},
    }
    plan["instruments"] = [
        {"id": n, "kind": "pendulum", "length_m": x, "place": "hold", "damping": "oil", "sheltered": True}
        for n, x in (("P1", 6.0), ("P2", 5.5))
    ]
    plan["draught_plan"]["marks"] = [mark["name"] for mark in MARKS]
    plan["expected"] = {"displacement_t": 1230.0, "lightship_mass_t": 1209.0, "lightship_lcg_m": 25.0,
                        "lightship_vcg_m": 5.0}  # fmt: skip
    plan["place"]["expected_density_t_per_m3"] = 1.0
    return plan


def box_tank_plan() -> dict[str, Any]:
    """One void and no tank."""
    systems = [{"name": kind, "kind": kind, "planned": "shut"} for kind in
               ("cross-connection", "sea-chest", "cooling-circuit")]  # fmt: skip
    return {"tanks": [{"tank": "Void", "state": "empty", "space": "void", "liquid": "none"}], "systems": systems}


@contextlib.contextmanager
def bench(folder: Path, database_url: str | None = None) -> Iterator[Bench]:
    """A fresh installation with the box ship and an open test, on a database of its own in a folder or a given one."""
    folder.mkdir(exist_ok=True)
    app = make_app(database_url or migrated_sqlite(folder))
    crew = crew_of(app)
    facts = {"name": "Cedar", "kind": "cargo", "length_bp_m": 50.0, "length_m": 50.0, "breadth_m": 12.0, "depth_m": 5.0,
             "imo_number": "9999993"}  # fmt: skip
    vessel_id = client_of(app, "admin", "office").vessels.create(facts).document["id"]
    box = [[0, 0], [6, 0], [6, 5]]
    hull = {"stations": [{"x_m": 0, "contour_m": box}, {"x_m": 50, "contour_m": box}]}
    crew.planner.vessels.put_part(vessel_id, "hull", hull)
    crew.planner.vessels.put_part(vessel_id, "marks", {"marks": MARKS})
    yield Bench(app, crew, vessel_id, crew.planner.tests.open(vessel_id, "inclining-test").document["id"])
    engine_of(app).dispose()
