"""Real answers are what the document says: every field documented, every documented field there."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.support.app import Api

SIMULATED = Path(__file__).parents[1] / "reference" / "simulated"
CONTOUR = [[0, 0], [6, 0], [6, 5]]
BOX = {"stations": [{"x_m": 0, "contour_m": CONTOUR}, {"x_m": 50, "contour_m": CONTOUR}]}
ROWS = [
    {"draught_m": t, "volume_m3": 600 * t, "lcb_m": 25, "vcb_m": t / 2, "km_t_m": t / 2 + 12 / t} for t in (1, 2, 3)
]
LIGHTSHIP = {
    "date": "2015-03-01",
    "basis": "inclining-test",
    "mass_t": 1200,
    "lcg_m": 24,
    "vcg_m": 6.0,
    "approved": True,
}
SURVEY = {"date": "2020-03-01", "basis": "lightweight-survey", "mass_t": 1230, "lcg_m": 24.1}
ALTERATION = {"date": "2018-05-17", "kind": "added", "mass_t": 20.0, "x_m": 20, "y_m": 0, "z_m": 6}
PLAN = {
    "displacement_t": 2500.0, "gm_uncertainty_m": 0.05, "heel_band_deg": [1.5, 3.0], "breadth_m": 14.0, "depth_m": 8.0,
    "draught_m": 4.5, "weights_count": 4, "stock": [{"mass_t": 3.0, "count": 4}],
    "positions": [{"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 8.6}],
    "instruments": [
        {"id": "forward", "kind": "pendulum", "length_m": 6.0}, {"id": "aft", "kind": "pendulum", "length_m": 5.5},
    ],
}  # fmt: skip
FACTS = {"kind": "passenger", "length_m": 52.0}


def undocumented(document: dict[str, Any], schema: dict[str, Any], answer: Any, at: str = "") -> Iterator[str]:
    """List the fields of an answer that its schema does not name."""
    while "$ref" in schema:
        schema = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    for choice in schema.get("anyOf", []):
        if "$ref" in choice and answer is not None:
            yield from undocumented(document, choice, answer, at)
    if isinstance(answer, dict) and "properties" in schema:
        for name, value in answer.items():
            if name not in schema["properties"]:
                yield f"{at}/{name}"
            else:
                yield from undocumented(document, schema["properties"][name], value, f"{at}/{name}")
    if isinstance(answer, list) and "items" in schema:
        for place, value in enumerate(answer):
            yield from undocumented(document, schema["items"], value, f"{at}/{place}")


def assert_documented(api: Api, method: str, path: str, answer: Any) -> None:
    """Compare an answer of success with the schema of its operation."""
    document = api.get("/openapi.json").get_json()
    assert answer.status_code < 300, answer.get_json()
    content = document["paths"][f"/v1{path}"][method]["responses"][str(answer.status_code)]["content"]
    schema = content["application/json"]["schema"]
    faults = list(Draft202012Validator({**schema, "components": document["components"]}).iter_errors(answer.get_json()))
    assert [f"{'/'.join(map(str, fault.path))}: {fault.message}" for fault in faults] == []
    assert list(undocumented(document, schema, answer.get_json())) == []


@pytest.mark.parametrize("name", ["box-14", "ship-21"])
def test_a_test_result_is_as_documented(api: Api, name: str) -> None:
    record = json.loads((SIMULATED / f"{name}.record.json").read_text())
    assert_documented(api, "post", "/reductions", api.post("/reductions", record))
    assert_documented(api, "post", "/reductions", api.post("/reductions?method=small-angle&uncertainty=none", record))


def test_a_survey_result_is_as_documented(api: Api) -> None:
    record = json.loads((SIMULATED / "box-14.record.json").read_text())
    survey = {name: part for name, part in record.items() if name not in ("readings", "instruments")}
    survey["states"] = record["states"][:1]
    assert_documented(api, "post", "/reductions", api.post("/reductions", survey))


@pytest.mark.parametrize("form", [{"hull": BOX}, {"hydrostatic_table": {"rows": ROWS}}])
def test_hydrostatics_are_as_documented(api: Api, form: dict[str, Any]) -> None:
    request = {"length_bp_m": 50, "planes": [{"draught_m": 2}], "density_t_per_m3": 1.025} | form
    assert_documented(api, "post", "/hydrostatics", api.post("/hydrostatics", request))


@pytest.mark.parametrize("gm_m", [0.95, 9.0])
def test_a_weight_plan_is_as_documented_whether_feasible_or_not(api: Api, gm_m: float) -> None:
    answer = api.post("/weight-plans", PLAN | {"gm_m": gm_m})
    assert answer.get_json()["feasible"] == (gm_m < 1)
    assert_documented(api, "post", "/weight-plans", answer)


def test_a_drift_is_as_documented(api: Api) -> None:
    request = {"vessel": FACTS, "lightships": [LIGHTSHIP, SURVEY], "alterations": [ALTERATION]}
    assert_documented(api, "post", "/drift", api.post("/drift", request))


def test_what_is_stored_is_as_documented(api: Api) -> None:
    made = api.post("/vessels", {"name": "Alder", **FACTS})
    vessel = f"/vessels/{made.get_json()['id']}"
    assert_documented(api, "post", "/vessels", made)
    stored = {
        "/lightships": [LIGHTSHIP, SURVEY],
        "/alterations": [ALTERATION],
    }
    for part, bodies in stored.items():
        for body in bodies:
            assert_documented(api, "post", f"/vessels/{{vessel_id}}{part}", api.post(vessel + part, body))
        assert_documented(api, "get", f"/vessels/{{vessel_id}}{part}", api.get(vessel + part))
    for kind, body in (("hull", BOX), ("hydrostatic-table", {"rows": ROWS}), ("marks", {"marks": []})):
        assert_documented(api, "put", f"/vessels/{{vessel_id}}/{kind}", api.put(f"{vessel}/{kind}", body))
        assert_documented(api, "get", f"/vessels/{{vessel_id}}/{kind}", api.get(f"{vessel}/{kind}"))
        path = f"/vessels/{{vessel_id}}/{kind}/versions"
        assert_documented(api, "get", path, api.get(f"{vessel}/{kind}/versions"))
    api.post("/vessels", {"name": "Birch"})
    assert_documented(api, "get", "/vessels/{vessel_id}/drift", api.get(f"{vessel}/drift"))
    assert_documented(api, "get", "/fleet/drift", api.get("/fleet/drift"))
    assert_documented(api, "get", "/events", api.get("/events"))
    assert_documented(api, "get", "/tokens", api.get("/tokens"))
    assert_documented(api, "post", "/tokens", api.post("/tokens", {"name": "x", "role": "reader"}))
