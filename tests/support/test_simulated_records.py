"""Records made by the simulator: their form, their scatter, and what they promise of the truth."""

import json
from dataclasses import fields
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import StatedUncertainties, TestRecord

from .simulator import FAMILIES, Noise, Options, Simulated, mesh_from_document, simulate

SOURCES = [field.name for field in fields(Noise) if field.type == "float"]


@pytest.fixture(scope="module")
def test_day() -> Simulated:
    kinds = ["pendulum", "u-tube", "inclinometer", "pendulum"]
    return simulate("round_bilge", 5, options=Options(coarse=4, refine=1, weights=4, instruments=kinds))


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_every_family_gives_a_test_that_is_worth_reducing(family: str) -> None:
    for seed in (11, 12):
        found = simulate(family, seed, options=Options(coarse=3, refine=1))
        heels = np.array(found.truth["as_inclined"]["heels_deg"])
        assert len(heels) >= 9
        assert abs(heels[0]) < 0.5
        assert 0.7 < heels.max() < 3.7
        assert 0.7 < -heels.min() < 3.7
        assert found.truth["lightship"]["mass_t"] > 0.85 * found.truth["as_inclined"]["displacement_t"]
        assert found.truth["as_inclined"]["gm_fluid_m"] > 0.2
        assert _freeboard_m(found) > 0.0


def _freeboard_m(found: Simulated) -> float:
    """Least height of a deck edge above the water in any state; ahead of the stem a bulb has no deck."""
    shape, low = found.day.ship.shape, np.inf
    for station in found.exact["vessel"]["hull"]["stations"]:
        x = station["x_m"]
        y, z = max(station["contour_m"], key=lambda point: point[1])
        if x < shape.length_bp_m or y > 0.0:
            for afloat in found.day.afloat:
                low = min(low, z - afloat.plane.z_m(x, y), z - afloat.plane.z_m(x, -y))
    return low


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_a_record_has_the_fields_of_a_test_record_and_survives_json(family: str) -> None:
    options = Options(coarse=6, refine=1, tank_geometry=True)
    record = simulate(family, 4, Noise.usual(), options).record
    assert json.loads(json.dumps(record)) == record
    parsed = from_document(TestRecord, record)
    assert len(parsed.vessel.marks) == 6
    assert 4 <= len(parsed.vessel.tanks) <= 6
    assert {sounding.state for sounding in parsed.soundings} >= {"slack", "empty"}
    assert {item.kind for item in parsed.items} == {"surplus", "missing", "misplaced"}
    assert set(record["uncertainties"]) == {field.name for field in fields(StatedUncertainties)}


def test_each_state_is_reached_by_one_lift_and_the_ship_returns(test_day: Simulated) -> None:
    states = [state["positions"] for state in test_day.record["states"]]
    for before, after in pairwise(states):
        assert sum(before[name] != after[name] for name in before) == 1
    assert states.count(states[0]) >= 3
    heels = test_day.truth["as_inclined"]["heels_deg"]
    assert heels[-1] == pytest.approx(heels[0], abs=1e-9)


def test_instruments_show_the_change_of_heel_from_marks_of_their_own(test_day: Simulated) -> None:
    record, heels = test_day.record, np.radians(test_day.truth["as_inclined"]["heels_deg"])
    for instrument in record["instruments"]:
        rows = [row for row in record["readings"] if row["instrument"] == instrument["id"]]
        if instrument["kind"] == "inclinometer":
            shown = np.array([row["value_deg"] for row in rows])
            assert np.ptp(shown - np.degrees(heels)) < 2e-6
        else:
            shown = np.array([row["value_mm"] for row in rows]) / 1000.0 / instrument["length_m"]
            assert np.ptp(shown - np.tan(heels)) < 2e-9
            assert abs(shown[0] - np.tan(heels[0])) > 1e-5


def test_tank_soundings_give_back_the_liquid_through_the_level_at_the_surface_centre(test_day: Simulated) -> None:
    """The level surface through the same volume lies under the surface's centroid, for a box exactly."""
    plane = test_day.day.initial
    for liquid, row in zip(test_day.day.ship.liquids, test_day.record["soundings"], strict=True):
        if liquid.state == "slack" and liquid.tank.contents == "FO":
            table = next(t for t in test_day.record["vessel"]["tanks"] if t["name"] == row["tank"])
            x, y = table["table"][0]["x_m"], table["table"][0]["y_m"]
            level = row["sounding_m"] + plane.slope_x * (x - table["pipe"]["x_m"])
            level += plane.slope_y * (y - table["pipe"]["y_m"])
            soundings = [r["sounding_m"] for r in table["table"]]
            volume = np.interp(level, soundings, [r["volume_m3"] for r in table["table"]])
            assert volume == pytest.approx(liquid.volume_m3, rel=1e-5)


def test_a_coarse_record_takes_its_stations_from_the_same_hull() -> None:
    fine, coarse = (simulate("knuckle_step", 9, options=Options(coarse=k)) for k in (1, 5))
    assert coarse.truth == fine.truth
    stations = [found.exact["vessel"]["hull"]["stations"] for found in (fine, coarse)]
    assert len(stations[1]) < 0.25 * len(stations[0])
    places = [station["x_m"] for station in stations[1]]
    assert len(places) - len(set(places)) == 1
    volumes = [mesh_from_document({"stations": given}).volume_m3 for given in stations]
    assert volumes[1] == pytest.approx(volumes[0], rel=5e-3)


def test_the_same_seed_gives_the_same_test_and_another_seed_another() -> None:
    options = Options(coarse=6, refine=1)
    first, again, other = (simulate("hard_chine", seed, Noise.usual(), options).record for seed in (3, 3, 4))
    assert first == again
    assert first != other


@pytest.mark.parametrize("source", SOURCES)
def test_each_source_of_error_touches_only_what_it_is_named_for(test_day: Simulated, source: str) -> None:
    size = 0.01
    sizes: dict[str, Any] = {source: size}
    noisy = test_day.noisy(np.random.default_rng(1), Noise(**sizes))
    assert noisy.truth == test_day.truth
    assert noisy.record["uncertainties"][source] == size
    assert sum(noisy.record["uncertainties"].values()) == size
    changed = [path for path, a, b in _leaves(test_day.exact, noisy.record) if a != b]
    assert changed
    assert all(TOUCHED[source](path) for path in changed), changed[:5]


TOUCHED: dict[str, Any] = {
    "draught_m": lambda path: path.startswith("draughts") and path.endswith("reading_m"),
    "density_t_per_m3": lambda path: path.startswith("water"),
    "reading_m": lambda path: path.endswith("value_mm"),
    "reading_deg": lambda path: path.endswith("value_deg"),
    "pendulum_length_m": lambda path: path in ("instruments/0/length_m", "instruments/3/length_m"),
    "weight_mass_relative": lambda path: path.startswith("inclining_weights"),
    "weight_position_m": lambda path: path.startswith("states"),
    "sounding_m": lambda path: path.startswith("soundings") and path.endswith("sounding_m"),
    "tank_volume_relative": lambda path: path.startswith("vessel/tanks") and path.endswith("_m3"),
    "item_mass_relative": lambda path: path.startswith(("items", "persons")) and path.endswith("mass_t"),
    "item_position_m": lambda path: path.startswith(("items", "persons")) and path.endswith(("x_m", "y_m", "z_m")),
    "hull_volume_relative": lambda path: path == "vessel/hull/shell_allowance_relative",
}


def _leaves(before: Any, after: Any, path: str = "") -> list[tuple[str, Any, Any]]:
    if isinstance(after, dict):
        pairs = [(key, (before or {}).get(key), value) for key, value in after.items() if key != "uncertainties"]
    elif isinstance(after, list):
        pairs = [(str(i), a, b) for i, (a, b) in enumerate(zip(before, after, strict=True))]
    else:
        return [(path, before, after)]
    return [leaf for key, a, b in pairs for leaf in _leaves(a, b, f"{path}/{key}".lstrip("/"))]


def test_errors_have_the_size_that_the_record_states(test_day: Simulated) -> None:
    rng, noise = np.random.default_rng(8), Noise(draught_m=0.008, pendulum_length_m=0.002, weight_mass_relative=0.003)
    draws = [test_day.noisy(rng, noise).record for _ in range(400)]
    exact = test_day.exact
    draughts = np.array([[row["reading_m"] for row in d["draughts"]] for d in draws])
    draughts = draughts - [row["reading_m"] for row in exact["draughts"]]
    lengths = np.array([d["instruments"][0]["length_m"] for d in draws]) - exact["instruments"][0]["length_m"]
    assert draughts.std() == pytest.approx(0.008, rel=0.05)
    assert abs(np.corrcoef(draughts[:, 0], draughts[:, 1])[0, 1]) < 0.2
    assert lengths.std() == pytest.approx(0.002, rel=0.12)
    masses = np.array([[w["mass_t"] for w in d["inclining_weights"]] for d in draws])
    shares = masses / [w["mass_t"] for w in exact["inclining_weights"]]
    assert np.ptp(shares, axis=1).max() < 1e-12
    assert shares[:, 0].std() == pytest.approx(0.003, rel=0.12)


def test_a_weight_put_back_on_its_spot_keeps_the_error_of_that_spot(test_day: Simulated) -> None:
    states = test_day.noisy(np.random.default_rng(2), Noise(weight_position_m=0.01)).record["states"]
    assert states[0]["positions"] == states[-1]["positions"]


def test_hog_moves_the_marks_and_the_masses_but_not_the_truth_in_undeformed_axes() -> None:
    options = [Options(coarse=4, refine=1, hog_m=hog) for hog in (0.0, 0.06)]
    straight, hogged = (simulate("transom_cargo", 6, options=chosen) for chosen in options)
    assert straight.truth["lightship"] == hogged.truth["lightship"]
    readings = [[row["reading_m"] for row in found.exact["draughts"]] for found in (straight, hogged)]
    change = np.diff(np.array(readings), axis=0)[0]
    assert np.mean(change[2:4]) - np.mean(change[[0, 1, 4, 5]]) == pytest.approx(-0.06 * (1.0 - 0.17), abs=0.006)
    inclined = hogged.truth["as_inclined"]
    assert inclined["hog_lift_of_mass_m"] == pytest.approx(0.042, abs=0.006)


def test_empty_and_pressed_tanks_are_sounded_within_their_tables_even_under_hog() -> None:
    record = simulate("box_barge", 2, options=Options(coarse=4, refine=1, hog_m=0.05)).exact
    tables = {tank["name"]: tank["table"] for tank in record["vessel"]["tanks"]}
    ends = {"empty": 0, "pressed": -1}
    seen = [row for row in record["soundings"] if row["state"] in ends]
    assert {row["state"] for row in seen} == {"empty", "pressed"}
    for row in seen:
        assert row["sounding_m"] == tables[row["tank"]][ends[row["state"]]]["sounding_m"]
