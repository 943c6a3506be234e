"""The Python client, one resource after the other, against the real application."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from heelwright_client.client import Client
from heelwright_client.demo.forms import Form, hull, marks, tanks
from heelwright_client.errors import (
    ForbiddenError,
    InvalidRequestError,
    NotFoundError,
    StaleError,
    UnauthenticatedError,
)
from heelwright_client.wsgi_transport import WsgiTransport

from tests.client.conftest import URL
from tests.support.app import new_token

FORM = Form(60.0, 11.0, 5.0)


@pytest.fixture
def vessel(heelwright: Client) -> dict[str, Any]:
    return heelwright.vessels.create({"name": "Tarnfield", "kind": "cargo", "length_m": 62.0}).document


def test_over_a_real_socket_it_is_the_same(app: Flask, live_server: str) -> None:
    with Client(live_server, new_token(app, "admin")) as client:
        stored = client.vessels.create({"name": "Tarnfield", "length_bp_m": 60.1})
        assert client.ready()
        assert client.vessels.get(stored.document["id"]) == stored


def test_hydrostatics_of_a_box_are_those_of_a_box(heelwright: Client) -> None:
    contour = [[0.0, 0.0], [6.0, 0.0], [6.0, 4.0]]
    request = {
        "length_bp_m": 50.0,
        "hull": {"stations": [{"x_m": x, "contour_m": contour} for x in (0.0, 25.0, 50.0)]},
        "planes": [{"draught_m": 2.0}],
        "density_t_per_m3": 1.025,
    }
    [found] = heelwright.hydrostatics.compute(request)
    assert found["displacement_t"] == pytest.approx(50 * 12 * 2 * 1.025, rel=1e-9)  # length, breadth, draught, density
    assert found["km_t_m"] == pytest.approx(2.0 / 2 + 12**2 / (12 * 2.0), rel=1e-9)  # T/2 + B²/(12 T), closed form


def test_a_change_names_the_version_it_was_made_from(heelwright: Client, vessel: dict[str, Any]) -> None:
    read = heelwright.vessels.get(vessel["id"])
    assert read.etag
    changed = heelwright.vessels.amend(vessel["id"], {"fleet": "north"}, etag=read.etag)
    assert (changed.document["fleet"], changed.document["name"]) == ("north", "Tarnfield")
    with pytest.raises(StaleError):
        heelwright.vessels.amend(vessel["id"], {"fleet": "south"}, etag=read.etag)
    assert changed.etag
    heelwright.vessels.remove(vessel["id"], etag=changed.etag)
    with pytest.raises(NotFoundError):
        heelwright.vessels.get(vessel["id"])


def test_the_parts_of_a_vessel_come_back_as_they_were_stored(heelwright: Client, vessel: dict[str, Any]) -> None:
    for part, content in (("hull", hull(FORM)), ("marks", marks(FORM)), ("tanks", tanks(FORM))):
        stored = heelwright.vessels.put_part(vessel["id"], part, content)  # type: ignore[arg-type]  # the names above
        assert stored.document == content
        assert heelwright.vessels.part(vessel["id"], part).document == content  # type: ignore[arg-type]


def test_an_event_tells_what_happened_and_reading_goes_on_where_it_stopped(
    heelwright: Client, vessel: dict[str, Any]
) -> None:
    seen = list(heelwright.events.after())
    assert any(vessel["id"] in str(event["subject"]) for event in seen)
    last = seen[-1]["sequence"]
    assert list(heelwright.events.after(last)) == []
    heelwright.vessels.create({"name": "Oxwater"})
    assert len(list(heelwright.events.after(last))) == 1


def test_a_token_is_made_used_and_revoked(heelwright: Client, transport: WsgiTransport) -> None:
    made = heelwright.tokens.create({"name": "the bridge", "role": "reader"})
    reader = Client(URL, made.document["token"], transport=transport)
    assert list(reader.vessels) == []
    with pytest.raises(ForbiddenError):
        reader.vessels.create({"name": "Tarnfield"})
    [found] = [token for token in heelwright.tokens if token["id"] == made.document["id"]]
    assert "token" not in found
    assert made.etag
    heelwright.tokens.revoke(made.document["id"], etag=made.etag)
    with pytest.raises(UnauthenticatedError):
        list(reader.vessels)


def test_a_drift_is_followed_without_storing(heelwright: Client) -> None:
    request: dict[str, Any] = {
        "vessel": {"kind": "passenger", "length_m": 100.0},
        "as_of": "2024-01-01",
        "lightships": [
            {"date": "2010-05-01", "basis": "inclining-test", "mass_t": 4000.0, "lcg_m": 45.0, "approved": True},
            {"date": "2020-05-01", "basis": "lightweight-survey", "mass_t": 4100.0, "lcg_m": 45.1},
        ],
    }
    found = heelwright.drift.compute(request)
    assert found["items"][0]["delta"]["mass_t"]["value"] == 100.0
    assert list(heelwright.vessels) == []


def test_a_refused_number_is_named_by_its_pointer(heelwright: Client) -> None:
    with pytest.raises(InvalidRequestError) as caught:
        heelwright.vessels.create({"name": "Tarnfield", "length_bp_m": "60"})
    assert [problem.pointer for problem in caught.value.errors] == ["/length_bp_m"]
    assert caught.value.request_id


def test_a_list_is_read_page_by_page_by_its_cursor(heelwright: Client) -> None:
    for number in range(4):
        heelwright.vessels.create({"name": f"Tarn {number}"})
    first = heelwright.page("vessels", limit=3)
    last = heelwright.page("vessels", limit=3, cursor=first.next_cursor)
    assert (len(first.items), len(last.items), last.next_cursor) == (3, 1, None)


def test_a_list_longer_than_a_page_is_read_to_its_end(heelwright: Client) -> None:
    for number in range(7):
        heelwright.vessels.create({"name": f"Tarn {number}"})
    pages = list(heelwright.connection.pages("/v1/vessels", limit=3))
    assert len({vessel["id"] for vessel in pages}) == 7
