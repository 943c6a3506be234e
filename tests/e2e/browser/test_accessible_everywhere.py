"""Every page in both grounds and at both widths: no WCAG 2.2 AA violation, no sideways scroll, no complaint."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.e2e.browser.conftest import Quay

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]
GLARES = [(1440, "light"), (1440, "dark"), (360, "light"), (360, "dark")]


def pages(quay: Quay) -> list[str]:
    """One address of every kind of page."""
    vessel = f"/vessels/{quay.client.vessels.find('Merrowdale')['id']}"
    lightship = next(iter(quay.client.lightships.of(vessel[9:])))["id"]
    altered = next(iter(quay.client.alterations.of(vessel[9:])))["id"]
    corrections = (f"{vessel}/lightships/{lightship}/correction", f"{vessel}/alterations/{altered}/correction")
    preparing, day, review = (f"/tests/{quay.tests[stage]}" for stage in ("preparing", "test-day", "under-review"))
    return [
        "/sign-in", "/", "/?find=quill", "/start", "/vessels/new", vessel, f"{vessel}/change",
        f"{vessel}/lightships/new", f"{vessel}/alterations/new", f"{vessel}/parts", "/plan", "/plan?example=1",
        "/result", "/result?example=1", "/no-such-page", "/tests/", f"/tests/new?vessel={vessel[9:]}",
        preparing, f"{preparing}/plan",
        f"{preparing}/tank-plan", f"{preparing}/ship/", f"{day}/survey/", f"{day}/day/before", f"{day}/day/",
        f"{day}/day/deviations", f"{day}/enter/items", f"{day}/result", f"{review}/result", f"{review}/review",
        f"{vessel}/boundary", f"{vessel}/model-acceptance", f"{vessel}/model-acceptance/new", f"{vessel}/record",
        f"{day}/reservations", f"{day}/set-aside", f"{review}/interim", f"{review}/put-back", f"{review}/record",
        "/actions/", *corrections,
    ]  # fmt: skip


def violations(page: Page) -> list[str]:
    """What axe-core finds against WCAG 2.2, levels A and AA."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}}).response["violations"]
    return [f"{each['id']}: {each['nodes'][0]['html'][:160]} {each['nodes'][0]['failureSummary']}" for each in found]


@pytest.mark.parametrize(("width", "ground"), GLARES)
def test_every_page_is_accessible_and_fits(chromium: Browser, fleet_quay: Quay, width: int, ground: str):
    context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=ground)  # type: ignore[arg-type]
    page = fleet_quay.sign_in(context)
    complaints: list[str] = []
    page.on("console", lambda told: complaints.append(told.text) if told.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    for path in pages(fleet_quay):
        page.goto(fleet_quay.address + path)
        assert violations(page) == [], path
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
    assert [each for each in complaints if "404" not in each] == []
    context.close()


def test_a_refused_form_is_accessible_too(chromium: Browser, fleet_quay: Quay):
    context = chromium.new_context(viewport={"width": 360, "height": 800})
    page = fleet_quay.sign_in(context)
    page.goto(f"{fleet_quay.address}/vessels/new")
    page.get_by_label("Name").fill("Slate Heron")
    page.get_by_label("Moulded breadth").fill("nine")
    page.get_by_role("button", name="Store").click()
    page.get_by_role("alert").wait_for()
    assert violations(page) == []
    page.get_by_role("link", name="Moulded breadth").click()
    assert page.evaluate("location.hash") == "#f-breadth_m"
    context.close()


def test_no_page_asks_any_other_host(chromium: Browser, fleet_quay: Quay):
    context = chromium.new_context()
    asked: list[str] = []
    context.on("request", lambda request: asked.append(request.url))
    page = fleet_quay.sign_in(context)
    for path in pages(fleet_quay):
        page.goto(fleet_quay.address + path)
    assert asked
    assert [url for url in asked if not url.startswith(fleet_quay.address)] == []
    context.close()


def test_on_a_touch_screen_every_field_and_button_of_a_form_is_big_enough(chromium: Browser, fleet_quay: Quay):
    context = chromium.new_context(viewport={"width": 360, "height": 800}, has_touch=True)
    page = fleet_quay.sign_in(context)
    page.goto(f"{fleet_quay.address}/vessels/new")
    for field in page.locator("main input:visible, main select:visible, main button:visible").all():
        box = field.bounding_box()
        assert box is not None
        assert box["height"] >= 40, field.evaluate("e => e.outerHTML")
    context.close()
