"""What a visitor is told when something fails: what failed, what is safe, what to do."""

from __future__ import annotations

import pytest
from flask import Flask
from heelwright_client.wsgi_transport import WsgiTransport
from werkzeug import Request, Response

from tests.client.web.conftest import Stage, make_web
from tests.client.web.visitor import DeadTransport, Page, Visitor


def signed_in(web: Flask, stage: Stage) -> Visitor:
    """A visitor whose session was begun while the service still answered."""
    good = Visitor(stage.web).sign_in(stage.admin).client.get_cookie("heelwright_session")
    visitor = Visitor(web)
    visitor.cookie("heelwright_session", good.value if good else "")
    return visitor


def answering(status: int, body: bytes = b"{}", content_type: str = "application/problem+json") -> WsgiTransport:
    """A service that always gives one answer."""
    return WsgiTransport(Request.application(lambda request: Response(body, status, content_type=content_type)))


def failed(
    stage: Stage, transport: WsgiTransport, path: str = "/", monkeypatch: pytest.MonkeyPatch | None = None
) -> Page:
    """The page of a visitor before a failing service."""
    page = signed_in(make_web(transport), stage).get(path)
    assert page.faults() == []
    return page


@pytest.fixture(autouse=True)
def _no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Attempts are repeated at once."""
    monkeypatch.setattr("heelwright_client.http._PAUSES_S", (0.0, 0.0))
    monkeypatch.setattr("heelwright_client.http._LONGEST_PAUSE_S", 0.0)


def test_a_service_that_is_down_is_a_page_that_says_what_still_works(empty: Stage):
    page = failed(empty, DeadTransport())
    assert page.status == 503
    for words in ("The service cannot be reached", "connection refused", "What is safe", "What to do"):
        assert words in page.text


def test_signing_in_while_the_service_is_down_says_so_too(empty: Stage):
    page = Visitor(make_web(DeadTransport())).post("/sign-in", {"token": "hw_any"})
    assert page.status == 503
    assert "The service cannot be reached" in page.text


def test_a_busy_service_asks_for_patience(empty: Stage):
    assert "busy" in failed(empty, answering(503)).text


def test_a_failed_service_gives_its_request_number(empty: Stage):
    page = failed(empty, answering(500, b'{"title": "Failed", "request_id": "abc-123"}'))
    assert page.status == 502
    assert "abc-123" in page.text
    assert [each.get("class") for each in page.all("code")] == ["break"]  # a long one stays within a narrow screen


def test_a_proxy_that_answers_in_the_services_place_is_recognised(empty: Stage):
    page = failed(empty, answering(200, b"<html>Welcome to the hotel</html>", "text/html"))
    assert page.status == 502
    assert "not the service" in page.text


def test_too_many_requests_are_told(empty: Stage):
    assert failed(empty, answering(429)).status == 429


def test_a_vessel_that_is_not_there_is_not_found(empty: Stage):
    page = empty.visitor().get("/vessels/0000")
    assert page.status == 404
    assert "outside what this token may see" in page.text


def test_an_address_that_is_no_page_is_not_found_and_leads_back(empty: Stage):
    page = empty.visitor().get("/no/such/page")
    assert page.status == 404
    assert page.faults() == []


def test_a_defect_of_this_program_shows_no_traceback(empty: Stage, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("heelwright_client.web.pages.fleet.Say", None)
    page = empty.visitor().get("/")
    assert page.status == 500
    assert "TypeError" not in page.html
    assert "This page failed" in page.text


def test_a_change_on_a_stale_version_says_that_somebody_was_faster(fleet: Stage):
    vessel = fleet.vessel("Merrowdale")
    visitor = fleet.visitor()
    page = visitor.post(f"/vessels/{vessel}/change", {"name": "Merrowdale", "etag": '"99"'}, from_page="/")
    assert page.status == 409
    assert "Somebody changed this in between" in page.text


def test_a_file_that_is_too_large_is_refused_with_the_limit(empty: Stage):
    visitor = empty.visitor()
    page = visitor.post("/result", {"text": "x" * (17 * 1024 * 1024)})
    assert page.status == 413
    assert "16 MB" in page.text
