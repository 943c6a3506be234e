"""Two shorter stories in browsers: a lightweight survey, and a finished test that comes as a file, until approval."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.client.web.story import plan_of, tank_plan_of
from tests.e2e.browser.conftest import Quay
from tests.e2e.browser.deeds import (
    RECORD,
    TODAY,
    answer_findings,
    approve,
    close_action,
    close_survey,
    draughts_and_soundings,
    enter_item,
    enter_lightship,
    enter_person,
    fill,
    move_on,
    press,
    signed_in,
    stored_ship,
    waive,
)

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

PLANNED = {
    "date": TODAY,
    "place.name": "Saltmarsh basin, east quay",
    "expected.displacement_t": "1501",
    "expected.lightship_mass_t": "1425",
    "expected.lightship_lcg_m": "35.4",
    "expected.lightship_vcg_m": "4.33",
    "hydrostatics.document": "Hydrostatics rev. C",
    "hydrostatics.accepted_by": "Tomas Rein",
    "hydrostatics.accepted_on": "2031-04-01",
    "safety.stop_word": "avast",
    "persons.0.role": "person-in-charge",
    "persons.0.name": "Ines Aldous",
    "persons.1.role": "surveyor",
    "persons.1.name": "Tomas Rein",
}


def test_a_lightweight_survey_finds_her_heavier_and_what_follows_is_seen_to(chromium: Browser, quay: Quay):
    planner = signed_in(chromium, quay, "Petra Planner", "planner")
    approver = signed_in(chromium, quay, "Odile Marsh", "approver")
    ship = stored_ship(planner, quay)
    enter_lightship(approver, quay, ship, {"date": "2020-04-02", "mass_t": "1425", "approved": "yes"})
    address = _planned(planner, quay, ship)
    recorder = signed_in(chromium, quay, "Rolf Recorder", "recorder")
    _surveyed(recorder, planner, address)
    planner.goto(f"{address}/result")
    press(planner, "Reduce the test")
    planner.get_by_text("Preliminary").first.wait_for()
    move_on(planner, address, "preliminary result")
    answer_findings(planner, address)
    approve(approver, address)
    approver.get_by_text("The test is approved").wait_for()
    close_action(planner, quay)
    newest = next(each for each in quay.client.lightships.of(ship) if each["date"] == TODAY)
    assert (newest["basis"], newest["vcg_m"]) == ("lightweight-survey", None)
    assert newest["mass_t"] == pytest.approx(1470.4, abs=0.5)


def _planned(page: Page, quay: Quay, ship: str) -> str:
    page.goto(f"{quay.address}/tests/new?vessel={ship}")
    page.get_by_label("Kind").select_option("lightweight-survey")
    press(page, "Open the test")
    address = page.url
    page.goto(f"{address}/plan")
    fill(page, PLANNED)
    press(page, "Store the plan")
    page.goto(f"{address}/tank-plan")
    for row, tank in enumerate(tank_plan_of(RECORD)["tanks"]):
        fill(page, {f"tanks.{row}.state": tank["state"], f"tanks.{row}.evidence": "sounded"})
        if tank["state"] == "slack":
            fill(page, {f"tanks.{row}.{name}": tank[name] for name in ("sounding_m", "density_t_per_m3")})
    press(page, "Store the tank plan")
    page.goto(f"{address}/plan")
    for rule in page.locator("select[name=point] option").evaluate_all("all => all.map(each => each.value)"):
        waive(page, rule, "Ines Aldous")
    move_on(page, address, "procedure issued")
    page.goto(f"{address}/ship/")
    press(page, "Make the list")
    move_on(page, address, "ship prepares")
    return address


def _surveyed(recorder: Page, planner: Page, address: str) -> None:
    """Everything that is aboard, the weights on deck among it, and what she floats at."""
    move_on(planner, address, "advisory survey")
    close_survey(recorder, address, "advisory survey")
    move_on(planner, address, "survey day")
    start = RECORD["states"][0]["positions"]
    blocks = [
        {"description": f"Block {weight['id']} on deck", "kind": "surplus", "mass_t": weight["mass_t"]}
        | dict(zip(("x_m", "y_m", "z_m"), start[weight["id"]], strict=True))
        for weight in plan_of(RECORD, TODAY)["moves"]["weights"]
    ]
    for item in [*RECORD["items"], *blocks]:
        enter_item(recorder, address, item)
    enter_person(recorder, address, _party())
    draughts_and_soundings(recorder, address)
    for what, role, name in (("data", "surveyor", "Tomas Rein"), ("reservations", "surveyor", "Tomas Rein")):
        recorder.goto(f"{address}/reservations")
        fill(recorder.locator("form[action$='/enter/signatures']"), {"what": what, "role": role, "name": name})
        press(recorder, "Sign")
    close_survey(recorder, address, "survey")
    close_survey(recorder, address, "day of draughts and soundings")


def _party() -> dict[str, float]:
    """Everybody aboard as one row: their masses added, at their common centre."""
    mass_t = sum(each["mass_t"] for each in RECORD["persons"])
    centre = {
        name: round(sum(each["mass_t"] * each[name] for each in RECORD["persons"]) / mass_t, 3)
        for name in ("x_m", "y_m", "z_m")
    }
    return {"mass_t": mass_t, **centre}


def test_a_finished_test_comes_as_a_file_and_is_approved(chromium: Browser, quay: Quay, tmp_path: Path):
    planner = signed_in(chromium, quay, "Petra Planner", "planner")
    ship = stored_ship(planner, quay)
    file = tmp_path / "finished.json"
    file.write_text(json.dumps(RECORD), encoding="utf-8")
    planner.goto(f"{quay.address}/vessels/{ship}")
    planner.get_by_role("link", name="Enter a finished test").click()
    fill(planner, {"kind": "inclining-test", "record_source": "report 12 of the yard, 2031-06-02"})
    planner.get_by_label("A file").set_input_files(file)
    press(planner, "Enter the test")
    address = planner.url
    planner.goto(f"{address}/result")
    press(planner, "Reduce the test")
    move_on(planner, address, "preliminary result")
    answer_findings(planner, address)
    with planner.expect_download() as taken:
        planner.goto(f"{address}/record")
        planner.get_by_role("link", name="Take the whole test out as a file").click()
    whole = json.loads(taken.value.path().read_text(encoding="utf-8"))
    assert {name: whole[name] for name in RECORD} == RECORD
    assert whole["campaign"]["test"]["stage"] == "under-review"
    approver = signed_in(chromium, quay, "Odile Marsh", "approver")
    approve(approver, address)
    approver.get_by_text("The test is approved").wait_for()
    (newest,) = quay.client.lightships.of(ship)
    assert newest["approved"] is True
    assert newest["mass_t"] == pytest.approx(1470.4, abs=0.5)
