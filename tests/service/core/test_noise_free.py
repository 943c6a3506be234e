"""Tests without measurement error, floated by the simulator, come back as the ship that was floated.

The simulator cuts triangles and shares no code with the service. Lightship VCG within 2 mm, mass within 0.05 %.
"""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from heelwright_service.core.checks import CheckInput, judge
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import Reduced, work_out

from tests.support.simulator import FAMILIES, Options, Simulated, simulate
from tests.support.simulator.liquids import Liquid, Tank
from tests.support.simulator.mesh import box_mesh
from tests.support.simulator.testday import float_states, record_of
from tests.support.simulator.truth import truth_of

Document = dict[str, Any]

VCG_M = 0.002
MASS_RELATIVE = 5e-4
TESTS = 300

USUAL = Options()
OTHERWISE = Options(
    instruments=["pendulum", "u-tube", "inclinometer"], height_change_m=0.3, tank_geometry=True, weights=4
)


def reduced(record: Document) -> Reduced:
    return work_out(from_document(TestRecord, record))


def assert_true(work: Reduced, test: Simulated, vcg_m: float = VCG_M) -> float:
    """Hold the best estimate against the truth; the error of VCG [m]."""
    true = test.truth["lightship"]
    light = work.outcome.lightship[work.best]
    assert work.best == "heeled-equilibrium"
    assert light.mass_t[0] == pytest.approx(true["mass_t"], rel=MASS_RELATIVE)
    assert light.vcg_m[0] == pytest.approx(true["vcg_m"], abs=vcg_m)
    assert light.tcg_m[0] == pytest.approx(true["tcg_m"], abs=0.001)
    assert light.lcg_m[0] == pytest.approx(true["lcg_m"], abs=2e-4 * test.record["vessel"]["length_bp_m"])
    return float(light.vcg_m[0] - true["vcg_m"])


@pytest.mark.parametrize("options", [USUAL, OTHERWISE], ids=["usual", "otherwise"])
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_a_test_without_error_gives_the_lightship(family: str, options: Options) -> None:
    """Pendulums alone; then three kinds of instruments, weights that change height and tanks with their shapes."""
    test = simulate(family, 101, options=options)
    assert_true(reduced(test.record), test)


@pytest.mark.heavy
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_three_hundred_tests_without_error_give_their_lightships(family: str) -> None:
    seeds = range(2000, 2000 + -(-TESTS // len(FAMILIES)))
    errors = []
    for seed in seeds:
        test = simulate(family, seed, options=OTHERWISE if seed % 3 == 0 else USUAL)
        errors.append(assert_true(reduced(test.record), test))
    print(f"{family}: {len(errors)} tests, VCG within {1000 * max(map(abs, errors)):.2f} mm")


@pytest.mark.parametrize("family", ["round_bilge", "transom_cargo"])
@pytest.mark.parametrize("hog_m", [0.05, -0.04])
def test_a_bent_hull_gives_the_lightship_but_for_how_its_masses_ride_on_the_bend(family: str, hog_m: float) -> None:
    """What a hog carries the masses up by, less what it carries the buoyancy up by, is what the budget holds open."""
    test = simulate(family, 103, options=Options(hog_m=hog_m))
    work = reduced(test.record)
    inclined = test.truth["as_inclined"]
    left_open = inclined["hog_lift_of_mass_m"] - inclined["hog_lift_of_volume_m"]
    kg = float(work.outcome.centre_m[work.best][0, 2])
    assert work.outcome.displacement_t[0] == pytest.approx(inclined["displacement_t"], rel=MASS_RELATIVE)
    assert float(work.outcome.planes.hog_m[0]) == pytest.approx(hog_m, abs=0.001)
    assert kg == pytest.approx(inclined["vcg_as_inclined_m"] + left_open, abs=VCG_M)


@pytest.mark.parametrize("family", ["wall_sided", "hard_chine", "bulbous_bow"])
def test_a_dozen_stations_are_enough_for_a_smooth_hull(family: str) -> None:
    """The error of a hull model given coarsely is the model's, not the method's: within 1.5 cm where given so."""
    test = simulate(family, 104, options=Options(coarse=10))
    light = reduced(test.record).outcome.lightship["heeled-equilibrium"]
    assert light.mass_t[0] == pytest.approx(test.truth["lightship"]["mass_t"], rel=3e-3)
    assert light.vcg_m[0] == pytest.approx(test.truth["lightship"]["vcg_m"], abs=0.015)


def with_low_wide_tank(test: Simulated, shaped: bool) -> Simulated:
    """The same ship with one wide tank 4 % full instead of her own tanks: its bottom comes dry as she heels."""
    day = test.day
    length, breadth, depth = (day.ship.shape.length_bp_m, day.ship.shape.breadth_m, day.ship.shape.depth_m)
    low = np.array([0.4 * length, -0.4 * breadth, 0.1 * depth])
    high = np.array([0.48 * length, 0.4 * breadth, 0.3 * depth])
    tank = Tank("wide", box_mesh(low, high), np.array([0.42 * length, 0.1 * breadth, 0.1 * depth]), "WB")
    ship = replace(day.ship, liquids=[Liquid(tank, 0.04 * tank.shape.volume_m3, 1.025)])
    again = replace(day, ship=ship, afloat=float_states(ship, day.spots, 0.0))
    record = record_of(again, 121, 1, shaped)
    return Simulated(record, truth_of(again), record, again)


@pytest.mark.parametrize("family", ["box_barge", "round_bilge"])
def test_a_liquid_that_pockets_is_followed_by_its_tanks_shape_and_flagged_either_way(family: str) -> None:
    for shaped in (True, False):
        test = with_low_wide_tank(simulate(family, 105, options=Options(refine=2)), shaped)
        work = reduced(test.record)
        light = work.outcome.lightship["heeled-equilibrium"]
        error = abs(float(light.vcg_m[0]) - test.truth["lightship"]["vcg_m"])
        assert (error < VCG_M) == shaped, error
        judgement = judge(CheckInput(work.test, work.outcome, None, work.hull, work.table))
        pocketing = next(check for check in judgement.checks if check.id == "K-05")
        assert pocketing.status == "warn"


def upright_record(test: Simulated) -> Document:
    """Marks on the centreline only, so that the list is not read; the instruments show it from the upright ship."""
    plane, vessel = test.day.initial, test.record["vessel"]
    marks = [
        {"name": name, "x_m": share * vessel["length_bp_m"], "y_m": 0.0, "zero_z_m": -0.012}
        for name, share in (("aft", 0.03), ("midship", 0.52), ("forward", 0.96))
    ]
    draughts = [{"mark": m["name"], "reading_m": plane.z_m(m["x_m"], 0.0) - m["zero_z_m"]} for m in marks]
    tangents = np.tan(np.radians(test.truth["as_inclined"]["heels_deg"]))
    lengths = {one["id"]: one.get("length_m") for one in test.record["instruments"]}
    readings = []
    for reading in test.record["readings"]:
        tangent, length = float(tangents[reading["state"]]), lengths[reading["instrument"]]
        value = {"value_deg": float(np.degrees(np.arctan(tangent)))}
        if length is not None:
            value = {"value_mm": 1000.0 * length * tangent}
        readings.append({"state": reading["state"], "instrument": reading["instrument"], **value})
    return test.record | {"vessel": vessel | {"marks": marks}, "draughts": draughts, "readings": readings}


@pytest.mark.parametrize("zero", ["upright", "arbitrary"])
def test_without_readings_on_both_sides_the_list_comes_from_instruments_that_know_the_upright(zero: str) -> None:
    """Where none says so and nothing else shows the list, every zero is taken as the upright ship."""
    test = simulate("round_bilge", 106, options=Options(instruments=["pendulum", "inclinometer"]))
    record = upright_record(test)
    record["instruments"] = [one | {"zero": zero} for one in record["instruments"]]
    work = reduced(record)
    assert work.test.fits_list_from_readings
    assert_true(work, test)


def test_one_instrument_that_knows_the_upright_is_enough_beside_others() -> None:
    test = simulate("asymmetric", 107, options=Options(instruments=["inclinometer", "pendulum"]))
    record = upright_record(test)
    record["instruments"] = [
        one | ({"zero": "upright"} if one["kind"] == "inclinometer" else {}) for one in record["instruments"]
    ]
    for reading in record["readings"]:
        if "value_mm" in reading:
            reading["value_mm"] += 17.0
    assert_true(reduced(record), test)


def rolled(mean_deg: float, phase: float) -> list[float]:
    """Samples twice a second of a ship rolling with a period of 9.1 s and dying down, cut off anywhere."""
    time = np.arange(0.0, 93.0, 0.5)
    return (mean_deg + 0.15 * np.exp(-time / 400.0) * np.sin(2.0 * np.pi * time / 9.1 + phase)).tolist()


def test_an_inclinometer_may_give_its_samples() -> None:
    test = simulate("hard_chine", 108, options=Options(instruments=["inclinometer", "inclinometer"]))
    record = dict(test.record)
    record["readings"] = [
        {"state": one["state"], "instrument": one["instrument"], "samples_deg": rolled(one["value_deg"], 0.7 * i)}
        for i, one in enumerate(record["readings"])
    ]
    assert_true(reduced(record), test)


def test_readings_may_be_repeated_and_withdrawn_with_a_reason() -> None:
    test = simulate("tumblehome", 109)
    record = dict(test.record)
    again = [one | {"repeat": 2} for one in record["readings"] if one["state"] in (0, 3)]
    wrong = {**record["readings"][5], "value_mm": 999.0, "withdrawn_reason": "the wire touched the trough"}
    record["readings"] = [*record["readings"], *again, wrong]
    work = reduced(record)
    assert_true(work, test)
    assert work.test.tangents is not None
    assert len(work.test.tangents.tangents) == len(test.record["readings"]) + len(again)
    assert work.test.tangents.withdrawn == [
        f"State {wrong['state']}, {wrong['instrument']}: withdrawn, the wire touched the trough"
    ]


def freeboards_of(test: Simulated, places: int) -> list[Document]:
    """The deck edge's height above the water at places along both sides, taped without error."""
    plane, vessel = test.day.initial, test.record["vessel"]
    length, half, depth = vessel["length_bp_m"], vessel["breadth_m"] / 2, vessel["depth_m"]
    return [
        {
            "x_m": share * length,
            "y_m": side * half,
            "point_z_m": depth,
            "reading_m": depth - plane.z_m(share * length, side * half),
        }
        for share in np.linspace(0.06, 0.93, places).tolist()
        for side in (-1.0, 1.0)
    ]


@pytest.mark.parametrize("places", [2, 5, 7])
def test_freeboards_alone_give_the_lightship(places: int) -> None:
    test = simulate("wall_sided", 110)
    record = {name: part for name, part in test.record.items() if name != "draughts"}
    record["freeboards"] = freeboards_of(test, places)
    record["vessel"] = {name: part for name, part in record["vessel"].items() if name != "marks"}
    assert_true(reduced(record), test)


def test_freeboards_and_draughts_are_fitted_together() -> None:
    test = simulate("wall_sided", 110)
    work = reduced(test.record | {"freeboards": freeboards_of(test, 5)})
    assert len(work.test.points.z_m) == 16
    assert_true(work, test)


def test_a_hundredth_of_keel_thickness_is_a_hundredth_of_draught() -> None:
    """Marks that count from the underside of a 14 mm keel plate have their zero 14 mm below the moulded baseline."""
    test = simulate("wall_sided", 110)
    keel_m = 0.014
    record = dict(test.record)
    record["vessel"] = record["vessel"] | {
        "marks": [mark | {"zero_z_m": mark["zero_z_m"] - keel_m} for mark in record["vessel"]["marks"]]
    }
    record["draughts"] = [one | {"reading_m": one["reading_m"] + keel_m} for one in record["draughts"]]
    assert_true(reduced(record), test)
