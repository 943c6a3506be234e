"""What was typed on an ordinary page outlives a session that ended in mid-work, and a service that did not answer."""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING

import pytest
from heelwright_client.web.app import create_app
from heelwright_client.web.settings import WebSettings

from tests.e2e.browser.conftest import Quay
from tests.support.app import served

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

pytestmark = pytest.mark.browser


def typed_decision(page: Page, address: str) -> None:
    """Type a decision on the lightship boundary."""
    page.goto(address)
    page.get_by_label("Class of things").fill("spare parts")
    page.get_by_label("Counts as").select_option("load")
    page.get_by_label("Decided by").fill("Owner")
    page.get_by_label("Decided on").fill("2024-01-01")


def send(page: Page) -> None:
    """Send it and wait for what comes."""
    with page.expect_navigation():
        page.get_by_role("button", name="Record the decision").click()


def test_an_entry_comes_back_after_signing_in_again(context: BrowserContext, quay: Quay):
    vessel = quay.client.vessels.create({"name": "Slate Heron"}).document["id"]
    page = quay.sign_in(context, quay.token("planner", name="Petra"))
    typed_decision(page, f"{quay.address}/vessels/{vessel}/boundary")
    (mine,) = [each for each in quay.client.tokens if each["name"] == "Petra"]
    quay.client.tokens.revoke(mine["id"], etag=f'"{mine["version"]}"')
    send(page)
    page.get_by_text("comes back once you have signed in").wait_for()
    page.get_by_label("Token").fill(quay.token("planner", name="Petra again"))
    with page.expect_navigation():
        page.get_by_role("button", name="Use the token").click()
    page.get_by_text("What you typed is back in the form").wait_for()
    assert page.get_by_label("Class of things").input_value() == "spare parts"
    assert page.get_by_label("Counts as").input_value() == "load"
    send(page)
    page.get_by_role("region", name="Decisions in force").get_by_text("spare parts").wait_for()
    page.reload()
    assert page.get_by_label("Class of things").input_value() == ""


def test_an_entry_comes_back_when_the_service_answers_again(context: BrowserContext, quay: Quay):
    vessel = quay.client.vessels.create({"name": "Slate Heron"}).document["id"]
    with ExitStack() as running, ExitStack() as front:
        service = running.enter_context(served(quay.api))
        web = create_app(WebSettings(service, "a secret of the tests"))
        address = front.enter_context(served(web))
        page = Quay(quay.api, service, address, quay.admin).sign_in(context)
        typed_decision(page, f"{address}/vessels/{vessel}/boundary")
        running.close()
        send(page)
        page.get_by_role("heading", name="The service cannot be reached").wait_for()
        web.extensions["heelwright_web"] = WebSettings(quay.service, "a secret of the tests")  # it runs again
        page.get_by_role("link", name="Back to the form, with what you typed").click()
        page.get_by_text("What you typed is back in the form").wait_for()
        assert page.get_by_label("Class of things").input_value() == "spare parts"
        send(page)
        page.get_by_role("region", name="Decisions in force").get_by_text("spare parts").wait_for()
