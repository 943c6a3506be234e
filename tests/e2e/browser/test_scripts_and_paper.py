"""The small scripts, and paper: the plan follows the form, a block is pasted, a ground is chosen, print is plain."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.e2e.browser.conftest import Quay

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

PASTE = """(field, text) => {
    const data = new DataTransfer();
    data.setData("text/plain", text);
    field.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
}"""


def plan_page(context: BrowserContext, quay: Quay) -> Page:
    """The planning page filled in with the example."""
    page = quay.sign_in(context)
    page.goto(f"{quay.address}/plan?example=1")
    return page


def test_the_plan_follows_the_form_and_its_address_can_be_shared(context: BrowserContext, fleet_quay: Quay):
    page = plan_page(context, fleet_quay)
    page.get_by_label("GM, free surfaces included").fill("1.05 ")
    page.get_by_role("heading", name="States").wait_for()
    first = page.locator("#answer .lead").inner_text()
    page.get_by_label("GM, free surfaces included").fill("1.1")
    changes = "old => { const e = document.querySelector('#answer .lead'); return e && e.innerText !== old; }"
    page.wait_for_function(changes, arg=first)
    changed = page.locator("#answer .lead").inner_text()
    again = context.new_page()
    again.goto(page.url)
    assert again.locator("#answer .lead").inner_text() == changed
    assert again.get_by_label("GM, free surfaces included").input_value() == "1.1"


def test_an_entry_that_cannot_be_read_is_told_while_it_is_typed_and_kept(context: BrowserContext, fleet_quay: Quay):
    page = plan_page(context, fleet_quay)
    page.get_by_label("GM, free surfaces included").fill("1,05")
    page.get_by_role("alert").wait_for()
    assert "comma" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("GM, free surfaces included").input_value() == "1,05"


def test_a_block_of_a_spreadsheet_fills_the_table_and_makes_rows(context: BrowserContext, fleet_quay: Quay):
    page = fleet_quay.sign_in(context)
    page.goto(f"{fleet_quay.address}/plan")
    rows = "\n".join(f"{30 + 2 * row}\t4\t4.1\t8.0" for row in range(5))
    page.locator("[name='positions.0.x_m']").evaluate(PASTE, rows)
    assert page.locator("[name='positions.4.x_m']").input_value() == "38"
    assert page.locator("[name='positions.4.y_starboard_m']").input_value() == "4.1"
    assert page.locator("[name='positions.5.x_m']").get_attribute("aria-label") == "Forward of AP, row 6"
    page.locator("[name='instruments.0.id']").evaluate(PASTE, "P1\tU-tube\t6.2\nI2\tinclinometer\t")
    assert page.locator("[name='instruments.0.kind']").input_value() == "u-tube"
    assert page.locator("[name='instruments.1.kind']").input_value() == "inclinometer"


def test_a_ground_is_chosen_and_stays(chromium: Browser, fleet_quay: Quay):
    context = chromium.new_context(color_scheme="light")
    page = fleet_quay.sign_in(context)
    light = page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor")
    page.get_by_role("button", name="dark", exact=True).click()
    page.wait_for_load_state()
    dark = page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor")
    page.goto(f"{fleet_quay.address}/plan")
    assert page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor") == dark
    assert dark != light
    context.close()


def test_paper_has_no_navigation_shows_links_as_footnotes_and_opens_what_is_folded(
    context: BrowserContext, fleet_quay: Quay
):
    page = fleet_quay.sign_in(context)
    vessel = fleet_quay.client.vessels.find("Quillmoor")["id"]
    page.goto(f"{fleet_quay.address}/vessels/{vessel}")
    stations = page.get_by_role("table", name="Stations", include_hidden=True)
    assert not stations.is_visible()
    page.emulate_media(media="print")
    assert not page.locator(".top").is_visible()
    assert not page.locator(".foot").is_visible()
    assert not page.locator(".actions").first.is_visible()
    notes = page.locator("ol.notes")
    assert notes.is_visible()
    sister = fleet_quay.client.vessels.find("Quillhaven")["id"]
    assert f"/vessels/{sister}" in notes.inner_text()
    assert stations.is_visible()


def test_a_token_of_one_ship_shows_that_ship_alone(context: BrowserContext, fleet_quay: Quay):
    own = fleet_quay.client.vessels.find("Merrowdale")["id"]
    page = fleet_quay.sign_in(context, fleet_quay.token("recorder", name="ship", vessel_ids=[own]))
    assert page.locator("table.fleet tbody tr").count() == 1
    assert "Larkhollow" not in page.content()
    page.goto(f"{fleet_quay.address}/tests/{fleet_quay.tests['preparing']}/ship/")
    page.get_by_role("heading", name="Work list").wait_for()
    other = fleet_quay.client.vessels.find("Larkhollow")["id"]
    page.goto(f"{fleet_quay.address}/vessels/{other}")
    page.get_by_role("heading", name="Not found").wait_for()
    assert "Larkhollow" not in page.content()


def test_every_form_that_is_not_live_entry_works_without_scripts(chromium: Browser, quay: Quay):
    context = chromium.new_context(java_script_enabled=False)
    page = quay.sign_in(context)
    page.get_by_role("link", name="Enter a first vessel").click()
    page.get_by_label("Name").fill("Slate Heron")
    page.get_by_role("button", name="Store").click()
    page.get_by_text("The Slate Heron was stored.").wait_for()
    page.goto(f"{quay.address}/plan?example=1")
    page.get_by_role("button", name="Plan the weights").click()
    page.get_by_role("heading", name="States").wait_for()
    page.goto(f"{quay.address}/result?example=1")
    page.get_by_label("Draught", exact=False).first.fill("0.05")
    page.get_by_role("button", name="Reduce again").click()
    page.get_by_role("heading", name="Inclining test: Merrowdale").wait_for()
    context.close()


DRAWN = """() => Object.fromEntries([...document.querySelectorAll(".of-a-hull .plot")].map(plot => {
    const svg = [...plot.querySelectorAll("svg")].find(each => each.getBoundingClientRect().width > 0);
    const box = svg.getBoundingClientRect();
    const shrunk = box.width / svg.viewBox.baseVal.width;
    const letters = Math.min(...[...svg.querySelectorAll("text")].map(e => Number(e.getAttribute("font-size"))));
    return [plot.getAttribute("aria-label"), { x: box.x, y: box.y, right: box.right, letters: letters * shrunk }];
}))"""


@pytest.mark.parametrize(("width", "beside"), [(1440, True), (1100, True), (1000, False), (360, False)])
def test_the_body_plan_stands_beside_the_profile_where_there_is_room_and_both_can_be_read(
    context: BrowserContext, fleet_quay: Quay, width: int, beside: bool
):
    page = fleet_quay.sign_in(context)
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(f"{fleet_quay.address}/vessels/{fleet_quay.client.vessels.find('Merrowdale')['id']}")
    drawn = page.evaluate(DRAWN)
    profile, body = drawn["Drawing: profile"], drawn["Drawing: body plan"]
    assert (body["x"] >= profile["right"]) == beside
    assert (abs(body["y"] - profile["y"]) < 2) == beside
    assert min(profile["letters"], body["letters"]) >= 10.75
    assert max(profile["right"], body["right"]) <= width
