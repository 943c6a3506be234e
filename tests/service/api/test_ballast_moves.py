"""Water moved between tanks as inclining weight in a stored test: entered, corrected, gated and reduced."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from heelwright_client.errors import RefusedError

from tests.service.core.checks.records import box_tank
from tests.support.box_test import (
    STATES,
    STIFFNESS_T_M,
    WEIGHTS,
    Bench,
    bench,
    box_tank_plan,
)

AREA_M2 = 5.0 * 2.0
SURFACE_T_M = 2.0 * 1.0 * 5.0 * 2.0**3 / 12.0
"""ρ·l·b³/12 of both tanks: fresh water in two boxes of 5 × 2 m."""
LEVELS_M = {0: (1.0, 1.0), 1: (0.8, 1.2), 2: (1.0, 1.0)}
"""Soundings of the port and the starboard tank: 2 m³ to starboard for state 1, and back."""

TO_STARBOARD = {
    "state": 1,
    "from_tank": "WB P",
    "to_tank": "WB S",
    "from_before_m": 1.0,
    "from_after_m": 0.8,
    "to_before_m": 1.0,
    "to_after_m": 1.2,
}
BACK = TO_STARBOARD | {"state": 2, "from_tank": "WB S", "to_tank": "WB P", "from_before_m": 1.2, "from_after_m": 1.0,
                       "to_before_m": 0.8, "to_after_m": 1.0}  # fmt: skip
PROCEDURE = {
    "approved_by": "Flag office",
    "reference": "letter 12",
    "why_not_solid_weights": "no crane reaches the deck",
    "tanks_free_of_stringers": True,
    "density_measured": True,
    "lines_full": True,
    "manifolds_blanked": True,
    "valves_watched": True,
    "tables_verified": True,
}
BEFORE_THE_DAY = (
    "plan", "tank plan", "issue", "work list", "prepare", "ticks", "advisory survey", "go on survey", "persons",
    "weights", "instruments", "water", "draughts", "soundings", "tanks", "survey", "start", "states",
)  # fmt: skip


@dataclass(frozen=True)
class Day:
    """A test whose states are entered, with two wing tanks sounded half full."""

    made: Bench

    def enter(self, collection: Any, facts: dict[str, Any]) -> dict[str, Any]:
        return self.made.crew.first.tests.enter(self.made.test_id, collection, facts)

    def refused(self, facts: dict[str, Any], collection: Any = "ballast-moves") -> tuple[int, str, str]:
        with pytest.raises(RefusedError) as error:
            self.enter(collection, facts)
        pointers = [each.pointer for each in error.value.errors]
        return error.value.status, error.value.code, pointers[0] if pointers else ""

    def record(self) -> dict[str, Any]:
        return self.made.crew.planner.tests.record(self.made.test_id).document

    def reduced(self) -> dict[str, Any]:
        found: dict[str, Any] = self.made.crew.planner.tests.reduce(self.made.test_id)["result"]
        return found


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    with bench(tmp_path_factory.mktemp("ballast") / "box") as made:
        planner, aboard = made.crew.planner, made.crew.first.tests
        vessel = planner.tests.get(made.test_id).document["vessel_id"]
        tanks = [box_tank(f"WB {side}", 25.0, y, 0.5, 2.5, 5.0, 2.0) for side, y in (("P", -4.0), ("S", 4.0))]
        planner.vessels.put_part(vessel, "tanks", {"tanks": tanks})
        steps = made.everything()
        plan = box_tank_plan()
        plan["tanks"] += [
            {"tank": f"WB {side}", "state": "slack", "sounding_m": 1.0, "density_t_per_m3": 1.0, "space": "deep",
             "liquid": "ballast-water", "pair_with": f"WB {'S' if side == 'P' else 'P'}"} for side in "PS"
        ]  # fmt: skip
        steps["tank plan"] = lambda: planner.tests.put_tank_plan(made.test_id, plan)
        steps["tanks"] = lambda: [
            aboard.enter(
                made.test_id, "soundings",
                {"tank": f"WB {side}", "state": "slack", "density_t_per_m3": 1.0, "sounding_m": 1.0,
                 "evidence": "sounded"},
            )
            for side in "PS"
        ]  # fmt: skip
        for name in BEFORE_THE_DAY:
            steps[name]()
        yield Day(made)


def shown(state: dict[str, Any], length_m: float) -> float:
    """The water's heel is with its own surface at work: M/(Δ·GM − Σρ·i_T)."""
    port, starboard = LEVELS_M.get(state["number"], (1.0, 1.0))
    moment: float = sum(5.0 * (at[1] - WEIGHTS[w]) for w, at in state["positions"].items())
    moment += 4.0 * AREA_M2 * (starboard - port)
    return 1e3 * length_m * moment / (STIFFNESS_T_M - SURFACE_T_M)


@pytest.mark.parametrize(
    ("changes", "code", "pointer"),
    [
        ({"state": 0}, "ballast-state", "/state"),
        ({"state": 99}, "ballast-state", "/state"),
        ({"from_tank": "WB 9"}, "ballast-tank", "/from_tank"),
        ({"to_tank": "WB P"}, "ballast-twice", "/to_tank"),
        ({"to_after_m": 3.0}, "sounding-outside-table", "/to_after_m"),
        ({"from_after_m": 1.2, "to_after_m": 0.8}, "ballast-balance", "/from_tank"),
        ({"from_after_m": "0.8"}, "invalid-request", "/from_after_m"),
    ],
)
def test_a_move_that_cannot_be_is_refused_when_it_is_entered(
    day: Day, changes: dict[str, Any], code: str, pointer: str
) -> None:
    status, found, where = day.refused(TO_STARBOARD | changes)
    assert (status, where) == (422, pointer)
    assert found == code or code == "invalid-request"


def test_moved_water_goes_from_its_entries_to_the_lightship(day: Day) -> None:
    wrong = day.enter("ballast-moves", TO_STARBOARD | {"from_after_m": 0.7})
    assert day.refused(TO_STARBOARD)[:2] == (409, "already-entered")
    assert day.refused(TO_STARBOARD | {"corrects": wrong["entry_id"]})[:2][0] == 422
    mended = day.enter("ballast-moves", TO_STARBOARD | {"corrects": wrong["entry_id"], "reason": "misread"})
    assert mended["corrects"] == wrong["entry_id"]
    second = day.enter("ballast-moves", BACK)
    for state in STATES:
        for name, length in (("P1", 6.0), ("P2", 5.5)):
            reading = {"state": state["number"], "instrument": name, "value_mm": shown(state, length)}
            day.enter("readings", reading)
    assert day.record()["ballast_moves"] == [TO_STARBOARD, BACK]
    listed = day.made.crew.first.tests.entries(day.made.test_id, "ballast-moves")
    assert [each["corrected_by"] for each in listed] == [mended["entry_id"], None, None]

    running = day.made.crew.first.tests.running(day.made.test_id)
    assert running["straight"] is True
    assert running["gm_fluid_m"] == pytest.approx(STIFFNESS_T_M / 1230.0, rel=1e-3)

    without = {check["id"]: check["status"] for check in day.reduced()["checks"]}
    assert without["W-11"] == "fail"
    assert {without[f"W-12{part}"] for part in ("-lines", "-manifolds", "-valves", "-density")} == {"fail"}
    assert without["W-12-soundings"] == without["W-12-opposite"] == without["W-13"] == "pass"

    day.enter("ballast-procedure", PROCEDURE)
    assert day.refused(PROCEDURE, "ballast-procedure")[:2] == (409, "already-entered")
    assert day.record()["ballast_procedure"] == PROCEDURE
    result = day.reduced()
    statuses = {check["id"]: check["status"] for check in result["checks"] if check["id"].startswith("W-1")}
    assert "fail" not in statuses.values()
    assert result["small_angle"]["gm_fluid_m"] == pytest.approx(STIFFNESS_T_M / 1230.0, rel=2e-4)
    assert result["heeled_equilibrium"]["kg_m"] == pytest.approx(5.0, abs=0.005)

    lost = BACK | {"to_after_m": 0.95, "corrects": second["entry_id"], "reason": "read again"}
    day.enter("ballast-moves", lost)
    with pytest.raises(RefusedError) as error:
        day.reduced()
    assert error.value.code == "ballast-balance"
    assert "WB P" in str(error.value)
