"""/v1/events: ordered, without gaps, in the CloudEvents form, resumable at any point."""

from __future__ import annotations

import threading

import pytest
from flask import Flask

from tests.support.app import Api, new_token

# The attributes that CloudEvents 1.0.2, section 3.1, requires of every event.
REQUIRED = {"specversion", "id", "source", "type"}


def test_everything_that_happens_is_told_in_order(api: Api, vessel: str) -> None:
    api.patch(vessel, {"kind": "cargo"}, If_Match='"1"')
    api.put(f"{vessel}/marks", {"marks": []})
    api.post(
        f"{vessel}/alterations", {"date": "2024-05-17", "kind": "added", "mass_t": 1, "x_m": 1, "y_m": 0, "z_m": 3}
    )
    events = api.get("/events").get_json()["items"]
    assert [event["type"].removeprefix("heelwright.") for event in events] == [
        "token.issued", "vessel.created", "vessel.changed", "vessel.described", "alteration.recorded",
    ]  # fmt: skip
    assert [event["sequence"] for event in events] == [1, 2, 3, 4, 5]
    assert all(set(event) >= REQUIRED for event in events)
    assert len({(event["source"], event["id"]) for event in events}) == 5
    assert events[2]["data"] == {"fields": ["kind"]}


def test_a_refused_change_is_not_told(api: Api, vessel: str) -> None:
    api.patch(vessel, {"kind": "cargo"}, If_Match='"9"')
    api.patch(vessel, {"kind": "passenger"}, If_Match='"1"')
    assert len(api.get("/events").get_json()["items"]) == 2


def test_a_reader_goes_on_where_he_stopped(api: Api) -> None:
    for number in range(5):
        api.post("/vessels", {"name": f"V{number}"})
    first = api.get("/events?limit=2").get_json()
    rest = api.get(f"/events?limit=10&cursor={first['next_cursor']}").get_json()
    assert [event["sequence"] for event in first["items"] + rest["items"]] == [1, 2, 3, 4, 5, 6]
    assert rest["next_cursor"] is None
    assert [event["sequence"] for event in api.get("/events?after=4").get_json()["items"]] == [5, 6]


def told(api: Api) -> list[tuple[str, str, object]]:
    """What a caller is told: kind, subject and data of each event."""
    events = api.get("/events?limit=1000").get_json()["items"]
    return [(each["type"].removeprefix("heelwright."), each["subject"], each["data"]) for each in events]


def test_who_sees_one_fleet_learns_that_a_vessel_has_left_it_and_nothing_of_where_to(api: Api, vessel: str) -> None:
    north, south = (
        api.with_token(new_token(api.client.application, "reader", fleet=fleet)) for fleet in ("North", "South")
    )
    api.put(f"{vessel}/marks", {"marks": []})
    assert [kind for kind, _, _ in told(north)] == ["vessel.created", "vessel.described"]
    seen = api.get("/events?limit=1000").get_json()["items"][-1]["sequence"]
    assert api.patch(vessel, {"fleet": "South"}, If_Match="*").status_code == 200
    assert api.patch(vessel, {"kind": "cargo"}, If_Match="*").status_code == 200
    assert told(north) == [("vessel.changed", f"/v1{vessel}", {"fields": ["fleet"]})]
    assert "South" not in north.get(f"/events?after={seen}").get_data(as_text=True)
    assert north.get(vessel).status_code == 404
    assert [kind for kind, _, _ in told(south)] == ["vessel.created", "vessel.described", *["vessel.changed"] * 2]


@pytest.mark.parametrize("limit", ["fleet", "vessel"])
def test_who_sees_a_vessel_learns_that_she_was_removed(api: Api, vessel: str, limit: str) -> None:
    scope = {"fleet": "North"} if limit == "fleet" else {"vessel_ids": [vessel.rpartition("/")[2]]}
    theirs, others = (
        api.with_token(new_token(api.client.application, "reader", **each)) for each in (scope, {"fleet": "South"})
    )
    assert api.delete(vessel, If_Match="*").status_code == 204
    assert told(theirs)[-1] == ("vessel.removed", f"/v1{vessel}", {"name": "Alder"})
    assert told(others) == []


@pytest.mark.parametrize("query", ["after=-1", "after=x", "after=99999999999", "limit=0", "cursor=WyJhIl0"])
def test_a_place_that_cannot_be_is_refused(api: Api, query: str) -> None:
    assert api.get(f"/events?{query}").status_code == 422


def test_many_callers_at_once_leave_a_feed_without_gaps(app: Flask, admin_token: str) -> None:
    def enter(caller: int) -> None:
        mine = Api(app.test_client(), admin_token)
        for number in range(4):
            assert mine.post("/vessels", {"name": f"{caller}-{number}"}).status_code == 201

    threads = [threading.Thread(target=enter, args=(caller,)) for caller in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    events = Api(app.test_client(), admin_token).get("/events?limit=1000").get_json()["items"]
    assert [event["sequence"] for event in events] == list(range(1, 34))
    assert len({event["data"]["name"] for event in events[1:]}) == 32
