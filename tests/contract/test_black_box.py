"""What a strict customer finds who knows the served address and the document alone."""

from __future__ import annotations

import http.client
import json
import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from flask import Flask

from tests.support.app import new_token

RECORD = Path(__file__).parents[1] / "reference" / "simulated" / "box-14.record.json"
CONTOUR = [[0, 0], [6, 0], [6, 5]]
BOX = {
    "length_bp_m": 50,
    "hull": {"stations": [{"x_m": 0, "contour_m": CONTOUR}, {"x_m": 50, "contour_m": CONTOUR}]},
    "planes": [{"draught_m": 2}],
    "density_t_per_m3": 1.025,
}
PLAN = {
    "displacement_t": 2500, "gm_m": 0.95, "breadth_m": 14, "depth_m": 8, "draught_m": 4.5, "weights_count": 4,
    "weight_step_t": 0.5, "positions": [{"x_m": 30, "y_port_m": -6, "y_starboard_m": 6, "z_m": 8.6}],
    "instruments": [{"id": "forward", "kind": "pendulum", "length_m": 6}],
}  # fmt: skip
LIGHTSHIP = {"date": "2015-03-01", "basis": "inclining-test", "mass_t": 1200, "lcg_m": 24, "vcg_m": 6, "approved": True}
UNCERTAINTIES = (
    "draught_m", "freeboard_m", "density_t_per_m3", "reading_m", "reading_deg", "pendulum_length_m",
    "weight_mass_relative", "weight_position_m", "sounding_m", "tank_volume_relative", "item_mass_relative",
    "item_position_m", "hull_volume_relative", "km_m",
)  # fmt: skip


@dataclass(frozen=True)
class Told:
    """An answer: status, headers in lower case, document."""

    status: int
    headers: dict[str, str]
    document: Any


Call = Callable[..., Told]


@pytest.fixture
def call(app: Flask, live_server: str) -> Call:
    """Send a request with a plain HTTP client and an administrator's token."""
    token = new_token(app, "admin")

    def send(method: str, path: str, body: object = None) -> Told:
        connection = http.client.HTTPConnection(urlsplit(live_server).netloc, timeout=60)
        headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
        connection.request(method, path, None if body is None else json.dumps(body), headers)
        answer = connection.getresponse()
        text = answer.read()
        found = {name.lower(): value for name, value in answer.getheaders()}
        connection.close()
        return Told(answer.status, found, json.loads(text) if text else None)

    return send


@pytest.fixture
def record() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(RECORD.read_text())
    return found


def assert_refused(told: Told, status: int, pointer: str) -> str:
    """The refusal is a problem document that points at the fault; returns what it says of it."""
    assert told.status == status, told.document
    assert told.headers["content-type"] == "application/problem+json"
    [message] = [fault["message"] for fault in told.document["errors"] if fault["pointer"] == pointer]
    return str(message)


def test_uncertainties_of_zero_are_allowed_and_leave_no_doubt(call: Call, record: dict[str, Any]) -> None:
    record["uncertainties"] = dict.fromkeys(UNCERTAINTIES, 0)
    for query in ("?uncertainty=linear", "?uncertainty=monte-carlo&draws=100&seed=1"):
        told = call("POST", f"/v1/reductions{query}", record)
        assert told.status == 200, told.document
        standard = {name: found["standard"] for name, found in told.document["uncertainty"]["quantities"].items()}
        assert standard == pytest.approx(dict.fromkeys(standard, 0.0), abs=1e-6)


@pytest.mark.parametrize("survey", [False, True])
def test_more_deducted_than_floats_is_refused(call: Call, record: dict[str, Any], survey: bool) -> None:
    record["items"] = [{"description": "stores", "kind": "surplus", "mass_t": 5000, "x_m": 1, "y_m": 0, "z_m": 1}]
    if survey:
        first = record["states"][:1]
        record = {name: part for name, part in record.items() if name not in ("readings", "instruments")}
        record["states"] = first
    assert "no lightship is left" in assert_refused(call("POST", "/v1/reductions", record), 422, "/items")


@pytest.mark.parametrize("name", ["shift_step_m", "weight_step_t"])
def test_a_step_too_fine_for_any_search_is_refused(call: Call, name: str) -> None:
    assert "must be from 0.0" in assert_refused(call("POST", "/v1/weight-plans", {**PLAN, name: 1e-9}), 422, f"/{name}")


def test_lists_and_objects_are_refused_in_the_words_of_other_fields(call: Call) -> None:
    without = {name: value for name, value in BOX.items() if name != "planes"}
    assert assert_refused(call("POST", "/v1/hydrostatics", without), 422, "/planes") == "is required"
    for planes, pointer, message in (
        ({}, "/planes", "must be a list"),
        (None, "/planes", "may not be null; leave it out where it is not known"),
        ([None], "/planes/0", "may not be null; leave it out where it is not known"),
    ):
        assert assert_refused(call("POST", "/v1/hydrostatics", {**BOX, "planes": planes}), 422, pointer) == message


def test_a_number_beyond_all_numbers_is_refused_by_a_limit_that_can_be_met(call: Call) -> None:
    told = call("POST", "/v1/hydrostatics", {**BOX, "planes": [{"draught_m": 10**400}]})
    assert "inf" not in assert_refused(told, 422, "/planes/0/draught_m")


@pytest.mark.parametrize("draws", ["%201000", "1_000", "+1000", "1e3", "1000.0", ""])
def test_a_number_of_a_query_is_written_in_digits(call: Call, record: dict[str, Any], draws: str) -> None:
    told = call("POST", f"/v1/reductions?uncertainty=monte-carlo&draws={draws}", record)
    assert (told.status, told.document["errors"][0]["parameter"]) == (422, "draws")


def test_a_query_that_an_endpoint_does_not_know_is_refused_by_name(call: Call) -> None:
    told = call("POST", "/v1/hydrostatics?unit=feet", BOX)
    [fault] = told.document["errors"]
    assert (told.status, fault["parameter"]) == (422, "unit")
    assert fault["message"].startswith("unit: is not a field here")


@pytest.mark.parametrize(
    ("head", "status"),
    [
        (b"POST /v1/hydrostatics HTTP/1.1\r\nHost: here\r\nContent-Length: 900000000\r\n\r\n", 413),
        (b"POST /v1/hydrostatics HTTP/1.1\r\nHost: here\r\nContent-Length: many\r\n\r\n", 400),
        (b"NONSENSE\r\n\r\n", 400),
    ],
)
def test_what_is_refused_before_it_is_read_gets_a_problem_document(live_server: str, head: bytes, status: int) -> None:
    host, port = urlsplit(live_server).hostname, urlsplit(live_server).port
    with socket.create_connection((host, port), timeout=10) as connection:
        connection.sendall(head)
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        told = json.loads(answer.read())
    assert (answer.status, told["status"]) == (status, status)
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert told.keys() == {"type", "title", "status", "detail", "code", "errors", "request_id"}


def test_a_stored_lightship_has_an_etag(call: Call) -> None:
    vessel = call("POST", "/v1/vessels", {"name": "Sandpiper", "kind": "passenger", "length_bp_m": 50})
    made = call("POST", f"{vessel.headers['location']}/lightships", LIGHTSHIP)
    first, again = (call("GET", made.headers["location"]).headers["etag"] for _ in range(2))
    assert first == again != ""


@pytest.mark.parametrize(
    ("deviation", "pointer"),
    [
        ({"kind": "people-walk", "mass_t": 0.3, "distance_m": 8, "share": 1}, "/deviations/0/share"),
        ({"kind": "mass-out-of-place", "mass_t": 5, "distance_m": 0.5, "states": []}, "/deviations/0/states"),
    ],
)
def test_a_size_that_would_be_passed_over_is_refused(
    call: Call, record: dict[str, Any], deviation: dict[str, Any], pointer: str
) -> None:
    assert_refused(call("POST", "/v1/deviations", {"record": record, "deviations": [deviation]}), 422, pointer)
