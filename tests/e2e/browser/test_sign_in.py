"""A person signs in by name and password in a browser, sees what the role allows, and signs out for good."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.people import PersonWanted, add_person

from tests.e2e.browser.conftest import Quay
from tests.support.app import engine_of

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext

pytestmark = pytest.mark.browser
PASSWORD = "seven quiet moorings"


def test_a_recorder_signs_in_by_name_finds_no_planners_form_and_signs_out(context: BrowserContext, quay: Quay):
    add_person(UnitOfWork(engine_of(quay.api)), "the tests", PersonWanted("Rolf Recorder", "recorder"), PASSWORD)
    vessel = quay.client.vessels.create({"name": "Slate Heron"}).document["id"]
    page = context.new_page()
    page.goto(f"{quay.address}/vessels/{vessel}")
    page.get_by_label("Name").fill("rolf recorder")
    page.get_by_label("Password").fill("not his password")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_text("Name and password do not fit").wait_for()
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"**/vessels/{vessel}")
    assert page.get_by_text("Rolf Recorder").is_visible()
    assert page.get_by_role("link", name="Log an alteration").first.is_visible()
    assert page.get_by_role("link", name="Enter a lightship").count() == 0
    page.goto(f"{quay.address}/vessels/{vessel}/lightships/new")
    page.get_by_text("This is done by a planner; you are signed in as a recorder.").wait_for()
    assert page.locator("main form").count() == 0
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in")
    page.goto(f"{quay.address}/vessels/{vessel}")
    page.wait_for_url("**/sign-in?next=**")
