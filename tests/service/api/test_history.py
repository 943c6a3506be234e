"""Lightships and alterations: written once, corrected by name and reason; what counts of them in the drift."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from flask import Flask

from tests.support.app import Api, new_token

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


def test_a_survey_has_no_vcg_rather_than_zero(api: Api, vessel: str) -> None:
    stored = api.post(f"{vessel}/lightships", SURVEY)
    assert stored.status_code == 201
    assert api.get(stored.headers["Location"].removeprefix("/v1")).get_json()["vcg_m"] is None


def test_a_second_lightship_of_one_date_and_basis_needs_supersedes_and_a_reason(api: Api, vessel: str) -> None:
    first = api.post(f"{vessel}/lightships", LIGHTSHIP).get_json()
    twin = LIGHTSHIP | {"mass_t": 1210}
    refused = api.post(f"{vessel}/lightships", twin)
    assert (refused.status_code, refused.get_json()["code"]) == (409, "lightship-exists")
    assert refused.get_json()["errors"][0]["pointer"] == "/supersedes"
    unreasoned = api.post(f"{vessel}/lightships", twin | {"supersedes": first["id"]})
    assert unreasoned.get_json()["errors"][0]["pointer"] == "/reason"
    corrected = api.post(f"{vessel}/lightships", twin | {"supersedes": first["id"], "reason": "scale misread"})
    assert corrected.status_code == 201
    listed = api.get(f"{vessel}/lightships").get_json()["items"]
    assert {item["id"]: item["superseded_by"] for item in listed} == {
        first["id"]: corrected.get_json()["id"],
        corrected.get_json()["id"]: None,
    }
    assert next(item for item in listed if item["id"] == first["id"])["mass_t"] == 1200


def test_a_lightship_is_superseded_once(api: Api, vessel: str) -> None:
    first = api.post(f"{vessel}/lightships", LIGHTSHIP).get_json()["id"]
    again = LIGHTSHIP | {"supersedes": first, "reason": "again"}
    assert api.post(f"{vessel}/lightships", again).status_code == 201
    refused = api.post(f"{vessel}/lightships", again | {"date": "2015-03-02"})
    assert (refused.status_code, refused.get_json()["code"]) == (409, "already-superseded")


def test_a_correction_cannot_take_the_place_of_a_third_lightship(api: Api, vessel: str) -> None:
    api.post(f"{vessel}/lightships", LIGHTSHIP)
    survey = api.post(f"{vessel}/lightships", SURVEY).get_json()["id"]
    moved = LIGHTSHIP | {"supersedes": survey, "reason": "was an inclining test"}
    assert api.post(f"{vessel}/lightships", moved).get_json()["code"] == "lightship-exists"


def test_what_is_corrected_must_be_of_the_same_vessel(api: Api, vessel: str) -> None:
    other = f"/vessels/{api.post('/vessels', {'name': 'Birch'}).get_json()['id']}"
    lightship = api.post(f"{other}/lightships", SURVEY).get_json()["id"]
    refused = api.post(f"{vessel}/lightships", SURVEY | {"supersedes": lightship, "reason": "x"})
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, "/supersedes")
    entry = api.post(f"{other}/alterations", ALTERATION).get_json()["id"]
    refused = api.post(f"{vessel}/alterations", ALTERATION | {"corrects": entry, "reason": "x"})
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, "/corrects")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"mass_t": 0}, "/mass_t"),
        ({"mass_t": -5}, "/mass_t"),
        ({"kind": "relocated"}, "/to_x_m"),
        ({"to_x_m": 3}, "/to_x_m"),
        ({"corrects": "a"}, "/reason"),
        ({"withdrawn": True}, "/withdrawn"),
        ({"kind": "moved"}, "/kind"),
        ({"y_m": 900}, "/y_m"),
    ],
)
def test_an_alteration_that_cannot_be_meant_is_refused(
    api: Api, vessel: str, change: dict[str, Any], pointer: str
) -> None:
    refused = api.post(f"{vessel}/alterations", ALTERATION | change)
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == pointer
    assert api.get(f"{vessel}/alterations").get_json()["items"] == []


def test_the_drift_counts_what_stands_and_not_what_was_corrected_or_withdrawn(api: Api, vessel: str) -> None:
    api.post(f"{vessel}/lightships", LIGHTSHIP)
    wrong = api.post(f"{vessel}/alterations", ALTERATION | {"mass_t": 200}).get_json()["id"]
    api.post(f"{vessel}/alterations", ALTERATION | {"corrects": wrong, "reason": "a nought too many"})
    never = api.post(f"{vessel}/alterations", ALTERATION | {"mass_t": 7}).get_json()["id"]
    api.post(f"{vessel}/alterations", ALTERATION | {"corrects": never, "reason": "not done", "withdrawn": True})
    drift = api.get(f"{vessel}/drift").get_json()
    assert drift["logged"]["aggregate_t"] == 20.0
    assert drift["logged"]["entries"] == 1


def test_the_stored_drift_is_that_of_the_same_data_in_a_request(api: Api, vessel: str) -> None:
    for lightship in (LIGHTSHIP, SURVEY):
        api.post(f"{vessel}/lightships", lightship)
    api.post(f"{vessel}/alterations", ALTERATION)
    stored = api.get(f"{vessel}/drift?as_of=2021-01-01").get_json()
    facts = {"kind": "passenger", "length_m": 52.0, "length_bp_m": 50.0}
    request = {"vessel": facts, "lightships": [LIGHTSHIP, SURVEY], "alterations": [ALTERATION], "as_of": "2021-01-01"}
    stateless = api.post("/drift", request).get_json()
    for item in [stored["baseline"], stateless["baseline"], *stored["items"], *stateless["items"]]:
        item.pop("id")
    assert stored == stateless
    assert stored["items"][0]["delta"]["mass_t"]["value"] == 30.0


def test_a_vessel_without_kind_or_baseline_says_what_is_missing(api: Api, vessel: str) -> None:
    unknown = f"/vessels/{api.post('/vessels', {'name': 'Birch'}).get_json()['id']}"
    refused = api.get(f"{unknown}/drift")
    assert (refused.status_code, refused.get_json()["code"]) == (409, "vessel-incomplete")
    assert api.get(f"{vessel}/drift").status_code == 422


def test_two_lightships_of_one_date_and_basis_in_a_request_need_supersedes(api: Api) -> None:
    request = {"vessel": {"kind": "cargo", "length_m": 52.0}, "lightships": [LIGHTSHIP, LIGHTSHIP | {"mass_t": 1300}]}
    refused = api.post("/drift", request)
    assert (refused.status_code, refused.get_json()["code"]) == (422, "duplicate-lightship")
    assert refused.get_json()["errors"][0]["pointer"].startswith("/lightships/1")


def test_the_worst_vessel_of_a_fleet_comes_first_and_those_that_cannot_be_told_last(api: Api) -> None:
    masses = {"Quiet": 1201.0, "Grown": 1290.0, "Middling": 1215.0, "Unknown": None}
    for name, mass in masses.items():
        facts = {"name": name, "kind": "passenger", "length_m": 52.0, "fleet": "North"}
        path = f"/vessels/{api.post('/vessels', facts).get_json()['id']}"
        if mass is not None:
            api.post(f"{path}/lightships", LIGHTSHIP)
            api.post(f"{path}/lightships", SURVEY | {"mass_t": mass})
    api.post("/vessels", {"name": "Of another fleet", "kind": "cargo", "length_m": 30, "fleet": "South"})
    items = api.get("/fleet/drift?fleet=North").get_json()["items"]
    assert [item["vessel"]["name"] for item in items] == ["Grown", "Middling", "Quiet", "Unknown"]
    assert (items[0]["action"], items[0]["action_force"]) == ("re-incline", "binding")
    assert items[0]["action_reason"].startswith("D-07")
    assert (items[-1]["drift"], items[-1]["action_force"]) == (None, None)
    assert items[-1]["problem"]["code"] == "no-baseline"
    pages, cursor = [], ""
    while cursor is not None:
        page = api.get(f"/fleet/drift?fleet=North&limit=3{cursor and '&cursor=' + cursor}").get_json()
        pages += page["items"]
        cursor = page["next_cursor"]
    assert [item["vessel"]["name"] for item in pages] == ["Grown", "Middling", "Quiet", "Unknown"]


def test_a_survey_that_is_recorded_changes_the_order_of_the_fleet_at_once(api: Api) -> None:
    paths = {}
    for name, mass in (("First", 1230.0), ("Second", 1205.0)):
        facts = {"name": name, "kind": "passenger", "length_m": 52.0}
        paths[name] = f"/vessels/{api.post('/vessels', facts).get_json()['id']}"
        api.post(f"{paths[name]}/lightships", LIGHTSHIP)
        api.post(f"{paths[name]}/lightships", SURVEY | {"mass_t": mass})

    def order() -> list[str]:
        return [item["vessel"]["name"] for item in api.get("/fleet/drift").get_json()["items"]]

    assert order() == order() == ["First", "Second"]
    api.post(f"{paths['Second']}/lightships", SURVEY | {"date": "2022-03-01", "mass_t": 1400.0})
    assert order() == ["Second", "First"]
    api.patch(paths["Second"], {"kind": None}, If_Match='"1"')
    assert order() == ["First", "Second"]


CARGO = {"kind": "cargo", "length_m": 105.0, "fleet": "North"}
LEAD = {"date": "2015-03-01", "mass_t": 4000.0, "lcg_m": 50.0, "tcg_m": 0.0, "vcg_m": 7.5}
MEASURED = {"date": "2017-03-01", "basis": "lightweight-survey", "mass_t": 4061.0, "lcg_m": 50.0}


def sisters(api: Api, fleet: str = "North") -> str:
    """Store a lead ship with her approved test and a sister of the same plans; return the sister's path."""
    lead = api.post("/vessels", CARGO | {"name": "First of class", "fleet": fleet}).get_json()["id"]
    api.post(f"/vessels/{lead}/lightships", LEAD | {"basis": "inclining-test", "approved": True})
    facts = CARGO | {"name": "Second of class", "sister_of": lead}
    return f"/vessels/{api.post('/vessels', facts).get_json()['id']}"


def test_a_stored_sister_without_a_test_is_held_against_her_lead_ship(api: Api) -> None:
    # SOLAS 1974 II-1/5.2: 1.5 % of 4000 t at 105 m is 60 t
    sister = sisters(api)
    api.post(f"{sister}/lightships", MEASURED)
    drift = api.get(f"{sister}/drift?as_of=2018-01-01").get_json()
    assert drift["lead"]["name"] == "First of class"
    assert (drift["items"][0]["action"], drift["items"][0]["verdicts"][0]["rule"]) == ("re-incline", "D-01")
    ranked = api.get("/fleet/drift?fleet=North&as_of=2018-01-01").get_json()["items"]
    assert [item["vessel"]["name"] for item in ranked] == ["Second of class", "First of class"]
    asked = {"vessel": {"kind": "cargo", "length_m": 105.0}, "lightships": [MEASURED], "as_of": "2018-01-01"}
    stateless = api.post("/drift", asked | {"lead": LEAD | {"name": "First of class"}}).get_json()
    for item in (drift["items"][0], stateless["items"][0]):
        item.pop("id")
    assert drift == stateless


def test_her_own_approved_test_takes_the_place_of_the_lead_ships(api: Api) -> None:
    sister = sisters(api)
    api.post(f"{sister}/lightships", LEAD | {"date": "2017-05-01", "basis": "inclining-test", "approved": True})
    drift = api.get(f"{sister}/drift?as_of=2018-01-01").get_json()
    assert (drift["lead"], drift["baseline"]["basis"]) == (None, "inclining-test")


def test_a_lead_ship_of_a_fleet_that_a_token_may_not_see_tells_it_nothing(app: Flask, api: Api) -> None:
    sister = sisters(api, fleet="South")
    assert api.get(f"{sister}/drift").status_code == 200
    north = Api(app.test_client(), new_token(app, "reader", fleet="North"))
    assert north.get(f"{sister}/drift").get_json()["code"] == "no-baseline"


@pytest.mark.parametrize("name", ["mass_t", "lcg_m", "vcg_m", "date"])
def test_a_lead_ship_is_given_whole(api: Api, name: str) -> None:
    lead = {key: value for key, value in LEAD.items() if key != name}
    refused = api.post("/drift", {"vessel": {"kind": "cargo", "length_m": 105.0}, "lightships": [], "lead": lead})
    assert refused.get_json()["errors"][0]["pointer"] == f"/lead/{name}"


def test_histories_of_the_same_vessels_in_another_order_do_not_wait_for_each_other(app: Flask, api: Api) -> None:
    ids = [api.post("/vessels", {"name": name}).get_json()["id"] for name in ("Alder", "Birch", "Cedar")]
    outcomes: list[int] = []

    def store(order: list[str]) -> None:
        mine = Api(app.test_client(), api.token)
        entries = [{"vessel_id": vessel_id, "alteration": ALTERATION} for vessel_id in order]
        for _ in range(6):
            outcomes.append(mine.post("/history", {"entries": entries}).status_code)

    threads = [threading.Thread(target=store, args=(order,)) for order in (ids, ids[::-1])]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert outcomes == [201] * 12
    assert len(api.get(f"/vessels/{ids[0]}/alterations").get_json()["items"]) == 12
