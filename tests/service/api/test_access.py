"""Tokens, roles and scopes: who may do what, and what others are told."""

from __future__ import annotations

import datetime
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.support.app import Api, new_token

OPEN = {"/healthz", "/readyz", "/v1/sessions"}
LADDER = ("reader", "recorder", "planner", "approver", "admin")
ALTERATION = {"date": "2024-05-17", "kind": "added", "mass_t": 2.5, "x_m": 20, "y_m": 0, "z_m": 6}
LIGHTSHIP = {"date": "2024-05-17", "basis": "inclining-test", "mass_t": 1200, "lcg_m": 24, "vcg_m": 5}


def as_role(app: Flask, role: str, **scope: Any) -> Api:
    return Api(app.test_client(), new_token(app, role, name=role, **scope))


@pytest.mark.parametrize("path", ["/healthz", "/readyz", "/v1/openapi.json", "/v1/docs"])
def test_some_paths_are_open(client: FlaskClient, path: str) -> None:
    assert client.get(path).status_code == 200


def test_every_other_path_asks_for_a_token(app: Flask, client: FlaskClient) -> None:
    document = client.get("/v1/openapi.json").get_json()
    asked = 0
    for path, operations in document["paths"].items():
        for method in set(operations) - {"parameters"}:
            if operations[method]["security"] == []:
                assert path in OPEN
                continue
            refused = client.open(re.sub(r"{\w+}", "a1", path), method=method.upper(), json={})
            assert refused.status_code == 401, (method, path)
            assert refused.headers["WWW-Authenticate"] == 'Bearer realm="heelwright"'
            asked += 1
    assert asked > 20


@pytest.mark.parametrize("header", ["Bearer hw_wrong", "Bearer ", "Basic YTpi", "nonsense", "Bearer a b"])
def test_a_wrong_token_is_refused(client: FlaskClient, header: str) -> None:
    refused = client.get("/v1/vessels", headers={"Authorization": header})
    assert refused.status_code == 401
    assert refused.headers["WWW-Authenticate"].startswith("Bearer ")
    assert refused.content_type == "application/problem+json"


def test_an_expired_token_is_refused(app: Flask) -> None:
    past = datetime.datetime.now(datetime.UTC) - datetime.timedelta(seconds=1)
    refused = as_role(app, "reader", expires_at=past).get("/vessels")
    assert (refused.status_code, refused.get_json()["code"]) == (401, "token-expired")
    assert 'error="invalid_token"' in refused.headers["WWW-Authenticate"]


def test_a_revoked_token_is_refused_and_stays_listed(app: Flask, api: Api) -> None:
    made = api.post("/tokens", {"name": "a reader", "role": "reader"})
    theirs = api.with_token(made.get_json()["token"])
    assert theirs.get("/vessels").status_code == 200
    path = f"/tokens/{made.get_json()['id']}"
    assert api.delete(path).status_code == 428
    assert api.delete(path, If_Match=made.headers["ETag"]).status_code == 204
    assert theirs.get("/vessels").get_json()["code"] == "token-revoked"
    assert api.get(path).get_json()["revoked_at"] is not None
    assert api.delete(path, If_Match='"2"').get_json()["code"] == "token-revoked"


def test_the_text_of_a_token_is_shown_once_and_never_stored(app: Flask, api: Api) -> None:
    made = api.post("/tokens", {"name": "x", "role": "reader"}).get_json()
    assert "token" not in api.get(f"/tokens/{made['id']}").get_json()
    assert all("token" not in item for item in api.get("/tokens").get_json()["items"])
    with app.extensions["heelwright"].engine.connect() as connection:
        rows = connection.exec_driver_sql("SELECT * FROM tokens").fetchall()
    assert made["token"] not in str(rows)


@pytest.mark.parametrize(
    ("least", "method", "path", "body"),
    [
        ("reader", "GET", "", None),
        ("reader", "GET", "/lightships", None),
        ("recorder", "POST", "/alterations", ALTERATION),
        ("planner", "POST", "/lightships", LIGHTSHIP),
        ("approver", "POST", "/lightships", LIGHTSHIP | {"approved": True}),
        ("planner", "PUT", "/marks", {"marks": []}),
        ("admin", "DELETE", "", None),
    ],
)
def test_a_role_may_do_what_those_below_it_may_and_no_more(
    app: Flask, vessel: str, least: str, method: str, path: str, body: object
) -> None:
    for role in LADDER:
        answer = as_role(app, role).call(method, vessel + path, body, If_Match='"99"')
        allowed = LADDER.index(role) >= LADDER.index(least)
        assert (answer.status_code != 403) == allowed, (role, answer.get_json())
        if not allowed:
            assert answer.get_json()["code"] == "role-too-low"
            assert 'error="insufficient_scope"' in answer.headers["WWW-Authenticate"]


def test_a_lightship_that_was_approved_is_superseded_by_an_approver_alone(app: Flask, api: Api, vessel: str) -> None:
    old = api.post(f"{vessel}/lightships", LIGHTSHIP | {"approved": True}).get_json()["id"]
    newer = LIGHTSHIP | {"supersedes": old, "reason": "a weight was counted twice"}
    assert as_role(app, "planner").post(f"{vessel}/lightships", newer).status_code == 403
    assert as_role(app, "approver").post(f"{vessel}/lightships", newer).status_code == 201


@pytest.mark.parametrize("kind", ["fleet", "vessels"])
def test_a_vessel_outside_the_scope_is_not_there(app: Flask, api: Api, vessel: str, kind: str) -> None:
    other = f"/vessels/{api.post('/vessels', {'name': 'Birch', 'fleet': 'South'}).get_json()['id']}"
    scope = {"fleet": "North"} if kind == "fleet" else {"vessel_ids": [vessel.rpartition("/")[2]]}
    theirs = as_role(app, "admin", **scope)
    assert theirs.get(vessel).status_code == 200
    for path in ("", "/hull", "/lightships", "/alterations", "/drift", "/hull/versions"):
        refused = theirs.get(other + path)
        assert (refused.status_code, refused.get_json()["code"]) == (404, "vessel-not-found"), path
    assert theirs.patch(other, {"name": "Mine"}, If_Match="*").status_code == 404
    assert theirs.post(f"{other}/alterations", ALTERATION).status_code == 404
    planner = as_role(app, "planner", **scope)
    for body in (LIGHTSHIP, LIGHTSHIP | {"approved": True}):
        assert planner.post(f"{other}/lightships", body).status_code == 404
    assert planner.post(f"{vessel}/lightships", LIGHTSHIP | {"approved": True}).status_code == 403
    assert [item["name"] for item in theirs.get("/vessels").get_json()["items"]] == ["Alder"]
    assert [item["vessel"]["name"] for item in theirs.get("/fleet/drift").get_json()["items"]] == ["Alder"]
    subjects = {event["subject"].partition("/vessels/")[2] for event in theirs.get("/events").get_json()["items"]}
    assert subjects == {vessel.rpartition("/")[2]}


def test_a_limited_token_puts_no_vessel_outside_its_scope_and_makes_no_wider_token(app: Flask, vessel: str) -> None:
    theirs = as_role(app, "admin", fleet="North")
    assert theirs.post("/vessels", {"name": "Cedar", "fleet": "South"}).get_json()["code"] == "outside-scope"
    assert theirs.post("/vessels", {"name": "Cedar", "fleet": "North"}).status_code == 201
    assert theirs.patch(vessel, {"fleet": "South"}, If_Match='"1"').get_json()["code"] == "outside-scope"
    assert theirs.post("/tokens", {"name": "x", "role": "admin"}).get_json()["code"] == "scope-too-wide"
    assert theirs.post("/tokens", {"name": "x", "role": "reader", "fleet": "South"}).status_code == 403
    assert theirs.post("/tokens", {"name": "x", "role": "reader", "fleet": "North"}).status_code == 201


def test_a_limited_administrator_neither_sees_nor_revokes_tokens_beyond_his_scope(app: Flask, api: Api) -> None:
    wide = api.post("/tokens", {"name": "wide", "role": "admin"}).get_json()["id"]
    theirs = as_role(app, "admin", fleet="North")
    assert {token["fleet"] for token in theirs.get("/tokens").get_json()["items"]} == {"North"}
    assert theirs.get(f"/tokens/{wide}").status_code == 404
    assert theirs.delete(f"/tokens/{wide}", If_Match='"1"').status_code == 404


def test_a_token_for_a_vessel_that_is_not_there_is_refused_at_its_field(app: Flask, api: Api, vessel: str) -> None:
    own = vessel.rpartition("/")[2]
    refused = api.post("/tokens", {"name": "x", "role": "reader", "vessel_ids": [own, "0" * 32]})
    assert (refused.status_code, refused.get_json()["code"]) == (422, "vessel-not-found")
    assert refused.get_json()["errors"][0]["pointer"] == "/vessel_ids/1"
    limited = as_role(app, "admin", fleet="South")
    refused = limited.post("/tokens", {"name": "x", "role": "reader", "vessel_ids": [own]})
    assert refused.get_json()["errors"][0]["pointer"] == "/vessel_ids/0"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"role": "owner"}, "/role"),
        ({"fleet": "North", "vessel_ids": ["a"]}, "/vessel_ids"),
        ({"vessel_ids": []}, "/vessel_ids"),
        ({"expires_at": "2030-01-01T00:00:00"}, "/expires_at"),
    ],
)
def test_a_token_that_cannot_be_meant_is_refused(api: Api, change: dict[str, object], pointer: str) -> None:
    refused = api.post("/tokens", {"name": "x", "role": "reader"} | change)
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize("role", LADDER)
def test_every_token_can_read_its_own_facts_and_what_it_may_do(app: Flask, role: str) -> None:
    answer = as_role(app, role, fleet="North").get("/tokens/self")
    assert answer.status_code == 200
    own = answer.get_json()
    assert (own["name"], own["role"], own["fleet"], own["vessel_ids"], own["expires_at"]) == (
        role, role, "North", None, None
    )  # fmt: skip
    assert own["may"] == ["read", "record", "plan", "approve", "administer"][: LADDER.index(role) + 1]
    assert "token" not in own
