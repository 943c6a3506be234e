"""Whether the drift of a vessel calls for an inclining in place of a survey."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from heelwright_service.usecases.expected_lightship import why_inclining_is_called_for

from tests.support.app import Api, new_token

TESTED = {
    "date": "2015-03-01",
    "basis": "inclining-test",
    "mass_t": 4000.0,
    "lcg_m": 50.0,
    "vcg_m": 7.5,
    "approved": True,
}


def request(mass_t: float, rule_set: str, kind: str = "cargo") -> dict[str, Any]:
    survey = {"date": "2020-03-01", "basis": "lightweight-survey", "mass_t": mass_t, "lcg_m": 50.0}
    vessel = {"kind": kind, "length_m": 105.0}
    return {"vessel": vessel, "lightships": [TESTED, survey], "rule_set": rule_set, "as_of": "2024-01-01"}


@pytest.mark.parametrize(
    ("mass_t", "rule_set", "called_for"),
    [
        # SOLAS 1974 II-1/5.5: 2 % of 4000 t is 80 t
        (4081.0, "solas-2020", True),
        (4080.0, "solas-2020", False),
        # from memory with medium confidence, and a set without a rule: they advise
        (4500.0, "us-mtn", False),
        (4500.0, "france-cargo-500", False),
    ],
)
def test_a_rule_that_binds_calls_for_an_inclining_and_advice_does_not(
    mass_t: float, rule_set: str, called_for: bool
) -> None:
    why = why_inclining_is_called_for(request(mass_t, rule_set))
    assert (why is not None) == called_for
    assert why is None or why.startswith("D-07: mass has changed by 81.0 t")


def test_a_history_that_cannot_be_followed_calls_for_nothing() -> None:
    assert why_inclining_is_called_for(request(4500.0, "solas-2020") | {"lightships": []}) is None


def test_that_a_lead_ships_data_call_for_an_inclining_is_told_to_all_and_her_figures_to_those_who_see_her(
    app: Flask, api: Api
) -> None:
    ship = {"kind": "passenger", "length_m": 52.0, "length_bp_m": 50.0}
    lead = api.post("/vessels", ship | {"name": "Lead", "fleet": "South"}).get_json()["id"]
    facts = ship | {"name": "Sister", "fleet": "North", "sister_of": lead}
    sister = api.post("/vessels", facts).get_json()["id"]
    calculated = {"date": "2015-03-01", "basis": "calculation", "mass_t": 4000.0, "lcg_m": 50.0, "vcg_m": 7.6}
    for vessel_id, lightship in ((lead, TESTED), (sister, calculated | {"approved": True})):
        assert api.post(f"/vessels/{vessel_id}/lightships", lightship).status_code == 201
    test_id = api.post("/tests", {"vessel_id": sister, "kind": "lightweight-survey"}).get_json()["id"]
    limited = api.with_token(new_token(app, "planner", fleet="North"))
    found, told = (
        next(c for c in who.get(f"/tests/{test_id}/procedure").get_json()["checks"] if c["id"] == "RP-24")
        for who in (api, limited)
    )
    assert (found["status"], told["status"]) == ("fail", "fail")
    assert "0.100 m from the lead ship's lightship" in found["text"]
    assert told["text"] == (
        "An inclining is called for: it follows from the data of her lead ship, which this token may not see."
    )
