"""Water moved between tanks as inclining weight: followed from sounding to sounding, true at every heel."""

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import Reduced, reduce_record, work_out

from tests.support.simulator import Options, Simulated, simulate
from tests.support.simulator.clipping import Plane
from tests.support.simulator.floating import Buoyancy, Load, float_freely
from tests.support.simulator.liquids import Liquid, Tank
from tests.support.simulator.mesh import Mesh, box_mesh
from tests.support.simulator.testday import TestDay, record_of

Document = dict[str, Any]

SHARES = (0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0, -0.5, 0.0)
"""Of the largest volume moved to starboard, state by state."""


def wing_tanks(test: Simulated) -> tuple[Tank, Tank]:
    """Two box tanks in the wings, their pipes off their middles."""
    shape = test.day.ship.shape
    length, breadth, depth = shape.length_bp_m, shape.breadth_m, shape.depth_m
    low = np.array([0.35 * length, 0.3 * breadth, 0.2 * depth])
    high = np.array([0.6 * length, 0.46 * breadth, 0.6 * depth])
    tanks = []
    for name, side in (("WB P", -1.0), ("WB S", 1.0)):
        mesh: Mesh = box_mesh(low, high) if side > 0.0 else box_mesh(low, high).mirrored()
        pipe = np.array([0.37 * length, side * 0.43 * breadth, 0.2 * depth])
        tanks.append(Tank(name, mesh, pipe, "WB"))
    return tanks[0], tanks[1]


@cache
def moved_water(family: str, shaped: bool = False) -> tuple[Document, Document]:
    """A test with water as the only weight, floated state by state with what each tank then holds; and the truth."""
    test = simulate(family, 151, options=Options(refine=2, coarse=2, weights=4))
    port, starboard = wing_tanks(test)
    capacity = port.shape.volume_m3
    ship = replace(test.day.ship, weights=[], liquids=[one for one in test.day.ship.liquids if one.state != "slack"])
    inclined, heel = test.truth["as_inclined"], float(np.tan(np.radians(2.5)))
    moment = inclined["displacement_t"] * inclined["gm_fluid_m"] * heel
    largest = min(0.33 * capacity, moment / (1.025 * 2.0 * float(starboard.shape.centroid_m[1])))
    held = [
        [
            Liquid(port, 0.5 * capacity - share * largest, 1.025),
            Liquid(starboard, 0.5 * capacity + share * largest, 1.025),
        ]
        for share in SHARES
    ]
    masses = ship.masses([])
    afloat, plane = [], Plane(ship.shape.draught_m)
    for pair in held:
        load = Load.of_points(masses.masses_t, masses.points_m, [*ship.liquids, *pair])
        afloat.append(float_freely(Buoyancy(ship.mesh, ship.density_t_per_m3), load, plane))
        plane = afloat[-1].plane
    loaded = replace(ship, liquids=[*ship.liquids, *held[0]])
    day = TestDay(loaded, [[]] * len(SHARES), afloat, 0.0, test.day.marks, test.day.instruments)
    record = record_of(day, 121, 2, shaped)
    record["ballast_moves"] = [_move(k, held, day) for k in range(1, len(SHARES))]
    light = ship.lightship_m
    return record, {"mass_t": ship.lightship_t, "lcg_m": light[0], "tcg_m": light[1], "vcg_m": light[2]}


def _move(k: int, held: list[list[Liquid]], day: TestDay) -> Document:
    giver, taker = (0, 1) if SHARES[k] > SHARES[k - 1] else (1, 0)

    def sounding(tank: int, state: int) -> float:
        plane = day.afloat[state].plane
        return held[state][tank].sounding_m(plane.slope_x, plane.slope_y)

    return {
        "state": k,
        "from_tank": held[0][giver].tank.name,
        "to_tank": held[0][taker].tank.name,
        "from_before_m": sounding(giver, k - 1),
        "from_after_m": sounding(giver, k),
        "to_before_m": sounding(taker, k - 1),
        "to_after_m": sounding(taker, k),
    }


def worked_out(record: Document) -> Reduced:
    return work_out(from_document(TestRecord, record))


@pytest.mark.parametrize(
    ("family", "shaped"), [("box_barge", False), ("round_bilge", True), ("hard_chine", False), ("tumblehome", True)]
)
def test_water_as_the_only_weight_gives_the_lightship(family: str, shaped: bool) -> None:
    record, true = moved_water(family, shaped)
    work = worked_out(record)
    heeled = work.outcome.heeled
    assert heeled is not None
    assert np.ptp(np.degrees(np.arctan(heeled.state_tangents[0]))) > 1.5
    light = work.outcome.lightship["heeled-equilibrium"]
    assert light.mass_t[0] == pytest.approx(true["mass_t"], rel=5e-4)
    assert light.vcg_m[0] == pytest.approx(true["vcg_m"], abs=0.002)
    assert light.tcg_m[0] == pytest.approx(true["tcg_m"], abs=0.001)
    small = work.outcome.lightship["small-angle"]
    assert small.vcg_m[0] == pytest.approx(true["vcg_m"], abs=0.02)


def test_its_surface_is_no_correction_but_moves_with_the_heel() -> None:
    """Without its shift the same soundings give a GM that is too small by ρ·i_T/Δ (K-14 of the code's annex)."""
    work = worked_out(moved_water("round_bilge")[0])
    ballast, small = work.test.ballast, work.outcome.small_angle
    assert ballast is not None
    assert small is not None
    assert work.outcome.free_surface_t_m[0] == pytest.approx(0.0, abs=1e-9)
    surface = ballast.initial_surface_t_m / float(work.outcome.displacement_t[0])
    assert surface > 0.01
    line = np.polyfit(ballast.moments_t_m()[1], np.tan(np.radians(_heels_deg(work))), 1)[0]
    assert 1.0 / line / float(work.outcome.displacement_t[0]) == pytest.approx(
        float(small.gm_fluid_m[0]) - surface, rel=0.01
    )


def _heels_deg(work: Reduced) -> Any:
    assert work.outcome.heeled is not None
    return np.degrees(np.arctan(work.outcome.heeled.state_tangents[0]))


def test_what_moved_is_followed_from_state_to_state() -> None:
    work = worked_out(moved_water("box_barge")[0])
    ballast = work.test.ballast
    assert ballast is not None
    volumes = ballast.levels[..., 0]
    assert volumes.sum(axis=0) == pytest.approx(np.full(len(SHARES), volumes[:, 0].sum()), rel=1e-12)
    largest = volumes[1, 2] - volumes[1, 0]
    assert (volumes[1] - volumes[1, 0]) / largest == pytest.approx(SHARES, abs=1e-6)
    assert work.test.movements is not None
    assert work.test.movements.water_t_m[1, 2] == pytest.approx(
        1.025 * largest * float(ballast.levels[1, 0, 2] - ballast.levels[0, 0, 2]), rel=1e-6
    )


def test_a_result_by_water_has_its_doubts_checks_and_a_caution_that_it_needs_approval() -> None:
    record, true = moved_water("round_bilge")
    result = reduce_record(from_document(TestRecord, record))
    assert result.uncertainty is not None
    vcg = result.uncertainty.quantities["vcg_m"]
    assert vcg.low_95 < true["vcg_m"] < vcg.high_95
    assert "water as weight" in {share.input for share in vcg.budget}
    assert any("procedure that the authority approved" in caution for caution in result.cautions)
    assert {check.id: check.status for check in result.checks}["W-01"] != "not-assessed"


def test_water_beside_solid_weights_adds_to_their_moment() -> None:
    record, true = moved_water("box_barge")
    lead = {"inclining_weights": [{"id": "A", "mass_t": 0.001}]}
    lead["states"] = [state | {"positions": {"A": [10.0, 0.0, 5.0]}} for state in record["states"]]
    light = worked_out(record | lead).outcome.lightship["heeled-equilibrium"]
    assert light.mass_t[0] == pytest.approx(true["mass_t"] - 0.001, rel=5e-4)
    assert light.vcg_m[0] == pytest.approx(true["vcg_m"], abs=0.002)


def changed(number: int, **values: Any) -> Document:
    record = dict(moved_water("box_barge")[0])
    record["ballast_moves"] = [move | values if i == number else move for i, move in enumerate(record["ballast_moves"])]
    return record


def refusal(record: Document) -> CoreError:
    with pytest.raises(CoreError) as caught:
        worked_out(record)
    return caught.value


def test_water_that_left_and_did_not_arrive_is_refused_with_both_volumes() -> None:
    move = moved_water("box_barge")[0]["ballast_moves"][2]
    found = refusal(changed(2, to_after_m=move["to_after_m"] - 0.1))
    assert (found.code, found.pointer) == ("ballast-balance", "/ballast_moves/2")
    assert "Sound both again" in found.message


def test_water_that_changed_between_moves_is_refused() -> None:
    move = moved_water("box_barge")[0]["ballast_moves"][3]
    shifted = {name: move[name] + 0.08 for name in ("from_before_m", "from_after_m")}
    found = refusal(changed(3, **shifted))
    assert (found.code, found.pointer) == ("ballast-continuity", "/ballast_moves/3")


@pytest.mark.parametrize(
    ("values", "code", "field"),
    [
        ({"state": 0}, "ballast-state", "/state"),
        ({"state": 77}, "ballast-state", "/state"),
        ({"from_tank": "WB 9"}, "ballast-tank", "/from_tank"),
        ({"to_tank": "WB 9"}, "ballast-tank", "/to_tank"),
        ({"state": 2}, "ballast-twice", "/from_tank"),
        ({"from_after_m": 40.0}, "sounding-outside-table", "/from_after_m"),
    ],
)
def test_a_move_that_cannot_be_is_refused_at_its_field(values: Document, code: str, field: str) -> None:
    found = refusal(changed(0, **values))
    assert found.code == code
    assert found.pointer.endswith(field)


def test_two_waters_are_not_one() -> None:
    record = dict(moved_water("box_barge")[0])
    record["soundings"] = [
        one | {"density_t_per_m3": 1.0} if one["tank"] == "WB P" else one for one in record["soundings"]
    ]
    assert refusal(record).code == "ballast-density"


def test_a_state_without_any_reading_leaves_its_soundings_unknown() -> None:
    record = dict(moved_water("box_barge")[0])
    record["readings"] = [one for one in record["readings"] if one["state"] != 4]
    assert refusal(record).code == "ballast-heel-unknown"


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


def water_checks(record: Document) -> dict[str, str]:
    found = reduce_record(from_document(TestRecord, record), uncertainty="none").checks
    return {check.id: check.status for check in found if check.id.startswith(("W-11", "W-12", "W-13"))}


def test_every_condition_of_moved_water_is_asked_for_and_none_is_taken_as_kept() -> None:
    """2008 IS Code part B, annex 1, 2.3.4: what nobody recorded is missing."""
    record = moved_water("box_barge")[0]
    found = water_checks(record)
    assert {found[name] for name in ("W-11", "W-12-lines", "W-12-manifolds", "W-12-valves")} == {"fail"}
    assert {found[name] for name in ("W-12-stringers", "W-12-density", "W-12-tables")} == {"fail"}
    assert found["W-12-time"] == "not-assessed"
    kept = water_checks(record | {"ballast_procedure": PROCEDURE})
    assert {name for name, status in kept.items() if status != "pass"} == {"W-12-time"}
    untrue = water_checks(record | {"ballast_procedure": PROCEDURE | {"lines_full": False}})
    assert untrue["W-12-lines"] == "fail"


def test_a_long_pause_between_states_is_told() -> None:
    record = moved_water("box_barge")[0]
    timed = [one | {"at": f"2024-05-06T{8 + one['state']:02d}:00:00Z"} for one in record["readings"]]
    assert water_checks(record | {"readings": timed})["W-12-time"] == "warn"
    quick = [one | {"at": f"2024-05-06T08:{5 * one['state']:02d}:00Z"} for one in record["readings"]]
    assert water_checks(record | {"readings": quick})["W-12-time"] == "pass"


def test_tanks_that_are_not_opposite_or_whose_surface_meets_the_bottom_are_told() -> None:
    record = dict(moved_water("box_barge")[0])
    tanks = record["vessel"]["tanks"]
    shifted = [
        tank | {"table": [row | {"x_m": row["x_m"] + 3.0} for row in tank["table"]]} if tank["name"] == "WB P" else tank
        for tank in tanks
    ]
    assert water_checks(record | {"vessel": record["vessel"] | {"tanks": shifted}})["W-12-opposite"] == "warn"
    low = [_cut_short(tank, record) if tank["name"].startswith("WB") else tank for tank in tanks]
    assert water_checks(record | {"vessel": record["vessel"] | {"tanks": low}})["W-13"] == "fail"


def _cut_short(tank: Document, record: Document) -> Document:
    """The same box with its crown 2 mm above the highest sounding."""
    names = ("from_before_m", "from_after_m", "to_before_m", "to_after_m")
    crown = max(move[name] for move in record["ballast_moves"] for name in names) + 0.002
    rows = [row for row in tank["table"] if row["sounding_m"] < crown]
    last, above = rows[-1], tank["table"][len(rows)]
    share = (crown - last["sounding_m"]) / (above["sounding_m"] - last["sounding_m"])
    return tank | {"table": [*rows, {name: last[name] + share * (above[name] - last[name]) for name in last}]}


def test_the_movements_and_returns_of_a_test_by_water_count() -> None:
    found = {c.id: c for c in reduce_record(from_document(TestRecord, moved_water("box_barge")[0])).checks}
    assert found["C-01"].value == len(SHARES) - 1
    assert found["C-02-zeros"].value == SHARES[1:].count(0.0)


def test_a_pipe_near_the_end_of_a_long_tank_is_no_slip() -> None:
    """A rectangle ends 1.73 radii of gyration from its centre: a tank a quarter of the ship long reaches an eighth."""
    found = reduce_record(from_document(TestRecord, moved_water("box_barge")[0]), uncertainty="none").checks
    assert {check.status for check in found if check.id.startswith("tank-table")} <= {"pass", "not-assessed"}
    assert next(check for check in found if check.id == "tank-table-pipe").value == pytest.approx(7.05, abs=0.01)
