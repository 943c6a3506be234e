"""What people do in a browser, page by page: what the stories of tests are told with."""

from __future__ import annotations

import datetime
import json
import re
from typing import TYPE_CHECKING, Any

from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.demo.ships import TEST_SHIP
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.people import PersonWanted, add_person

from tests.e2e.browser.conftest import Quay
from tests.support.app import engine_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

RECORD = carried(TEST_DAY)
TODAY = datetime.datetime.now(datetime.UTC).date().isoformat()
PASSWORD = "seven quiet moorings"
SALINITY_AT_12_C = "19.001"  # TEOS-10 gives 1.0142 t/m3 for it, the density of the carried test day


def signed_in(chromium: Browser, quay: Quay, name: str, role: str) -> Page:
    """A page of somebody with an account, who has signed in by name and password."""
    add_person(UnitOfWork(engine_of(quay.api)), "the tests", PersonWanted(name, role), PASSWORD)
    page = chromium.new_context().new_page()
    page.set_default_timeout(10_000)
    page.goto(f"{quay.address}/sign-in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Sign in")
    return page


def fill(form: Page | Locator, texts: dict[str, Any]) -> None:
    """Type into fields by their names, or choose."""
    for name, text in texts.items():
        field = form.locator(f"[name='{name}']")
        if field.evaluate("e => e.tagName") == "SELECT":
            field.select_option(str(text))
        else:
            field.fill(str(text))


def side(y_m: float) -> str:
    """A distance off the centreline as a person types it."""
    return f"{abs(y_m)} {'P' if y_m < 0 else 'S'}"


def places(document: dict[str, Any]) -> dict[str, str]:
    """The coordinates of something as a person types them."""
    names = [name for name in document if name.endswith(("x_m", "y_m", "z_m"))]
    return {name: side(document[name]) if name.endswith("y_m") else str(document[name]) for name in names}


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


def stored_ship(page: Page, quay: Quay) -> str:
    """Enter the ship of the carried test day with her hull, marks and tanks; her id."""
    vessel = RECORD["vessel"]
    page.goto(f"{quay.address}/vessels/new")
    facts = {name: vessel[name] for name in ("length_bp_m", "breadth_m", "depth_m")}
    fill(page, {"name": TEST_SHIP.name, "kind": "cargo", "imo_number": "0100006", "length_m": 72.79, **facts})
    press(page, "Store")
    ship = page.url.rpartition("/")[2]
    for part, content in (
        ("hull", vessel["hull"]),
        ("marks", {"marks": vessel["marks"]}),
        ("tanks", {"tanks": vessel["tanks"]}),
    ):
        page.goto(f"{quay.address}/vessels/{ship}/parts")
        fill(page, {"part": part, "text": json.dumps(content)})
        press(page, "Store")
    return ship


def enter_lightship(page: Page, quay: Quay, ship: str, facts: dict[str, str]) -> None:
    """Put a lightship that an inclining found into her history."""
    page.goto(f"{quay.address}/vessels/{ship}/lightships/new")
    fill(
        page, {"basis": "inclining-test", "lcg_m": "35.4", "vcg_m": "4.33"} | {n: facts[n] for n in ("date", "mass_t")}
    )
    if "approved" in facts:
        page.locator("[name=approved]").check()
    press(page, "Store")
    page.get_by_text("The lightship was stored.").wait_for()


def enter_item(page: Page, address: str, item: dict[str, Any], survey: str = "survey") -> None:
    """Enter something that is surplus, missing or misplaced."""
    if page.url != f"{address}/survey/":
        page.goto(f"{address}/survey/")
    facts = {name: item[name] for name in ("description", "kind", "mass_t")}
    fill(page.locator("form[action$='/enter/items']"), {**facts, "survey": survey, **places(item)})
    press(page, "Enter the item")


def enter_person(page: Page, address: str, person: dict[str, Any]) -> None:
    """Enter somebody who is aboard."""
    page.goto(f"{address}/enter/persons")
    fill(page, {"mass_t": f"{person['mass_t'] * 1000:.6g} kg", **places(person)})
    press(page, "Enter")


def close_survey(page: Page, address: str, what: str) -> None:
    """Close the advisory survey or the survey by name."""
    page.goto(f"{address}/survey/")
    page.get_by_label(f"Name of whoever closes the {what}").fill("Tomas Rein")
    press(page, f"Close the {what}")


def sent(page: Page) -> None:
    """Wait until nothing waits to be sent and the page shows it."""
    page.get_by_text("Everything is sent.").wait_for()


def draughts_and_soundings(page: Page, address: str) -> None:
    """Water, weather, draughts and tanks, on the page before the first move."""
    page.goto(f"{address}/day/before")
    fill(page.locator("form[action$='/enter/probes']"), {"practical_salinity": SALINITY_AT_12_C, "temperature_c": "12"})
    press(page, "Enter the probe sample")
    sent(page)
    for sample in RECORD["water"]["samples"]:
        form = page.locator("form[action$='/enter/water']")
        form.locator("[name=density_t_per_m3]").fill(str(sample["density_t_per_m3"]))
        press(page, "Enter the water sample")
        sent(page)
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
    sent(page)


def values_of(number: int) -> list[str]:
    """The readings of a state in the order of the instruments."""
    texts = []
    for instrument in RECORD["instruments"]:
        found = [r for r in RECORD["readings"] if r["state"] == number and r["instrument"] == instrument["id"]]
        reading = found[0]
        value = reading.get("value_mm", reading.get("value_deg"))
        texts.append(str(sum(reading["samples_deg"]) / len(reading["samples_deg"]) if value is None else value))
    return texts


def answer_findings(planner: Page, address: str) -> None:
    """Go into review and answer every finding by name."""
    move_on(planner, address, "under review")
    planner.goto(f"{address}/review")
    while planner.get_by_role("button", name=re.compile("^Answer RR")).count():
        form = planner.locator("form[action$='/review/answers']").first
        form.get_by_label("Answer").fill("explained in the covering letter")
        form.get_by_label("By").fill("Petra Planner")
        with planner.expect_navigation():
            form.get_by_role("button").click()


def approve(approver: Page, address: str) -> None:
    """Sign the approval by name."""
    approver.goto(f"{address}/review")
    approver.get_by_label("Approved by").fill("Odile Marsh")
    press(approver, "Approve the test")


def close_action(page: Page, quay: Quay) -> None:
    """See to what a failed verdict asked for."""
    page.goto(f"{quay.address}/actions/")
    page.locator("main a[href^='/actions/']").first.click()
    page.get_by_label("What shows that it is done").fill("stability booklet rev. F sent to the Administration")
    press(page, "Close the action")
    page.get_by_text("The action is closed.").wait_for()
