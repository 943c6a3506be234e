"""/v1/deviations and /v1/materiality: prices by record and by plan, refusals that name the field."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from heelwright_service.core.documents import to_document
from heelwright_service.core.uncertainty.deviation_kinds import KINDS

from tests.contract.test_answers import assert_documented
from tests.service.api.test_weight_plans import REQUEST
from tests.service.core.uncertainty.box import box_record
from tests.support.app import Api, migrated_sqlite

HELD = {"kind": "heel-held", "share": 0.03}


@pytest.fixture
def database_url(tmp_path: Path) -> str:
    """Nothing is stored by a price, so one kind of database is enough."""
    return migrated_sqlite(tmp_path)


@pytest.fixture(scope="module")
def record() -> dict[str, Any]:
    return without_nothing(to_document(box_record()))


def without_nothing(document: Any) -> Any:
    """The document without the fields that are null."""
    if isinstance(document, dict):
        return {name: without_nothing(value) for name, value in document.items() if value is not None}
    return [without_nothing(item) for item in document] if isinstance(document, list) else document


def test_deviations_are_priced_on_a_record_in_the_order_asked(api: Api, record: dict[str, Any]) -> None:
    void = {"kind": "liquid-unseen", "mass_t": 10.0, "x_m": 25.0, "y_m": 0.0, "z_m": 0.4}
    answer = api.post("/deviations", {"record": record, "deviations": [HELD, void]})
    assert answer.status_code == 200
    held, unseen = answer.get_json()["items"]
    assert (held["kind"], held["side"]) == ("heel-held", "unsafe")
    assert held["kg_m"] == pytest.approx(-0.058, abs=0.001)
    assert unseen["vcg_m"] == pytest.approx(-0.038, abs=0.001)
    assert unseen["mass_t"] == pytest.approx(10.0)
    assert unseen["added_standard_uncertainty_m"] == pytest.approx(0.038 / 3**0.5, abs=0.001)


@pytest.mark.parametrize(
    ("deviation", "field", "limit"),
    [
        ({"kind": "liquid-unseen", "mass_t": 100_000.0, "x_m": 25.0, "y_m": 0.0, "z_m": 0.4}, "mass_t", "1260"),
        ({"kind": "draught-reading", "size_m": 50.0}, "size_m", "2.049"),
        ({"kind": "instrument-length", "size_m": -4.5}, "size_m", "4 at most"),
        ({"kind": "shift-distance", "size_m": 50.0}, "size_m", "widest shift"),
        ({"kind": "water-density", "density_t_per_m3": 1.3}, "density_t_per_m3", "1.1 t/m³"),
        ({"kind": "people-walk", "mass_t": 0.3, "distance_m": 120.0}, "distance_m", "her breadth"),
    ],
)
def test_a_size_that_this_ship_cannot_have_is_refused_with_the_limit(
    api: Api, record: dict[str, Any], deviation: dict[str, Any], field: str, limit: str
) -> None:
    vessel = {**record["vessel"], "breadth_m": 12.0}
    answer = api.post("/deviations", {"record": {**record, "vessel": vessel}, "deviations": [HELD, deviation]})
    assert answer.status_code == 422
    problem = answer.get_json()
    assert problem["code"] == "deviation-size-impossible"
    assert problem["errors"][0]["pointer"] == f"/deviations/1/{field}"
    assert limit in problem["errors"][0]["message"]


def test_a_plan_is_priced_before_the_test_with_the_planners_choice_or_ones_own(
    api: Api, record: dict[str, Any]
) -> None:
    asked = api.post("/deviations", {"plan": REQUEST, "deviations": [HELD]}).get_json()
    chosen = api.post("/weight-plans", REQUEST).get_json()
    own = {
        **REQUEST,
        "inclining_weights": [{"id": one["id"], "mass_t": one["mass_t"]} for one in chosen["weights"]],
        "states": [{"number": one["number"], "positions": one["positions"]} for one in chosen["states"]],
    }
    stated = api.post("/deviations", {"plan": own, "deviations": [HELD]}).get_json()
    assert asked["items"] == stated["items"]
    gm = (2500.0 * 0.95 - 12.0 * (8.6 - 4.5)) / 2512.0  # with the weights aboard, at their height over the waterline
    assert asked["items"][0]["kg_m"] == pytest.approx(-gm * (1.0 / 0.97 - 1.0), rel=0.01)
    assert any("box" in text for text in asked["cautions"])


def test_a_plan_with_a_vessel_is_priced_on_her_hull(api: Api, record: dict[str, Any]) -> None:
    plan = {**REQUEST, "displacement_t": 1240.0, "gm_m": 1.9, "breadth_m": 12.0, "depth_m": 6.0, "draught_m": 2.016}
    positions = [{"x_m": 25.0, "y_port_m": -5.0, "y_starboard_m": 5.0, "z_m": 6.5}]
    plan |= {"positions": positions, "stock": [{"mass_t": 3.5, "count": 4}]}
    answer = api.post("/deviations", {"plan": plan, "vessel": record["vessel"], "deviations": [HELD]})
    assert answer.status_code == 200, answer.get_json()
    assert not any("box" in text for text in answer.get_json()["cautions"])


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"deviations": [{"kind": "heel-held"}]}, "/deviations/0/share"),
        ({"deviations": [{"kind": "luck"}]}, "/deviations/0/kind"),
        ({"deviations": [HELD, {**HELD, "states": [99]}]}, "/deviations/1/states"),
        ({"deviations": [{**HELD, "share": "0.03"}]}, "/deviations/0/share"),
        ({"deviations": [{**HELD, "hearsay": 1}]}, "/deviations/0/hearsay"),
        ({"deviations": []}, "/deviations"),
        ({"plan": REQUEST}, "/plan"),
        ({"record": None}, "/record"),
        ({"vessel": {"length_bp_m": 50.0}}, "/vessel/hull"),
    ],
)
def test_what_cannot_be_priced_is_refused_by_the_field(
    api: Api, record: dict[str, Any], change: dict[str, Any], pointer: str
) -> None:
    refused = api.post("/deviations", {"record": record, "deviations": [HELD]} | change)
    assert refused.status_code == 422
    assert pointer in [error["pointer"] for error in refused.get_json()["errors"]]


def test_what_is_wrong_with_the_record_is_named_within_it(api: Api, record: dict[str, Any]) -> None:
    drawn = {**record, "draughts": [{"mark": "funnel", "reading_m": 2.0}]}
    refused = api.post("/deviations", {"record": drawn, "deviations": [HELD]})
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "/record/draughts/0/mark"


def test_weights_of_a_plan_without_its_states_are_refused(api: Api) -> None:
    half = {**REQUEST, "inclining_weights": [{"id": "A", "mass_t": 3.0}]}
    refused = api.post("/deviations", {"plan": half, "deviations": [HELD]})
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "/plan/states"


@pytest.mark.parametrize(
    "change",
    [
        {"stock": [{"mass_t": 3.0, "count": 2}]},
        {"gm_m": 0.08, "gm_uncertainty_m": 0.27, "depth_m": 4.501},
    ],
)
def test_where_the_planner_has_no_plan_for_the_request_there_is_nothing_to_price(
    api: Api, change: dict[str, Any]
) -> None:
    """One request with a plan after its nearest change only, and one without any."""
    planned = api.post("/weight-plans", REQUEST | change).get_json()
    assert planned["shown_after_change"] or not planned["weights"]
    refused = api.post("/deviations", {"plan": REQUEST | change, "deviations": [HELD]})
    assert (refused.status_code, refused.get_json()["code"]) == (422, "no-plan")
    assert refused.get_json()["errors"][0]["pointer"] == "/plan"
    assert planned["binding_constraint"] in refused.get_json()["detail"]


def test_the_kinds_are_listed_with_the_sizes_that_they_need(api: Api) -> None:
    items = api.get("/deviations/kinds").get_json()["items"]
    assert {item["kind"] for item in items} == set(KINDS)
    assert next(item for item in items if item["kind"] == "heel-held")["needs"] == ["share"]


def test_materiality_answers_expanded_targets_with_limits(api: Api) -> None:
    """0.0392 m and 9.8 t at 95 % are 0.02 m and 5 t standard: 0.32·0.02·1200·√(3/50) is 1.88 t·m (derived here)."""
    request = {"target_vcg_uncertainty_m": 0.0392, "target_mass_uncertainty_t": 9.8, "lightship_mass_t": 1200.0}
    found = api.post("/materiality", request).get_json()
    assert found["item_moment_t_m"] == pytest.approx(1.882, abs=0.001)
    assert found["item_mass_t"] == pytest.approx(0.392, abs=0.001)
    more = api.post("/materiality", request | {"unlisted_items": 200}).get_json()
    assert more["item_moment_t_m"] == pytest.approx(0.5 * found["item_moment_t_m"])


@pytest.mark.parametrize("name", ["target_vcg_uncertainty_m", "lightship_mass_t", "unlisted_items"])
def test_materiality_of_nothing_is_refused(api: Api, name: str) -> None:
    request: dict[str, Any] = {"target_vcg_uncertainty_m": 0.04, "lightship_mass_t": 1200.0, "unlisted_items": 10}
    refused = api.post("/materiality", request | {name: 0})
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == f"/{name}"


def test_a_weight_plan_says_which_lever_is_the_cheapest_for_its_target(api: Api) -> None:
    plan = api.post("/weight-plans", REQUEST | {"target_gm_uncertainty_m": 0.008}).get_json()
    assert plan["levers"]["reached"] is True
    assert plan["levers"]["cheapest"] == ["have the weights certified to 0.1 %"]
    assert [lever["enough"] for lever in plan["levers"]["levers"]].count(True) == 1


@pytest.mark.parametrize(
    ("method", "path", "body"),
    [
        ("post", "/deviations", {"plan": REQUEST, "deviations": [HELD]}),
        ("get", "/deviations/kinds", None),
        ("post", "/materiality", {"target_vcg_uncertainty_m": 0.04, "lightship_mass_t": 1200.0}),
    ],
)
def test_answers_are_as_documented(api: Api, method: str, path: str, body: dict[str, Any] | None) -> None:
    answer = api.get(path) if body is None else api.post(path, body)
    assert_documented(api, method, path, answer)
