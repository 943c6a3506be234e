"""What a vessel's history and log let one expect: the review compares with it, and it may forbid a mere survey."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.support.app import make_app, migrated_sqlite
from tests.support.campaign import client_of, enter_vessel, simulated, truth

CRANE = {"kind": "added", "mass_t": 60.0, "x_m": 55.0, "y_m": 0.0, "z_m": 8.0, "description": "Deck crane"}


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    return make_app(migrated_sqlite(tmp_path))


def procedure_check(app: Flask, kind: str, alterations: list[dict[str, Any]]) -> dict[str, Any]:
    """RP-24 of a test of a vessel with these alterations since her approved inclining."""
    admin = client_of(app, "admin", "Fleet office")
    vessel_id = enter_vessel(admin, simulated())
    for each in alterations:
        admin.alterations.add(vessel_id, each)
    test_id = admin.tests.open(vessel_id, kind).document["id"]
    return next(each for each in admin.tests.procedure(test_id)["checks"] if each["id"] == "RP-24")


def test_a_survey_is_not_enough_where_the_log_calls_for_an_inclining(app: Flask) -> None:
    found = procedure_check(app, "lightweight-survey", [{**CRANE, "date": "2023-05-01"}])
    assert found["status"] == "fail"
    assert "against a limit of" in found["text"]


def test_a_survey_is_enough_where_nothing_has_changed(app: Flask) -> None:
    assert procedure_check(app, "lightweight-survey", [])["status"] == "pass"


def test_an_inclining_is_always_enough(app: Flask) -> None:
    assert procedure_check(app, "inclining-test", [{**CRANE, "date": "2023-05-01"}])["status"] == "pass"


def findings(app: Flask, alterations: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """The review of the simulated test, whose record knows of a lighter lightship with another LCG."""
    admin, record, real = client_of(app, "admin", "Fleet office"), simulated(), truth()["lightship"]
    vessel_id = enter_vessel(admin, record)
    for each in alterations:
        admin.alterations.add(vessel_id, each)
    moment = real["mass_t"] * real["lcg_m"] - CRANE["mass_t"] * CRANE["x_m"]
    before = {"mass_t": real["mass_t"] - CRANE["mass_t"], "vcg_m": 4.5, "date": "2019-04-02"}
    before["lcg_m"] = moment / before["mass_t"]
    entered = {**record, "vessel": {**record["vessel"], "approved_lightship": before}, "test": {"date": "2024-05-15"}}
    test_id = admin.tests.open(vessel_id, "inclining-test", origin="entered-record", record_source="paper").document[
        "id"
    ]
    admin.tests.put_record(test_id, entered)
    admin.tests.reduce(test_id)
    return {each["id"]: each for each in admin.tests.review(test_id)["findings"]}


def test_growth_that_the_log_explains_is_no_finding(app: Flask) -> None:
    found = findings(app, [{**CRANE, "date": "2023-05-01"}])
    assert found["RR-15"]["status"] == "pass"
    assert "1 logged alteration" in found["RR-15"]["text"]
    assert found["RR-19"]["status"] == "pass"
    assert "1 logged alteration makes her 60.0 t heavier" in found["RR-19"]["text"]


def test_the_same_growth_without_a_log_is_asked_about(app: Flask) -> None:
    found = findings(app, [])
    assert (found["RR-15"]["status"], found["RR-19"]["status"]) == ("warn", "warn")
    assert "0 logged alteration" in found["RR-15"]["text"]


def test_what_was_logged_after_the_test_explains_nothing(app: Flask) -> None:
    assert findings(app, [{**CRANE, "date": "2024-06-01"}])["RR-15"]["status"] == "warn"
