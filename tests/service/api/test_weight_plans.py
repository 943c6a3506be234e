"""/v1/weight-plans: a plan, the nearest when there is none, and refusals that name the field."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest

from tests.support.app import Api, migrated_sqlite

# 2 500 t and GM 0.95 m: four weights of 3 t, two of them moved 12 m, are 72 t·m, and
# atan(72 / (2 500 · 0.95)) = 1.736°, before the little that the weights change displacement and GM (derived here).
REQUEST: dict[str, Any] = {
    "displacement_t": 2500.0,
    "gm_m": 0.95,
    "gm_uncertainty_m": 0.05,
    "heel_band_deg": [1.5, 3.0],
    "breadth_m": 14.0,
    "depth_m": 8.0,
    "draught_m": 4.5,
    "weights_count": 4,
    "positions": [{"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 8.6, "units_per_side": 4}],
    "stock": [{"mass_t": 3.0, "count": 4}],
    "instruments": [
        {"id": "forward", "kind": "pendulum", "length_m": 6.0},
        {"id": "aft", "kind": "pendulum", "length_m": 5.5},
    ],
}


@pytest.fixture
def database_url(tmp_path: Path) -> str:
    """Nothing is stored by a plan, so one kind of database is enough."""
    return migrated_sqlite(tmp_path)


def test_a_request_that_can_be_met_gives_a_plan(api: Api) -> None:
    plan = api.post("/weight-plans", REQUEST).get_json()
    assert plan["feasible"] is True
    assert plan["binding_constraint"] is None
    assert plan["total_mass_t"] == 12.0
    assert max(state["moment_t_m"] for state in plan["states"]) == 72.0
    assert plan["max_heel_deg"]["expected"] == pytest.approx(1.736, abs=0.06)
    assert plan["states"][1]["lift"]["from"] == plan["states"][0]["positions"]["A"]


def test_a_request_that_cannot_be_met_is_answered_with_the_nearest_plan_and_what_binds(api: Api) -> None:
    answer = api.post("/weight-plans", REQUEST | {"gm_m": 10.0, "gm_uncertainty_m": 0.5})
    assert answer.status_code == 200
    assert answer.get_json()["feasible"] is False
    assert answer.get_json()["binding_constraint"]


@pytest.mark.parametrize(
    ("change", "binds"),
    [
        ({"stock": [{"mass_t": 3.0, "count": 2}]}, "stock: 2 weights at hand, 4 are needed"),
        ({"stock": [{"mass_t": 3.0, "count": 2}], "weights_count": [2, 4, 6]}, "stock: 2 weights at hand"),
        ({"stock": [{"mass_t": 300.0, "count": 4}]}, "stability: the 4 lightest weights, 1200 t"),
        ({"gm_m": -0.5}, "stability: GM lies between -0.55 m and -0.45 m"),
        ({"gm_m": 0.1}, "P-22: GM with the weights aboard is 0.08 m"),
        ({"gm_uncertainty_m": 2.0}, "stability: GM lies between -1.05 m and 2.95 m"),
        ({"initial_heel_deg": 6.0}, "P-18: the initial list is"),
        ({"shift_step_m": 20.0}, "shift-step: shifts are multiples of 20 m"),
    ],
)
def test_what_is_impossible_is_answered_with_a_change_that_can_be_sent_back(
    api: Api, change: dict[str, Any], binds: str
) -> None:
    answer = api.post("/weight-plans", REQUEST | change)
    assert answer.status_code == 200
    plan = answer.get_json()
    assert plan["feasible"] is False
    assert plan["binding_constraint"].startswith(binds)
    assert plan["nearest_change"]
    again = api.post("/weight-plans", REQUEST | change | plan["nearest_change_patch"]).get_json()
    assert again["feasible"] is True
    assert again["total_mass_t"] == plan["nearest_plan"]["total_mass_t"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"gm_m": -5000}, "/gm_m"),
        ({"gm_uncertainty_m": -2.0}, "/gm_uncertainty_m"),
        ({"heel_band_deg": [3, 2]}, "/heel_band_deg"),
        ({"heel_band_deg": [2]}, "/heel_band_deg"),
        ({"weights_count": 5}, "/weights_count"),
        ({"weights_count": "4"}, "/weights_count"),
        ({"weights_count": []}, "/weights_count"),
        ({"weight_step_t": 1.0}, "/stock"),
        ({"draught_m": 9.0}, "/draught_m"),
        ({"stock": [{"mass_t": -3.0, "count": 4}]}, "/stock/0/mass_t"),
        ({"stock": [{"mass_t": 3.0, "count": -1}]}, "/stock/0/count"),
        ({"instruments": [{"id": "a", "kind": "pendulum"}]}, "/instruments/0/length_m"),
        ({"positions": [REQUEST["positions"][0] | {"y_port_m": 6.0}]}, "/positions/0/y_port_m"),
        ({"hull_form": {}}, "/hull_form"),
    ],
)
def test_a_request_that_cannot_be_meant_is_refused(api: Api, change: dict[str, Any], pointer: str) -> None:
    refused = api.post("/weight-plans", REQUEST | change)
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == pointer


def test_where_no_change_helps_the_answer_says_what_has_to_be_known_first(api: Api) -> None:
    answer = api.post("/weight-plans", REQUEST | {"gm_m": 0.08, "gm_uncertainty_m": 0.27, "depth_m": 4.501})
    assert answer.status_code == 200
    plan = answer.get_json()
    assert plan["feasible"] is False
    assert plan["binding_constraint"].startswith("stability: GM lies between -0.19 m and 0.35 m")
    assert "GM is 0.20 m or more at the lower end of its range" in plan["first_needed"]
    assert [plan[name] for name in ("weights", "states", "checks", "alternatives")] == [[], [], [], []]
    of_a_plan = ("total_mass_t", "max_heel_deg", "expected_uncertainty", "lifts", "nearest_plan", "levers")
    assert all(plan[name] is None for name in of_a_plan)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"gm_m": 15.5}, "/gm_m"),
        ({"displacement_t": 25_000.0}, "/displacement_t"),
        ({"positions": [REQUEST["positions"][0] | {"z_m": 86.0}]}, "/positions/0/z_m"),
    ],
)
def test_figures_that_contradict_each_other_are_refused(api: Api, change: dict[str, Any], pointer: str) -> None:
    refused = api.post("/weight-plans", REQUEST | change)
    assert (refused.status_code, refused.get_json()["code"]) == (422, "contradiction")
    assert refused.get_json()["errors"][0]["pointer"] == pointer


def test_more_choices_than_can_be_searched_are_refused_at_once(api: Api) -> None:
    """Steps of a kilogram up to a fifth of 250 000 t by four are 12.5 million masses."""
    large = {"displacement_t": 250_000.0, "gm_m": 6.0, "breadth_m": 60.0, "depth_m": 30.0, "draught_m": 18.0}
    free = {name: value for name, value in REQUEST.items() if name != "stock"} | large | {"weight_step_t": 0.001}
    started = time.process_time()
    refused = api.post("/weight-plans", free)
    assert time.process_time() - started < 1.0
    assert (refused.status_code, refused.get_json()["code"]) == (422, "plan-too-large")
    assert refused.get_json()["errors"][0]["pointer"] == "/positions"
    assert "steps of 0.001 t" in refused.get_json()["detail"]
