"""The story of a test from its plan to its approval, by people in browsers: planner, ship, recorder, approver."""

from __future__ import annotations

import datetime
import re
from typing import TYPE_CHECKING, Any

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.demo.ships import TEST_SHIP

from tests.client.web.story import plan_of, tank_plan_of
from tests.e2e.browser.conftest import Quay

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

RECORD = carried(TEST_DAY)


def press(page: Page, words: str) -> None:
    """Press a button and wait for the page that follows."""
    with page.expect_navigation():
        page.get_by_role("button", name=words, exact=True).first.click()


def move_on(page: Page, test: str, words: str) -> None:
    """Move the test to its next stage on its own page."""
    page.goto(test)
    assert page.get_by_role("button", name=f"Go to: {words}").count(), page.locator("main").inner_text()[:900]
    press(page, f"Go to: {words}")
    assert page.locator("[aria-current=step]").inner_text() == words


def waive(page: Page, option: str, name: str) -> None:
    """Take the chosen point on by name."""
    details = page.locator("details", has_text="on by name").filter(has=page.locator("select")).first
    details.locator("summary").click()
    page.locator("select[name=point]").select_option(option)
    page.locator("#waived-name").fill(name)
    page.locator("#waived-reason").fill("shown on the day")
    press(page, "Take it on")


def typed_plan(page: Page, date: str) -> None:
    """Fill in the plan as the coordinator does."""
    plan = plan_of(RECORD, date)
    texts: dict[str, Any] = {
        "date": date,
        "place.name": plan["place"]["name"],
        "expected.displacement_t": "1501",
        "expected.gm_m": "1.03",
        "expected.lightship_mass_t": "1470",
        "expected.lightship_lcg_m": "35.4",
        "expected.lightship_vcg_m": "4.33",
        "hydrostatics.document": "Hydrostatics rev. C",
        "hydrostatics.accepted_by": "Tomas Rein",
        "hydrostatics.accepted_on": "2031-04-01",
        "safety.stop_word": "avast",
        "draught_plan.datum": "moulded baseline",
    }
    for name, text in texts.items():
        page.locator(f"[name='{name}']").fill(text)
    page.locator("[name='persons.0.role']").select_option("person-in-charge")
    page.locator("[name='persons.0.name']").fill("Ines Aldous")
    page.locator("[name='persons.1.role']").select_option("surveyor")
    page.locator("[name='persons.1.name']").fill("Tomas Rein")
    press(page, "Store the plan")


def test_a_test_is_carried_from_its_plan_to_its_approval(chromium: Browser, quay: Quay):
    ship = _stored_ship(quay)
    planner = quay.sign_in(chromium.new_context(), quay.token("planner", name="Petra Planner"))
    address = _opened_and_planned(planner, quay, ship)
    kell = quay.sign_in(chromium.new_context(), quay.token("recorder", name="B. Kell", vessel_ids=[ship]))
    _ship_answers(kell, planner, address)
    recorder = quay.sign_in(chromium.new_context(), quay.token("recorder", name="Rolf Recorder"))
    _surveyed(recorder, planner, address)
    _read(recorder, address)
    _closed(recorder, planner, address)
    approver = quay.sign_in(chromium.new_context(), quay.token("approver", name="Odile Marsh"))
    _approved(approver, planner, address)
    newest = list(quay.client.lightships.of(ship))[-1]
    assert newest["approved"] is True
    # The simulated test day hides this lightship: 1470 t at 4.33 m, to the noise of its readings.
    assert newest["mass_t"] == pytest.approx(1470.4, abs=0.5)
    assert newest["vcg_m"] == pytest.approx(4.331, abs=0.005)


def _stored_ship(quay: Quay) -> str:
    vessel = RECORD["vessel"]
    facts = {name: vessel[name] for name in ("length_bp_m", "breadth_m", "depth_m")}
    stored = quay.client.vessels.create(
        {"name": TEST_SHIP.name, "kind": "cargo", "imo_number": "0100006", "length_m": 72.79, **facts}
    ).document
    for part, content in (
        ("hull", vessel["hull"]),
        ("marks", {"marks": vessel["marks"]}),
        ("tanks", {"tanks": vessel["tanks"]}),
    ):
        quay.client.vessels.put_part(stored["id"], part, content)  # type: ignore[arg-type]
    return str(stored["id"])


def _opened_and_planned(page: Page, quay: Quay, ship: str) -> str:
    page.goto(f"{quay.address}/vessels/{ship}")
    page.get_by_role("link", name="Open a test").click()
    press(page, "Open the test")
    address = page.url
    page.get_by_role("link", name="Plan", exact=True).click()
    typed_plan(page, datetime.datetime.now(datetime.UTC).date().isoformat())
    page.get_by_text("The plan was stored.").wait_for()
    # The moves of the carried test day, so that its readings belong to them.
    stored = quay.client.connection.get_stored(f"/v1{address.removeprefix(quay.address)}/plan")
    plan = plan_of(RECORD, stored.document["date"])
    quay.client.connection.change(
        "PUT",
        f"/v1{address.removeprefix(quay.address)}/plan",
        stored.document | {"moves": plan["moves"], "instruments": plan["instruments"]},
        etag=stored.etag,
    )
    page.goto(f"{address}/tank-plan")
    for row, tank in enumerate(tank_plan_of(RECORD)["tanks"]):
        page.locator(f"[name='tanks.{row}.state']").select_option(tank["state"])
        page.locator(f"[name='tanks.{row}.evidence']").select_option("sounded")
        if tank["state"] == "slack":
            page.locator(f"[name='tanks.{row}.sounding_m']").fill(str(tank["sounding_m"]))
            page.locator(f"[name='tanks.{row}.density_t_per_m3']").fill(str(tank["density_t_per_m3"]))
    press(page, "Store the tank plan")
    page.goto(f"{address}/plan")
    for rule in page.locator("select[name=point] option").evaluate_all("all => all.map(each => each.value)"):
        waive(page, rule, "Ines Aldous")
    move_on(page, address, "procedure issued")
    return address


def _ship_answers(kell: Page, planner: Page, address: str) -> None:
    planner.goto(f"{address}/ship/")
    press(planner, "Make the list")
    move_on(planner, address, "ship prepares")
    kell.goto(f"{address}/ship/")
    kell.get_by_label("Answered by").fill("B. Kell, chief engineer")
    for answer in kell.locator("select[name$='.answer']").all():
        answer.select_option("agreed")
    press(kell, "Send the answers")
    assert kell.get_by_role("cell", name="agreed", exact=True).count() == len(RECORD["vessel"]["tanks"])
    for box in kell.locator("input[name=item]").all():
        box.check()
    kell.get_by_label("Your name").fill("B. Kell")
    press(kell, "Set the chosen items")
    kell.get_by_text("0 open").wait_for()


def _surveyed(recorder: Page, planner: Page, address: str) -> None:
    move_on(planner, address, "advisory survey")
    recorder.goto(f"{address}/survey/")
    recorder.get_by_label("Name of whoever closes the advisory survey").fill("Tomas Rein")
    press(recorder, "Close the advisory survey")
    move_on(planner, address, "survey day")
    for item in RECORD["items"]:
        recorder.goto(f"{address}/survey/")
        form = recorder.locator("form[action$='/enter/items']")
        form.locator("[name=description]").fill(item["description"])
        form.locator("[name=kind]").select_option(item["kind"])
        form.locator("[name=mass_t]").fill(str(item["mass_t"]))
        for name in [name for name in item if name.endswith(("x_m", "z_m", "y_m"))]:
            text = f"{abs(item[name])} {'P' if item[name] < 0 else 'S'}" if name.endswith("y_m") else str(item[name])
            form.locator(f"[name={name}]").fill(text)
        press(recorder, "Enter the item")
    for person in RECORD["persons"]:
        recorder.goto(f"{address}/enter/persons")
        recorder.locator("[name=mass_t]").fill(f"{person['mass_t'] * 1000:.6g} kg")
        recorder.locator("[name=x_m]").fill(str(person["x_m"]))
        recorder.locator("[name=y_m]").fill(f"{abs(person['y_m'])} {'P' if person['y_m'] < 0 else 'S'}")
        recorder.locator("[name=z_m]").fill(str(person["z_m"]))
        press(recorder, "Enter")
    _water_draughts_soundings(recorder, address)
    planner.goto(f"{address}/day/before")
    while planner.get_by_text("Can we start: not yet").count():
        waive(planner, planner.locator("select[name=point] option").first.get_attribute("value") or "", "Ines Aldous")
    move_on(planner, address, "test day")


def _sent(page: Page) -> None:
    """Wait until nothing waits to be sent and the page shows it."""
    page.get_by_text("Everything is sent.").wait_for()


def _water_draughts_soundings(page: Page, address: str) -> None:
    page.goto(f"{address}/day/before")
    for sample in RECORD["water"]["samples"]:
        form = page.locator("form[action$='/enter/water']")
        form.locator("[name=density_t_per_m3]").fill(str(sample["density_t_per_m3"]))
        press(page, "Enter the water sample")
        _sent(page)
    page.locator("[name=wind_m_per_s]").fill("2")
    press(page, "Enter the weather")
    for reading in RECORD["draughts"]:
        row = page.locator("#form-draughts tr", has_text=reading["mark"])
        row.locator("input[name$='.reading_m']").fill(str(reading["reading_m"]))
    press(page, "Enter the draughts")
    sounded = {each["tank"]: each for each in RECORD["soundings"]}
    for tank in RECORD["vessel"]["tanks"]:
        row = page.locator("#form-soundings tr", has_text=tank["name"])
        found = sounded.get(tank["name"], {"sounding_m": None, "density_t_per_m3": 1.0, "state": "empty"})
        row.locator("select[name$='.state']").select_option(found["state"])
        if found.get("sounding_m") is not None:
            row.locator("input[name$='.sounding_m']").fill(str(found["sounding_m"]))
        row.locator("input[name$='.density_t_per_m3']").fill(str(found["density_t_per_m3"]))
        row.locator("select[name$='.evidence']").select_option("sounded")
    press(page, "Enter the soundings")
    for what in ("inclining weights", "instruments"):
        press(page, f"Enter the {what}")
    _sent(page)


def values_of(number: int) -> list[str]:
    """The readings of a state in the order of the instruments."""
    texts = []
    for instrument in RECORD["instruments"]:
        found = [r for r in RECORD["readings"] if r["state"] == number and r["instrument"] == instrument["id"]]
        reading = found[0]
        value = reading.get("value_mm", reading.get("value_deg"))
        texts.append(str(sum(reading["samples_deg"]) / len(reading["samples_deg"]) if value is None else value))
    return texts


def _read(page: Page, address: str) -> None:
    page.goto(f"{address}/day/")
    for state in RECORD["states"]:
        section = page.locator(f"#state-{state['number']}")
        section.get_by_label("Every line was seen slack").check()
        for field, text in zip(section.locator(".reading").all(), values_of(state["number"]), strict=True):
            field.press_sequentially(text)
            field.press("Enter")  # to the next reading, and from the last one into the queue
        _sent(page)
    page.get_by_text("27 readings as a table").wait_for()
    page.get_by_text("May stop").wait_for()
    assert re.search(r"GM 1\.03\d+ m", page.locator("#running").inner_text())


def _closed(recorder: Page, planner: Page, address: str) -> None:
    for what in ("data", "reservations"):
        for role, name in (("person-in-charge", "Ines Aldous"), ("surveyor", "Tomas Rein")):
            recorder.goto(f"{address}/enter/signatures")
            recorder.locator("[name=what]").select_option(what)
            recorder.locator("[name=role]").fill(role)
            recorder.locator("[name=name]").fill(name)
            press(recorder, "Enter")
    recorder.goto(f"{address}/survey/")
    recorder.get_by_label("Name of whoever closes the survey").fill("Tomas Rein")
    press(recorder, "Close the survey")
    recorder.goto(f"{address}/day/")
    recorder.locator("summary", has_text="Close the test day").click()
    recorder.get_by_label("Name of whoever closes it").fill("Ines Aldous")
    press(recorder, "Close the test day")
    planner.goto(f"{address}/result")
    press(planner, "Reduce the test")
    planner.get_by_text("Preliminary").first.wait_for()
    move_on(planner, address, "preliminary result")
    move_on(planner, address, "under review")


def _approved(approver: Page, planner: Page, address: str) -> None:
    planner.goto(f"{address}/review")
    while planner.get_by_role("button", name=re.compile("^Answer RR")).count():
        form = planner.locator("form[action$='/review/answers']").first
        form.get_by_label("Answer").fill("explained in the covering letter")
        form.get_by_label("By").fill("Petra Planner")
        with planner.expect_navigation():
            form.get_by_role("button").click()
    approver.goto(f"{address}/review")
    approver.get_by_label("Approved by").fill("Odile Marsh")
    press(approver, "Approve the test")
    approver.get_by_text("The test is approved").wait_for()
