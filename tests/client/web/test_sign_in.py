"""Signing in: by a token of the service alone, kept where no script and no thief of a cookie can read it."""

from __future__ import annotations

import base64
import zlib

import pytest
from flask import Flask
from heelwright_client.web.access import inner_address

from tests.client.web.conftest import Stage, make_web
from tests.client.web.visitor import Visitor
from tests.support.app import new_token


def test_a_visitor_is_asked_to_sign_in_and_comes_back_to_the_page_wanted(fleet: Stage):
    visitor = Visitor(fleet.web)
    asked = visitor.get("/plan?example=1")
    assert asked.status == 302
    assert asked.location == "/sign-in?next=/plan?example%3D1"
    page = visitor.post("/sign-in", {"token": fleet.admin, "next": "/plan?example=1"}, from_page=asked.location)
    assert page.location == "/plan?example=1"


def test_a_token_that_the_service_does_not_know_is_refused_beside_its_field(fleet: Stage):
    page = Visitor(fleet.web).post("/sign-in", {"token": "hw_wrong"})
    assert page.status == 422
    assert "does not take this token" in page.text
    field = next(each for each in page.all("input") if each.get("name") == "token")
    assert field.get("aria-invalid") == "true"
    assert page.faults() == []


@pytest.mark.parametrize("token", ["", "   ", "two words", "ümlaut"])
def test_a_text_that_cannot_be_a_token_is_never_sent(fleet: Stage, token: str):
    page = Visitor(fleet.web).post("/sign-in", {"token": token})
    assert page.status == 422
    assert fleet.transport.spent_s == 0.0


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(fleet: Stage):
    visitor = Visitor(fleet.web)
    cookie = visitor.post("/sign-in", {"token": fleet.admin}).headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Secure" not in cookie  # the test client is on loopback


def test_outside_loopback_the_cookie_is_sent_over_tls_alone(fleet: Stage):
    client = fleet.web.test_client()
    answer = client.get("/sign-in", base_url="https://ship.example")
    assert "Secure" in answer.headers["Set-Cookie"]


def test_plain_http_from_afar_is_told_before_a_token_is_typed(fleet: Stage):
    answer = fleet.web.test_client().get("/sign-in", base_url="http://ship.example")
    assert "plain http" in answer.get_data(as_text=True)


def test_the_cookie_does_not_show_the_token(fleet: Stage):
    visitor = Visitor(fleet.web).sign_in(fleet.admin)
    cookie = visitor.client.get_cookie("heelwright_session")
    assert cookie is not None
    body = cookie.value.lstrip(".").split(".")[0]
    readable = base64.urlsafe_b64decode(body + "=" * (-len(body) % 4))
    if cookie.value.startswith("."):
        readable = zlib.decompress(readable)
    assert b"token" in readable
    assert fleet.admin.encode() not in readable


def test_a_cookie_sealed_with_another_secret_signs_nobody_in(fleet: Stage):
    visitor = Visitor(fleet.web).sign_in(fleet.admin)
    cookie = visitor.client.get_cookie("heelwright_session")
    other = make_web(fleet.transport)
    other.secret_key = "another"
    stranger = Visitor(other)
    stranger.cookie("heelwright_session", cookie.value if cookie else "")
    assert stranger.get("/").location.startswith("/sign-in")


def test_signing_out_forgets_the_token(fleet: Stage):
    visitor = fleet.visitor()
    assert visitor.get("/").status == 200
    visitor.post("/sign-out", from_page="/")
    assert visitor.get("/").status == 302


def test_a_revoked_token_leads_back_to_the_sign_in_page_with_the_reason(fleet: Stage):
    token = new_token(fleet.api, "reader")
    visitor = Visitor(fleet.web).sign_in(token)
    for each in fleet.client.tokens:
        if each["role"] == "reader":
            fleet.client.tokens.revoke(each["id"], etag=f'"{each["version"]}"')
    page = visitor.get("/")
    assert page.status == 302
    assert "revoked" in visitor.get(page.location).text


def test_a_visitor_never_uses_the_token_of_whoever_started_the_program(fleet: Stage, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("HEELWRIGHT_TOKEN", fleet.admin)
    visitor = Visitor(fleet.web)
    assert visitor.get("/").status == 302
    assert visitor.post("/sign-in", {"token": ""}).status == 422


def test_the_one_time_address_signs_in_once_and_on_loopback_only(fleet: Stage):
    web = make_web(fleet.transport, own_token=fleet.admin, ticket="once-only")
    assert web.test_client().get("/welcome/once-only", base_url="https://ship.example").status_code == 404
    assert Visitor(web).get("/welcome/guess").status == 404
    first = Visitor(web)
    assert first.get("/welcome/once-only").status == 302
    assert first.get("/").status == 200
    assert Visitor(web).get("/welcome/once-only").status == 404


def test_without_a_ticket_no_address_signs_anybody_in(fleet: Stage):
    assert Visitor(fleet.web).get("/welcome/None").status == 404


def test_a_form_from_another_site_is_refused_and_says_so(fleet: Stage):
    visitor = fleet.visitor()
    answer = visitor.client.post("/vessels/new", data={"name": "Forged"})
    assert answer.status_code == 400
    assert "does not belong to this session" in answer.get_data(as_text=True)
    assert all(vessel["name"] != "Forged" for vessel in fleet.client.vessels)


@pytest.mark.parametrize(
    "address",
    [
        "https://evil.example/",
        "//evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "/\t/evil.example",
        "javascript:1",
    ],
)
def test_the_way_back_never_leads_to_another_site(empty: Stage, address: str):
    with empty.web.test_request_context("/"):
        assert inner_address(address) == "/"


def test_a_host_name_that_is_not_its_own_is_refused_on_loopback(fleet: Stage):
    web: Flask = make_web(fleet.transport, trusted_hosts=("localhost", "127.0.0.1"))
    assert web.test_client().get("/sign-in", base_url="http://rebound.example").status_code == 400
    assert web.test_client().get("/sign-in", base_url="http://localhost:8378").status_code == 200
