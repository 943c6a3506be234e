"""/v1/reductions: what cannot be meant is refused where it stands, and a sound record gives the whole result."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from heelwright_service.store.canonical import sha256_of

from tests.support.app import Api, migrated_sqlite

Record = dict[str, Any]
SIMULATED = Path(__file__).parents[2] / "reference" / "simulated"
SOUND = json.loads((SIMULATED / "box-14.record.json").read_text())
TRUTH = json.loads((SIMULATED / "box-14.truth.json").read_text())


@pytest.fixture
def database_url(tmp_path: Path) -> str:
    """Nothing is stored by a reduction, so one kind of database is enough."""
    return migrated_sqlite(tmp_path)


@pytest.fixture
def record() -> Record:
    """A simulated test of a box, without noise."""
    return copy.deepcopy(SOUND)


def reading_in_a_state_that_is_not_there(record: Record) -> None:
    record["readings"][0]["state"] = 99


def draught_at_a_mark_that_is_not_there(record: Record) -> None:
    record["draughts"][0]["mark"] = "elsewhere"


def hull_far_under_water(record: Record) -> None:
    for draught in record["draughts"]:
        draught["reading_m"] = 60


def hull_out_of_the_water(record: Record) -> None:
    for draught in record["draughts"]:
        draught["reading_m"] = -9


def weights_that_never_move(record: Record) -> None:
    for state in record["states"]:
        state["positions"] = record["states"][0]["positions"]


def fewer_than_three_moments(record: Record) -> None:
    record["states"] = record["states"][:2]
    record["readings"] = [reading for reading in record["readings"] if reading["state"] <= 1]


def pendulum_without_length(record: Record) -> None:
    del record["instruments"][0]["length_m"]


def weight_named_twice(record: Record) -> None:
    record["inclining_weights"].append(record["inclining_weights"][0])


def weight_left_out_of_a_state(record: Record) -> None:
    del record["states"][1]["positions"]["A"]


def tank_sounded_beyond_its_table(record: Record) -> None:
    record["soundings"][0].update(state="slack", sounding_m=50)


def tank_that_is_not_there(record: Record) -> None:
    record["soundings"][0]["tank"] = "nowhere"


def negative_mass(record: Record) -> None:
    record["inclining_weights"][0]["mass_t"] = -1


def negative_item(record: Record) -> None:
    record["items"][0]["mass_t"] = -1


def misplaced_without_its_place(record: Record) -> None:
    record["items"] = [{"description": "x", "kind": "misplaced", "mass_t": 1, "x_m": 1, "y_m": 0, "z_m": 1}]


def density_in_other_units(record: Record) -> None:
    record["water"]["samples"][0]["density_t_per_m3"] = 1025


def tank_density_left_out(record: Record) -> None:
    del record["soundings"][0]["density_t_per_m3"]


def mark_described_twice(record: Record) -> None:
    record["vessel"]["marks"].append(record["vessel"]["marks"][0])


def neither_draughts_nor_freeboards(record: Record) -> None:
    record["draughts"] = []


def neither_hull_nor_table(record: Record) -> None:
    del record["vessel"]["hull"]


def reading_with_two_values(record: Record) -> None:
    record["readings"][0]["value_deg"] = 1


def unknown_field_deep_inside(record: Record) -> None:
    record["vessel"]["tanks"][0]["pipe"]["z_m"] = 1


def text_for_a_number_deep_inside(record: Record) -> None:
    record["states"][0]["positions"]["A"][1] = "3"


@pytest.mark.parametrize(
    ("spoil", "pointer"),
    [
        (reading_in_a_state_that_is_not_there, "/readings/0/state"),
        (draught_at_a_mark_that_is_not_there, "/draughts/0/mark"),
        (hull_far_under_water, "/draughts/0/reading_m"),
        (hull_out_of_the_water, "/draughts/0/reading_m"),
        (weights_that_never_move, "/states"),
        (fewer_than_three_moments, "/readings"),
        (pendulum_without_length, "/instruments/0/length_m"),
        (weight_named_twice, "/inclining_weights/4/id"),
        (weight_left_out_of_a_state, "/states/1/positions"),
        (tank_sounded_beyond_its_table, "/soundings/0/sounding_m"),
        (tank_that_is_not_there, "/soundings/0/tank"),
        (negative_mass, "/inclining_weights/0/mass_t"),
        (negative_item, "/items/0/mass_t"),
        (misplaced_without_its_place, "/items/0/to_x_m"),
        (density_in_other_units, "/water/samples/0/density_t_per_m3"),
        (tank_density_left_out, "/soundings/0/density_t_per_m3"),
        (mark_described_twice, "/vessel/marks/6/name"),
        (neither_draughts_nor_freeboards, "/draughts"),
        (neither_hull_nor_table, "/vessel/hull"),
        (reading_with_two_values, "/readings/0/value_mm"),
        (unknown_field_deep_inside, "/vessel/tanks/0/pipe/z_m"),
        (text_for_a_number_deep_inside, "/states/0/positions/A/1"),
    ],
)
def test_a_record_that_cannot_be_meant_is_refused_where_it_stands(
    api: Api, record: Record, spoil: Callable[[Record], None], pointer: str
) -> None:
    spoil(record)
    refused = api.post("/reductions?uncertainty=none", record)
    assert (refused.status_code, refused.content_type) == (422, "application/problem+json")
    problem = refused.get_json()
    assert [fault["pointer"] for fault in problem["errors"]] == [pointer]
    assert len(problem["detail"]) > 20


@pytest.mark.parametrize(
    ("query", "parameter"),
    [("method=best", "method"), ("uncertainty=some", "uncertainty"), ("draws=5", "draws"), ("seed=-1", "seed")],
)
def test_a_method_that_is_none_is_refused_by_its_parameter(
    api: Api, record: Record, query: str, parameter: str
) -> None:
    refused = api.post(f"/reductions?{query}", record)
    assert (refused.status_code, refused.get_json()["errors"][0]["parameter"]) == (422, parameter)


def test_a_sound_record_gives_the_lightship_and_where_it_comes_from(api: Api, record: Record) -> None:
    answer = api.post("/reductions", record)
    assert answer.status_code == 200
    result = answer.get_json()
    light = TRUTH["lightship"]
    # the simulated record has no noise: 0.05 % of mass and 2 mm of VCG is what its makers ask for
    assert result["lightship"]["mass_t"] == pytest.approx(light["mass_t"], rel=5e-4)
    assert result["lightship"]["vcg_m"] == pytest.approx(light["vcg_m"], abs=2e-3)
    assert result["lightship"]["method"] == "heeled-equilibrium"
    assert set(result["lightship_by_method"]) == {"small-angle", "heeled-equilibrium"}
    assert result["uncertainty"]["method"] == "linear"
    assert result["provenance"]["record_sha256"] == sha256_of(record)
    assert api.get("/events").get_json()["items"][1:] == []


def test_a_record_with_one_state_and_no_readings_is_a_survey_that_measures_no_vcg(api: Api, record: Record) -> None:
    for name in ("readings", "instruments"):
        del record[name]
    record["states"] = record["states"][:1]
    result = api.post("/reductions?uncertainty=none", record).get_json()
    assert result["lightship"]["mass_t"] == pytest.approx(TRUTH["lightship"]["mass_t"], rel=5e-4)
    assert result["lightship"]["vcg_m"] is None
    assert result["small_angle"] is None
    assert result["uncertainty"] is None


def test_a_survey_whose_weights_stand_nobody_knows_where_is_refused(api: Api, record: Record) -> None:
    for name in ("states", "readings", "instruments"):
        del record[name]
    refused = api.post("/reductions?uncertainty=none", record)
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, "/inclining_weights")


def test_the_same_seed_gives_the_same_simulation(api: Api, record: Record) -> None:
    query = "/reductions?uncertainty=monte-carlo&draws=500&seed=7&method=small-angle"
    first, again = (api.post(query, record).get_json()["uncertainty"] for _ in range(2))
    assert first == again
    assert first["draws"] == 500
