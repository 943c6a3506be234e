"""The shape of requests: what cannot be meant is refused as a problem document that names the field."""

from __future__ import annotations

import json
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from heelwright_service.api.server import THREADS
from heelwright_service.store.engine import CONNECTIONS, READ_ONLY, SPARE_CONNECTIONS

from tests.support.app import Api, engine_of, make_app, migrated_sqlite, new_token


@pytest.fixture
def database_url(tmp_path: Path) -> str:
    """What is refused for its shape never meets a database, so one kind is enough here."""
    return migrated_sqlite(tmp_path)


PARTS = {"type", "title", "status", "detail", "code", "errors", "request_id"}


def send(
    api: Api, text: str | bytes, content_type: str = "application/json", path: str = "/vessels"
) -> dict[str, object]:
    """Send a body as it is written, and return the problem it meets."""
    headers = {"Authorization": f"Bearer {api.token}"}
    answer = api.client.post(f"/v1{path}", data=text, content_type=content_type, headers=headers)
    problem = answer.get_json(force=True)
    assert answer.content_type == "application/problem+json"
    assert set(problem) == PARTS
    assert problem["status"] == answer.status_code
    assert api.get("/vessels").get_json()["items"] == []
    return dict(problem)


@pytest.mark.parametrize(
    ("text", "pointer", "words"),
    [
        ('{"name": "A", "nmae": "B"}', "/nmae", "did you mean name"),
        ('{"name": "A", "depth_m": "5"}', "/depth_m", "without quotation marks"),
        ('{"name": "A", "depth_m": NaN}', "/depth_m", "finite"),
        ('{"name": "A", "depth_m": -Infinity}', "/depth_m", "finite"),
        ('{"name": "A", "depth_m": 1e400}', "/depth_m", "finite"),
        ('{"name": "A", "depth_m": true}', "/depth_m", "must be a number"),
        ('{"name": "A", "depth_m": [5]}', "/depth_m", "must be a number"),
        ('{"name": "A", "depth_m": -5}', "/depth_m", "above 0 to 1000, found -5"),
        ('{"name": "A", "depth_m": 5000}', "/depth_m", "above 0 to 1000, found 5000"),
        (f'{{"name": "A", "depth_m": 1{"0" * 400}}}', "/depth_m", "must be from"),
        ('{"depth_m": 5}', "/name", "is required"),
        ('{"name": null}', "/name", "may not be null"),
        ('{"name": " "}', "/name", "blank"),
        ('{"name": "A\\u0000"}', "/name", "control character"),
        ('{"name": "A\\ud800"}', "/name", "surrogate"),
        (f'{{"name": "{"A" * 201}"}}', "/name", "at most 200"),
        ('{"name": 5}', "/name", "must be a text"),
        ('{"name": "A", "keel_laid": "2024-13-01"}', "/keel_laid", "2024-05-17"),
        ('{"name": "A", "keel_laid": "20240517"}', "/keel_laid", "2024-05-17"),
        ('{"name": "A", "column_stabilized": 1}', "/column_stabilized", "true or false"),
        ('{"name": "A", "a/b~c": 1}', "/a~1b~0c", "is not a field"),
        ("[]", "", "must be an object"),
        ("null", "", "must be an object"),
        ('"text"', "", "must be an object"),
    ],
)
def test_a_field_that_cannot_be_meant_is_named(api: Api, text: str, pointer: str, words: str) -> None:
    problem = send(api, text)
    assert problem["status"] == 422
    assert problem["errors"][0]["pointer"] == pointer  # type: ignore[index]
    assert words in problem["errors"][0]["message"]  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not JSON"),
        ("{", "line 1, column 2"),
        ('{"name": "A", "name": "B"}', 'the key "name" stands twice'),
        (b'{"name": "\xff"}', "UTF-8"),
        ("[" * 100_000, "nested too deeply"),
        ('{"name": ' + "1" * 5000 + "}", "absurdly long number"),
    ],
)
def test_a_body_that_is_not_json_is_refused(api: Api, text: str | bytes, words: str) -> None:
    problem = send(api, text)
    assert (problem["status"], problem["code"]) == (400, "malformed-json")
    assert words in str(problem["detail"])


@pytest.mark.parametrize("charset", ["latin-1", "utf-16"])
def test_a_body_of_another_charset_is_refused_by_name(api: Api, charset: str) -> None:
    problem = send(api, '{"name": "A"}', f"application/json; charset={charset}")
    assert (problem["status"], problem["code"]) == (415, "charset-not-supported")
    assert charset in str(problem["detail"])


@pytest.mark.parametrize("path", ["/", "/nowhere", "/v1", "/v1/", "/v1/nowhere", "/v1/docs/nowhere", "/v1/vessels/a/b"])
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "PATCH", "DELETE"])
def test_every_unknown_path_is_a_problem_document_for_every_method(client: FlaskClient, method: str, path: str) -> None:
    answer = client.open(path, method=method)
    assert (answer.status_code, answer.content_type) == (404, "application/problem+json")
    assert set(answer.get_json()) == PARTS
    assert answer.get_json()["request_id"] == answer.headers["X-Request-ID"] != ""


def test_head_and_options_answer_without_a_body(api: Api) -> None:
    for path, status in (("/vessels", 200), ("/nowhere", 404), ("/vessels/0", 404)):
        answer = api.call("HEAD", path)
        assert (answer.status_code, answer.data) == (status, b"")
        if status == 404:
            assert answer.content_type == "application/problem+json"
    options = api.call("OPTIONS", "/vessels")
    assert options.status_code == 200
    assert set(options.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS", "POST"}
    assert api.call("OPTIONS", "/nowhere").status_code == 404


@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", "application/xml", ""])
def test_a_body_of_another_type_is_refused(api: Api, content_type: str) -> None:
    assert send(api, '{"name": "A"}', content_type)["status"] == 415


def test_every_fault_of_a_request_is_told_at_once(api: Api) -> None:
    problem = send(api, json.dumps({"depth_m": -1, "breadth_m": "x", "kind": 3}))
    assert {fault["pointer"] for fault in problem["errors"]} == {"/name", "/depth_m", "/breadth_m", "/kind"}  # type: ignore[attr-defined]


def test_a_body_that_is_too_long_is_refused(database_url: str) -> None:
    small = make_app(database_url, max_body_bytes=1000)
    api = Api(small.test_client(), new_token(small))
    assert send(api, json.dumps({"name": "A" * 2000}))["status"] == 413
    small.extensions["heelwright"].engine.dispose()


@pytest.mark.parametrize(("method", "path", "status"), [("GET", "/nowhere", 404), ("POST", "/events", 405)])
def test_the_frameworks_own_errors_are_problem_documents(api: Api, method: str, path: str, status: int) -> None:
    answer = api.call(method, path)
    assert (answer.status_code, answer.content_type) == (status, "application/problem+json")
    assert set(answer.get_json()) == PARTS
    if status == 405:
        assert "GET" in answer.headers["Allow"]


@pytest.mark.parametrize(
    "path", ["/vessels/%00", "/vessels/../tokens", "/vessels/a%2Fb", f"/vessels/{'9' * 70}", "/vessels/É"]
)
def test_an_id_that_none_can_be_is_not_found(api: Api, path: str) -> None:
    assert api.get(path).status_code == 404


def test_a_defect_is_an_answer_without_its_insides(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*words: object, **more: object) -> None:
        raise RuntimeError("secret insides")

    monkeypatch.setattr("heelwright_service.usecases.keep_vessels.list_vessels", fail)
    answer = Api(app.test_client(), new_token(app)).get("/vessels")
    assert (answer.status_code, answer.get_json()["code"]) == (500, "internal-error")
    assert "secret" not in answer.get_data(as_text=True)
    assert answer.get_json()["request_id"] in answer.get_json()["detail"]


def test_a_database_that_does_not_answer_is_told_as_such(app: Flask, admin_token: str) -> None:
    gone = make_app("postgresql+psycopg://x@127.0.0.1:1/x?connect_timeout=2")
    answer = Api(gone.test_client(), admin_token).get("/vessels")
    assert (answer.status_code, answer.get_json()["code"]) == (503, "database-not-reached")
    assert answer.headers["Retry-After"]
    engine_of(gone).dispose()


def test_who_finds_no_connection_is_told_to_come_again(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine_of(app).pool, "_timeout", 0.05)  # the seconds that one waits in service are not waited
    api = Api(app.test_client(), new_token(app))
    with ExitStack() as taken:
        for _ in range(CONNECTIONS + SPARE_CONNECTIONS):
            taken.enter_context(engine_of(app).connect())
        refused = api.get("/vessels")
    assert (refused.status_code, refused.get_json()["code"]) == (503, "connections-taken")
    assert refused.headers["Retry-After"]
    assert api.get("/vessels").status_code == 200


def test_a_thread_of_the_server_always_finds_a_connection(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine_of(app).pool, "_timeout", 0.05)
    api = Api(app.test_client(), new_token(app))
    with ExitStack() as taken:
        for _ in range(THREADS - 1):
            taken.enter_context(engine_of(app).connect().execution_options(**{READ_ONLY: True})).begin()
        assert api.post("/vessels", {"name": "Alder"}).status_code == 201


def test_a_computation_that_gets_no_turn_is_told_to_come_again(database_url: str, box: dict[str, Any]) -> None:
    busy = make_app(database_url, computation_wait_s=0.01)
    api = Api(busy.test_client(), new_token(busy))
    request = {"length_bp_m": 50, "hull": box, "planes": [{"draught_m": 2}], "density_t_per_m3": 1.025}
    with busy.extensions["heelwright"].turns.turn():
        refused = api.post("/hydrostatics", request)
    assert (refused.status_code, refused.get_json()["code"]) == (503, "busy")
    assert refused.headers["Retry-After"]
    assert api.post("/hydrostatics", request).status_code == 200
    engine_of(busy).dispose()


def test_an_answer_never_has_nan_in_it(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "heelwright_service.usecases.keep_vessels.read_vessel", lambda *_: {"depth_m": float("nan"), "version": 1}
    )
    assert Api(app.test_client(), new_token(app)).get("/vessels/a").status_code == 500


def test_a_request_keeps_the_id_it_came_with(client: FlaskClient) -> None:
    kept = client.get("/v1/vessels", headers={"X-Request-ID": "trace-17"})
    assert kept.headers["X-Request-ID"] == kept.get_json()["request_id"] == "trace-17"
    odd = client.get("/v1/vessels", headers={"X-Request-ID": "a b<script>"})
    assert odd.headers["X-Request-ID"] not in ("", "a b<script>")


def test_more_planes_than_a_request_may_ask_are_refused_at_their_field(
    app: Flask, admin_token: str, box: dict[str, Any]
) -> None:
    request = {"length_bp_m": 50, "hull": box, "planes": [{"draught_m": 2}] * 9000, "density_t_per_m3": 1.025}
    refused = Api(app.test_client(), admin_token).post("/hydrostatics", request)
    assert refused.status_code == 422
    assert [each["pointer"] for each in refused.get_json()["errors"]] == ["/planes"]
