"""The connection, against a small server of our own on loopback and against applications in this process."""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from heelwright_client import errors
from heelwright_client.http import Connection
from heelwright_client.wsgi_transport import WsgiTransport

Answer = tuple[str, dict[str, str], bytes]


class Scripted:
    """A WSGI application that answers from a list, and keeps what it was asked."""

    def __init__(self, *answers: Answer) -> None:
        self.answers = list(answers)
        self.asked: list[dict[str, Any]] = []
        self.bodies: list[bytes] = []

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> list[bytes]:
        self.asked.append(environ)
        self.bodies.append(environ["wsgi.input"].read())
        status, headers, body = self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]
        start_response(status, list(headers.items()))
        return [body]


def ok(document: object, **headers: str) -> Answer:
    return "200 OK", {"Content-Type": "application/json", **headers}, json.dumps(document).encode()


def problem(status: str, **fields: object) -> Answer:
    return status, {"Content-Type": "application/problem+json"}, json.dumps(fields).encode()


def connection(app: Scripted, token: str | None = "secret", waits: list[float] | None = None) -> Connection:
    return Connection(
        "http://service.test", token, transport=WsgiTransport(app), sleep=(waits if waits is not None else []).append
    )


def test_the_token_and_the_query_are_sent_and_nothing_that_is_unknown() -> None:
    app = Scripted(ok({"items": []}))
    connection(app).get("/v1/vessels", limit=5, cursor=None)
    assert app.asked[0]["HTTP_AUTHORIZATION"] == "Bearer secret"
    assert app.asked[0]["QUERY_STRING"] == "limit=5"


def test_a_path_with_signs_in_it_arrives_as_it_was_meant() -> None:
    from heelwright_client.vessels import vessel_path

    app = Scripted(ok({}))
    connection(app).get(vessel_path("a/b ?é"))
    assert app.asked[0]["PATH_INFO"].encode("latin-1").decode() == "/v1/vessels/a/b ?é"
    assert app.asked[0]["QUERY_STRING"] == ""


def test_a_netrc_file_does_not_replace_the_token(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    netrc = tmp_path / "netrc"
    netrc.write_text("machine service.test login other password other")
    netrc.chmod(0o600)
    monkeypatch.setenv("NETRC", str(netrc))
    app = Scripted(ok({}))
    connection(app).get("/readyz")
    assert app.asked[0]["HTTP_AUTHORIZATION"] == "Bearer secret"


@pytest.mark.parametrize("token", ["two words", "line\nend", "clé"])
def test_a_token_that_no_header_can_carry_is_refused_before_it_is_sent(token: str) -> None:
    with pytest.raises(errors.ConfigurationError):
        Connection("http://service.test", token)


@pytest.mark.parametrize("url", ["", "service.test", "ftp://service.test", "http://"])
def test_an_address_that_is_none_is_refused(url: str) -> None:
    with pytest.raises(errors.ConfigurationError, match="address"):
        Connection(url)


@pytest.mark.parametrize(
    ("status", "kind"),
    [
        ("400 Bad Request", errors.InvalidRequestError),
        ("401 Unauthorized", errors.UnauthenticatedError),
        ("403 Forbidden", errors.ForbiddenError),
        ("404 Not Found", errors.NotFoundError),
        ("409 Conflict", errors.ConflictError),
        ("412 Precondition Failed", errors.StaleError),
        ("415 Unsupported Media Type", errors.InvalidRequestError),
        ("422 Unprocessable Content", errors.InvalidRequestError),
        ("428 Precondition Required", errors.StaleError),
        ("429 Too Many Requests", errors.TooManyRequestsError),
        ("500 Internal Server Error", errors.ServiceFailedError),
        ("503 Service Unavailable", errors.UnavailableError),
    ],
)
def test_a_problem_becomes_the_exception_of_its_status(status: str, kind: type[errors.RefusedError]) -> None:
    with pytest.raises(kind) as caught:
        connection(Scripted(problem(status, code="a-code", detail="What was wrong."))).get("/v1/x")
    assert type(caught.value) is kind
    assert (caught.value.code, str(caught.value)) == ("a-code", "What was wrong.")


def test_a_refusal_names_its_fields_for_people() -> None:
    listed = [{"pointer": "/gm_m", "message": "must be above 0 m"}]
    refused = errors.refusal(422, {"detail": "The request cannot be taken.", "errors": listed})
    assert refused.lines() == ["The request cannot be taken.", "/gm_m: must be above 0 m"]


def test_a_page_of_a_proxy_is_told_apart_from_a_problem() -> None:
    page = ("502 Bad Gateway", {"Content-Type": "text/html"}, b"<html>nginx</html>")
    with pytest.raises(errors.UnavailableError, match="502 Bad Gateway"):
        connection(Scripted(page)).get("/readyz")


@pytest.mark.parametrize("body", [b"<html>", b'{"cut', b"[1]"])
def test_an_answer_that_is_not_ours_is_not_taken(body: bytes) -> None:
    with pytest.raises(errors.UnexpectedAnswerError):
        connection(Scripted(("200 OK", {}, body))).get("/v1/x")


def test_a_redirect_is_not_followed_so_that_no_token_goes_elsewhere() -> None:
    app = Scripted(("302 Found", {"Location": "http://elsewhere.test/"}, b""))
    with pytest.raises(errors.UnexpectedAnswerError, match=r"elsewhere\.test"):
        connection(app).get("/v1/x")
    assert len(app.asked) == 1


def test_reading_is_tried_again_while_the_service_is_unavailable() -> None:
    waits: list[float] = []
    app = Scripted(problem("503 Service Unavailable"), problem("503 Service Unavailable"), ok({"a": 1}))
    assert connection(app, waits=waits).get("/v1/x") == {"a": 1}
    assert len(app.asked) == 3
    assert waits == sorted(waits)


def test_the_pause_that_the_service_asks_for_is_kept() -> None:
    waits: list[float] = []
    busy = ("503 Service Unavailable", {"Retry-After": "3"}, b"{}")
    connection(Scripted(busy, ok({})), waits=waits).get("/v1/x")
    assert waits == [3.0]


def test_storing_again_bears_the_same_idempotency_key() -> None:
    app = Scripted(problem("503 Service Unavailable"), ok({"id": "v1"}, ETag='"1"'))
    stored = connection(app).create("/v1/vessels", {"name": "x"})
    keys = {asked["HTTP_IDEMPOTENCY_KEY"] for asked in app.asked}
    assert (len(app.asked), len(keys), stored.etag) == (2, 1, '"1"')
    assert app.bodies[0] == app.bodies[1]


def test_two_acts_bear_two_idempotency_keys() -> None:
    app = Scripted(ok({}))
    for _ in range(2):
        connection(app).create("/v1/vessels", {"name": "x"})
    assert app.asked[0]["HTTP_IDEMPOTENCY_KEY"] != app.asked[1]["HTTP_IDEMPOTENCY_KEY"]


def test_a_change_is_not_repeated_and_names_the_version_it_was_made_from() -> None:
    app = Scripted(problem("503 Service Unavailable"), ok({}))
    with pytest.raises(errors.UnavailableError):
        connection(app).change("PATCH", "/v1/vessels/1", {"name": "y"}, etag='"7"')
    assert len(app.asked) == 1
    assert app.asked[0]["HTTP_IF_MATCH"] == '"7"'


def test_a_refusal_is_not_repeated() -> None:
    app = Scripted(problem("422 Unprocessable Content"))
    with pytest.raises(errors.InvalidRequestError):
        connection(app).compute("/v1/reductions", {})
    assert len(app.asked) == 1


def test_a_list_is_read_to_its_end() -> None:
    app = Scripted(ok({"items": [1, 2], "next_cursor": "c"}), ok({"items": [3], "next_cursor": None}))
    items: list[object] = list(connection(app).pages("/v1/events", after=4))
    assert items == [1, 2, 3]
    assert app.asked[1]["QUERY_STRING"] == "cursor=c&after=4"


def test_full_precision_goes_there_and_back() -> None:
    value = 1 / 3 + 1e-16
    app = Scripted(ok({"value": value}))
    assert connection(app).compute("/v1/x", {"value": value}) == {"value": value}
    assert json.loads(app.bodies[0]) == {"value": value}


def test_what_json_cannot_hold_is_refused_here() -> None:
    app = Scripted(ok({}))
    with pytest.raises(errors.InvalidRequestError, match="JSON"):
        connection(app).compute("/v1/x", {"gm_m": float("nan")})
    assert app.asked == []


@contextmanager
def listening(handler: type[BaseHTTPRequestHandler]) -> Iterator[str]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


class Silent(BaseHTTPRequestHandler):
    """Takes the request and never answers."""

    held = threading.Event()

    def do_GET(self) -> None:
        self.held.wait(2.0)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


def test_an_answer_that_does_not_come_in_time_is_told_as_that() -> None:
    with listening(Silent) as url, pytest.raises(errors.TimedOutError, match="within"):
        Connection(url, timeout_s=0.1).get("/readyz")
    Silent.held.set()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_nobody_listening_is_told_in_one_sentence() -> None:
    waits: list[float] = []
    with pytest.raises(errors.NotReachedError, match=r"was not reached: .*refused") as caught:
        Connection(f"http://127.0.0.1:{free_port()}", sleep=waits.append).get("/readyz")
    assert not isinstance(caught.value, errors.TimedOutError)
    assert len(waits) == 2


def test_the_tree_is_drawn_as_it_is() -> None:
    drawn = errors.__doc__ or ""
    for name, thing in vars(errors).items():
        if isinstance(thing, type) and issubclass(thing, errors.HeelwrightError):
            assert name in drawn, f"{name} is missing from the drawing at the module's head"


def test_a_failure_of_the_service_is_told_with_the_number_of_the_request():
    told = errors.refusal(500, {"detail": "the service failed", "request_id": "r-17"})
    assert told.lines() == ["the service failed (request r-17)"]
    assert errors.refusal(500, {"detail": "failed: r-17", "request_id": "r-17"}).lines() == ["failed: r-17"]
    assert errors.refusal(404, {"detail": "no such vessel", "request_id": "r-17"}).lines() == ["no such vessel"]
