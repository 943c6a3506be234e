"""Acceptance sheets over the API: compared, kept in order, and named by the tests that rest on them."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from heelwright_service.store.queries.vessels import EVERYTHING, get_vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.vessel_description import described_vessel

from tests.support.app import Api, engine_of, new_token

LENGTH, BREADTH = 50.0, 12.0
BOX = {"stations": [{"x_m": x, "contour_m": [[0, 0], [6, 0], [6, 5]]} for x in (0.0, LENGTH)]}
MARKS = {"marks": [{"name": "aft", "x_m": 1.0, "y_m": 0.0, "zero_z_m": -0.01}]}


def approved_row(draught_m: float, trim_m: float, **wrong: float) -> dict[str, float]:
    """The box: Δ = ρ·L·B·T, LCB by the trim, KM_T with the trim's share of z_B."""
    slope = trim_m / LENGTH
    vcb = draught_m / 2 + 0.5 * LENGTH**2 / (12.0 * draught_m) * slope**2
    return {
        "draught_m": draught_m,
        "trim_m": trim_m,
        "displacement_t": 1.025 * LENGTH * BREADTH * draught_m,
        "lcb_m": LENGTH / 2 - LENGTH**2 / (12.0 * draught_m) * slope,
        "km_t_m": vcb + BREADTH**2 / (12.0 * draught_m),
    } | wrong


def sheet(**more: Any) -> dict[str, Any]:
    rows = [approved_row(t, s) for t in (1.5, 2.0, 2.5) for s in (0.0, 0.4)]
    return {
        "checker": "R. Hale",
        "date": "2024-02-01",
        "approved_hydrostatics": {
            "document": "drawing 101",
            "density_t_per_m3": 1.025,
            "draughts_from": "moulded-baseline",
            "rows": rows,
        },
        "mark_plan": {"document": "drawing 103", "rows": [{"name": "aft", "x_m": 1.0, "zero_z_m": -0.01}]},
        "spaces": [{"name": "tunnel", "in_model": False, "in_approved": False}],
    } | more


def disagreeing() -> dict[str, Any]:
    found = sheet()
    found["approved_hydrostatics"]["rows"][0]["km_t_m"] += 0.05
    return found


@pytest.fixture
def described(api: Api) -> str:
    """The path of a vessel with a hull and marks."""
    made = api.post("/vessels", {"name": "Box of the tests", "kind": "cargo", "length_bp_m": LENGTH})
    path = f"/vessels/{made.get_json()['id']}"
    assert api.put(f"{path}/hull", BOX).status_code == 201
    assert api.put(f"{path}/marks", MARKS).status_code == 201
    return path


def test_a_model_that_comes_with_the_request_is_compared_and_not_stored(api: Api) -> None:
    vessel = {"length_bp_m": LENGTH, "hull": BOX, **MARKS}
    found = api.post("/model-acceptance", sheet(vessel=vessel)).get_json()
    assert found["accepted"]
    assert len(found["version"]) == 64
    assert max(found["largest"].values()) < 1e-9
    refused = api.post("/model-acceptance", disagreeing() | {"vessel": vessel}).get_json()
    assert not refused["accepted"]
    assert [one["quantity"] for one in refused["differences"] if not one["within"]] == ["km_t_m"]


def test_a_sheet_is_kept_with_the_version_of_the_model_and_who_compared(api: Api, described: str) -> None:
    made = api.post(f"{described}/model-acceptance", sheet())
    assert made.status_code == 201
    found = made.get_json()
    assert (found["accepted"], found["checker"], found["of_current_model"]) == (True, "R. Hale", True)
    assert found["recorded_by"] == "administrator"
    assert api.get(made.headers["Location"].removeprefix("/v1")).get_json() == found


def test_sheets_are_added_and_never_changed(api: Api, described: str) -> None:
    path = f"{described}/model-acceptance"
    first = api.post(path, disagreeing()).get_json()
    second = api.post(path, sheet()).get_json()
    assert (first["accepted"], second["accepted"], second["supersedes"]) == (False, True, first["id"])
    listed = api.get(path).get_json()["items"]
    assert [item["id"] for item in listed] == [first["id"], second["id"]]
    assert api.delete(f"{path}/{first['id']}").status_code == 405


def test_a_sheet_of_an_earlier_model_is_no_acceptance_of_the_current_one(api: Api, described: str) -> None:
    path = f"{described}/model-acceptance"
    made = api.post(path, sheet()).get_json()
    api.put(f"{described}/marks", {"marks": []}, If_Match='"1"')
    assert api.get(f"{path}/{made['id']}").get_json()["of_current_model"] is False
    again = api.put(f"{described}/marks", MARKS, If_Match='"2"')
    assert again.status_code == 200
    assert api.get(f"{path}/{made['id']}").get_json()["of_current_model"] is True


def test_comparing_tells_the_feed(api: Api, described: str) -> None:
    made = api.post(f"{described}/model-acceptance", sheet()).get_json()
    last = api.get("/events?after=0").get_json()["items"][-1]
    assert last["type"].endswith("vessel.model-compared")
    assert last["data"] == {"accepted": True, "checker": "R. Hale", "version": made["version"]}


def test_a_vessel_without_form_has_nothing_to_compare(api: Api) -> None:
    made = api.post("/vessels", {"name": "New", "length_bp_m": LENGTH}).get_json()
    refused = api.post(f"/vessels/{made['id']}/model-acceptance", sheet())
    assert (refused.status_code, refused.get_json()["code"]) == (422, "vessel-incomplete")


def test_a_sheet_says_what_is_wrong_with_itself(api: Api, described: str) -> None:
    wrong = sheet(reasons=[{"subject": "mark aft", "reason": "worn"}])
    refused = api.post(f"{described}/model-acceptance", wrong).get_json()
    assert (refused["code"], refused["errors"][0]["pointer"]) == ("reason-unused", "/reasons/0/subject")
    refused = api.post(f"{described}/model-acceptance", sheet(surprise=1)).get_json()
    assert refused["errors"][0]["pointer"] == "/surprise"


def test_only_a_planner_accepts_and_only_within_his_scope(app: Flask, api: Api, described: str) -> None:
    path = f"{described}/model-acceptance"
    reader = Api(app.test_client(), new_token(app, "recorder", name="recorder"))
    assert reader.post(path, sheet()).status_code == 403
    elsewhere = Api(app.test_client(), new_token(app, "planner", name="planner", fleet="another"))
    assert elsewhere.post(path, sheet()).status_code == 404
    assert elsewhere.get(path).status_code == 404


def test_another_vessels_sheet_is_not_hers(api: Api, described: str) -> None:
    sheet_id = api.post(f"{described}/model-acceptance", sheet()).get_json()["id"]
    other = api.post("/vessels", {"name": "Other", "length_bp_m": LENGTH}).get_json()["id"]
    refused = api.get(f"/vessels/{other}/model-acceptance/{sheet_id}")
    assert (refused.status_code, refused.get_json()["code"]) == (404, "sheet-not-found")


def test_a_test_of_the_vessel_carries_the_acceptance_of_her_model_while_it_holds(
    app: Flask, api: Api, described: str
) -> None:
    def accepted() -> dict[str, Any] | None:
        with UnitOfWork(engine_of(app)).transaction(read_only=True) as session:
            row = get_vessel(session, described.rsplit("/", 1)[1], EVERYTHING)
            return described_vessel(session, row, None).document.get("model_acceptance")

    assert accepted() is None
    made = api.post(f"{described}/model-acceptance", sheet()).get_json()
    assert accepted() == {"checker": "R. Hale", "date": "2024-02-01", "version": made["version"]}
    api.post(f"{described}/model-acceptance", disagreeing())
    assert accepted() is None
    api.post(f"{described}/model-acceptance", sheet())
    api.put(f"{described}/marks", {"marks": []}, If_Match='"1"')
    assert accepted() is None


def test_a_tank_to_port_may_have_a_shape_of_its_own(api: Api, described: str) -> None:
    ring = [[-4.0, 0.5], [-1.0, 0.5], [-1.0, 2.5], [-4.0, 2.5]]
    rows = [
        {"sounding_m": s, "volume_m3": 30 * s, "x_m": 20, "y_m": -2.5, "z_m": 0.5 + s / 2, "i_t_m4": 22, "i_l_m4": 250}
        for s in (0.0, 2.0)
    ]
    tank = {
        "name": "FO 1P",
        "capacity_m3": 60.0,
        "pipe": {"x_m": 20, "y_m": -2.5, "zero_z_m": 0.5},
        "table": rows,
        "geometry": {"stations": [{"x_m": x, "contour_m": ring} for x in (15.0, 25.0)]},
    }
    assert api.put(f"{described}/tanks", {"tanks": [tank]}).status_code == 201
    plan = {"document": "drawing 102", "rows": [{"tank": "FO 1P", "volume_m3": 60, "x_m": 20, "y_m": -2.5, "z_m": 1.5}]}
    assert api.post(f"{described}/model-acceptance", sheet(capacity_plan=plan)).get_json()["accepted"]
