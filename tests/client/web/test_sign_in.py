"""Signing in by name and password or by a token, kept where no script and no thief of a cookie can read it."""

from __future__ import annotations

import base64
import zlib

import pytest
from flask import Flask
from heelwright_client.web.access import inner_address
from heelwright_service.store.tables import SignInAttempt
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases import passwords
from heelwright_service.usecases.people import PersonWanted, add_person
from sqlalchemy import select
from werkzeug.middleware.proxy_fix import ProxyFix

from tests.client.web.conftest import OpenAt, Stage, make_web
from tests.client.web.visitor import DeadTransport, Visitor
from tests.support.app import engine_of, new_token

PASSWORD = "seven quiet moorings"


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


@pytest.fixture
def ines(fleet: Stage, monkeypatch: pytest.MonkeyPatch) -> Visitor:
    """A visitor who has an account, not yet signed in."""
    monkeypatch.setattr(passwords, "METHOD", "scrypt:1024:8:1")  # the dear one is tested with the service
    add_person(UnitOfWork(engine_of(fleet.api)), "the tests", PersonWanted("Ines Aldous", "planner"), PASSWORD)
    return Visitor(fleet.web)


def test_a_person_signs_in_by_name_and_password_and_comes_back_to_the_page_wanted(ines: Visitor):
    form = {"name": "ines aldous", "password": PASSWORD, "next": "/tests/"}
    assert ines.post("/sign-in", form).location == "/tests/"
    page = ines.get("/")
    assert page.status == 200
    assert "Ines Aldous" in page.html
    assert page.faults() == []


@pytest.mark.parametrize("form", [
    {"name": "Ines Aldous", "password": "something else"}, {"name": "Nobody Known", "password": PASSWORD},
])  # fmt: skip
def test_a_name_and_password_that_do_not_fit_are_refused_without_telling_which(ines: Visitor, form: dict[str, str]):
    page = ines.post("/sign-in", form)
    assert page.status == 422
    assert "Name and password do not fit, or the account is disabled." in page.text
    assert page.faults() == []
    fields = {each.get("name"): each for each in page.all("input")}
    assert fields["name"].get("value") == form["name"]
    assert fields["password"].get("value") is None
    assert form["password"] not in page.html
    assert ines.get("/").status == 302


def test_a_form_without_a_password_is_not_sent_on(ines: Visitor, fleet: Stage):
    before = fleet.transport.spent_s
    assert "Give your name and your password." in ines.post("/sign-in", {"name": "Ines Aldous", "password": ""}).text
    assert fleet.transport.spent_s == before


def test_too_many_attempts_are_told_with_the_wait(ines: Visitor):
    for _ in range(5):
        ines.post("/sign-in", {"name": "Ines Aldous", "password": "something else"})
    page = ines.post("/sign-in", {"name": "Ines Aldous", "password": PASSWORD})
    assert page.status == 422
    assert "Too many attempts failed. Wait 15 min and try again." in page.text


def test_the_visitors_address_goes_with_the_attempt(ines: Visitor, fleet: Stage):
    fleet.api.wsgi_app = ProxyFix(fleet.api.wsgi_app, x_for=1)  # type: ignore[method-assign]
    ines.client.environ_base["REMOTE_ADDR"] = "198.51.100.7"
    ines.post("/sign-in", {"name": "Ines Aldous", "password": "something else"})
    with UnitOfWork(engine_of(fleet.api)).transaction(read_only=True) as session:
        assert [attempt.address for attempt in session.scalars(select(SignInAttempt))] == ["198.51.100.7"]


def _session_token(fleet: Stage, visitor: Visitor) -> str:
    with visitor.client.session_transaction() as kept:
        sealed = kept["token"]
    return str(fleet.web.extensions["heelwright_seal"].decrypt(sealed.encode()).decode())


def test_signing_out_ends_a_persons_session_in_the_service(ines: Visitor, fleet: Stage):
    ines.post("/sign-in", {"name": "Ines Aldous", "password": PASSWORD})
    token = _session_token(fleet, ines)
    ines.post("/sign-out", from_page="/")
    refused = fleet.api.test_client().get("/v1/vessels", headers={"Authorization": f"Bearer {token}"})
    assert refused.get_json()["code"] == "token-revoked"


def test_signing_out_leaves_a_token_good(fleet: Stage):
    visitor = fleet.visitor()
    visitor.post("/sign-out", from_page="/")
    assert fleet.visitor().get("/").status == 200


def test_signing_out_works_without_the_service_and_says_what_is_left(ines: Visitor, fleet: Stage):
    ines.post("/sign-in", {"name": "Ines Aldous", "password": PASSWORD})
    ines.get("/")
    page_token = ines.get("/sign-in")
    assert page_token.status == 200
    fleet.web.extensions["heelwright_transport"] = DeadTransport()
    assert ines.post("/sign-out", from_page="/sign-in").status == 302
    assert "ends by itself in 12 hours" in ines.get("/sign-in").text
    assert ines.get("/").status == 302


def test_a_person_finds_the_own_name_in_the_forms_to_sign(open_at: OpenAt, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(passwords, "METHOD", "scrypt:1024:8:1")
    stage, campaign = open_at("test-day")
    add_person(UnitOfWork(engine_of(stage.api)), "the tests", PersonWanted("Ines Aldous", "planner"), PASSWORD)
    visitor = Visitor(stage.web)
    visitor.post("/sign-in", {"name": "Ines Aldous", "password": PASSWORD})
    path = f"/tests/{campaign.test_id}/day/"
    for who, name in ((visitor, "Ines Aldous"), (stage.visitor(), "")):
        field = next(each for each in who.get(path).all("input") if each.get("id") == "closed-by")
        assert (field.get("value") or "") == name
