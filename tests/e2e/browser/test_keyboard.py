"""Everything by keyboard alone: the way in, around, and through a form."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.e2e.browser.conftest import Quay

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

pytestmark = pytest.mark.browser


def focused(page: Page) -> str:
    """The words, name or address of what has the focus."""
    told: str = page.evaluate(
        "() => { const e = document.activeElement;"
        " return (e.name || e.innerText || e.getAttribute('aria-label') || e.tagName).trim(); }"
    )
    return told


def tab_to(page: Page, wanted: str, most: int = 60) -> None:
    """Press the tab key until something has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if focused(page) == wanted:
            return
    raise AssertionError(f"{wanted} is not reached by the tab key")


def test_the_first_stop_skips_to_the_content(context: BrowserContext, fleet_quay: Quay):
    page = fleet_quay.sign_in(context)
    page.keyboard.press("Tab")
    assert focused(page) == "Skip to the content"
    assert page.get_by_text("Skip to the content").bounding_box()["x"] >= 0  # type: ignore[index]
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_a_vessel_is_entered_and_an_alteration_logged_by_keyboard_alone(context: BrowserContext, quay: Quay):
    page = context.new_page()
    page.goto(f"{quay.address}/sign-in")
    tab_to(page, "token")
    page.keyboard.type(quay.admin)
    page.keyboard.press("Enter")
    page.get_by_text("No vessels yet").wait_for()
    tab_to(page, "Enter a first vessel")
    page.keyboard.press("Enter")
    page.wait_for_url("**/vessels/new")
    tab_to(page, "name")
    page.keyboard.type("Slate Heron")
    page.keyboard.press("Enter")
    page.get_by_text("The Slate Heron was stored.").wait_for()
    tab_to(page, "Log an alteration")
    page.keyboard.press("Enter")
    page.wait_for_url("**/alterations/new")
    tab_to(page, "date")
    page.keyboard.type("02032024")
    for name, text in (("mass_t", "1.5"), ("x_m", "12"), ("y_m", "0.4 S"), ("z_m", "4")):
        tab_to(page, name)
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    page.get_by_text("The alteration was logged.").wait_for()
    vessel = quay.client.vessels.find("Slate Heron")
    logged = next(quay.client.alterations.of(str(vessel["id"])))
    assert (logged["mass_t"], logged["y_m"]) == (1.5, 0.4)


def test_a_wide_table_can_be_scrolled_by_keyboard(context: BrowserContext, fleet_quay: Quay):
    page = fleet_quay.sign_in(context)
    page.set_viewport_size({"width": 360, "height": 800})
    vessel = fleet_quay.client.vessels.find("Merrowdale")["id"]
    page.goto(f"{fleet_quay.address}/vessels/{vessel}")
    region = page.get_by_role("region", name="Lightships", exact=True)
    region.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.wait_for_function("e => e.scrollLeft > 0", arg=region.element_handle())


def test_what_has_the_focus_can_be_seen(context: BrowserContext, fleet_quay: Quay):
    page = fleet_quay.sign_in(context)
    for _ in range(12):
        page.keyboard.press("Tab")
        width = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert width == "3px", focused(page)
