"""/v1/vessels: entering, finding, changing and removing vessels."""

from __future__ import annotations

import pytest
import requests
from flask import Flask

from tests.support.app import Api, new_token

ALDER = {"name": "Alder", "imo_number": "9074729", "kind": "cargo", "fleet": "North", "length_bp_m": 50.0}


def test_an_entered_vessel_is_read_back_as_entered(api: Api) -> None:
    entered = api.post("/vessels", ALDER)
    assert entered.status_code == 201
    assert entered.headers["ETag"] == '"1"'
    read = api.get(entered.headers["Location"].removeprefix("/v1"))
    assert read.get_json() == entered.get_json()
    assert {name: read.get_json()[name] for name in ALDER} == ALDER


def test_the_served_application_answers_over_loopback(live_server: str, admin_token: str) -> None:
    headers = {"Authorization": f"Bearer {admin_token}"}
    entered = requests.post(f"{live_server}/v1/vessels", json=ALDER, headers=headers, timeout=10)
    assert entered.status_code == 201
    assert requests.get(f"{live_server}/healthz", timeout=10).json() == {"status": "ok"}


# 9074729 stands in the IMO's own explanation of the scheme: 9·7 + 0·6 + 7·5 + 4·4 + 7·3 + 2·2 = 139, last digit 9
# (IMO Resolution A.1117(30); the example is from memory).
@pytest.mark.parametrize("number", ["9074729", "IMO 9074729", "IMO9074729"])
def test_an_imo_number_is_kept_as_its_seven_digits(api: Api, number: str) -> None:
    assert api.post("/vessels", ALDER | {"imo_number": number}).get_json()["imo_number"] == "9074729"


@pytest.mark.parametrize("number", ["9074728", "907472", "90747290", "abcdefg", 9074729, "٩٠٧٤٧٢٩", ""])
def test_a_wrong_imo_number_is_refused(api: Api, number: object) -> None:
    refused = api.post("/vessels", ALDER | {"imo_number": number})
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "/imo_number"


def test_two_vessels_cannot_carry_one_imo_number(api: Api) -> None:
    api.post("/vessels", ALDER)
    refused = api.post("/vessels", ALDER | {"name": "Birch"})
    assert (refused.status_code, refused.get_json()["code"]) == (409, "imo-number-taken")
    assert len(api.get("/vessels").get_json()["items"]) == 1


def test_a_patch_changes_what_it_names_and_nothing_else(api: Api, vessel: str) -> None:
    before = api.get(vessel).get_json()
    after = api.patch(vessel, {"breadth_m": 9.5, "kind": None}, If_Match='"1"').get_json()
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"breadth_m", "kind", "version", "updated_at"}


def test_a_put_makes_unknown_what_it_leaves_out(api: Api, vessel: str) -> None:
    after = api.put(vessel, {"name": "Alder"}, If_Match='"1"').get_json()
    assert (after["name"], after["fleet"], after["length_bp_m"]) == ("Alder", None, None)


def test_a_vessel_with_a_history_is_not_removed(api: Api, vessel: str) -> None:
    api.post(
        f"{vessel}/alterations", {"date": "2024-05-17", "kind": "added", "mass_t": 1, "x_m": 1, "y_m": 0, "z_m": 3}
    )
    refused = api.delete(vessel, If_Match='"1"')
    assert refused.status_code == 409
    assert api.get(vessel).status_code == 200


def test_a_vessel_entered_by_mistake_is_removed(api: Api, vessel: str) -> None:
    assert api.delete(vessel, If_Match='"1"').status_code == 204
    assert api.get(vessel).status_code == 404


def test_a_sister_must_be_another_vessel_that_is_there(api: Api, vessel: str) -> None:
    own = vessel.rpartition("/")[2]
    for sister, code in ((own, "sister-of-herself"), ("0" * 32, "sister-not-found")):
        refused = api.patch(vessel, {"sister_of": sister}, If_Match='"1"')
        assert (refused.status_code, refused.get_json()["code"]) == (422, code)
    other = api.post("/vessels", {"name": "Birch", "sister_of": own})
    assert other.status_code == 201
    refused = api.delete(vessel, If_Match='"1"')
    assert refused.get_json()["code"] == "vessel-in-use"


def test_pages_join_to_the_whole_list_even_when_vessels_are_added_between_them(api: Api) -> None:
    names = [f"Vessel {number}" for number in range(7)]
    for name in names:
        api.post("/vessels", {"name": name, "fleet": "South"})
    found, cursor = [], ""
    while cursor is not None:
        page = api.get(f"/vessels?limit=3&fleet=South{cursor and '&cursor=' + cursor}").get_json()
        found += [item["name"] for item in page["items"]]
        cursor = page["next_cursor"]
        api.post("/vessels", {"name": "of another fleet", "fleet": "North"})
    assert found == names


@pytest.mark.parametrize(
    "query",
    ["limit=0", "limit=1001", "limit=x", "limit=1e3", "cursor=nonsense", "cursor=W10", "unknown=1", "limit=1&limit=2",
     "cursor=WyJcdTAwMDAiXQ", "limit=99999999999999999999"],
)  # fmt: skip
def test_a_query_that_cannot_be_meant_is_refused_by_its_name(api: Api, query: str) -> None:
    refused = api.get(f"/vessels?{query}")
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["parameter"] == query.partition("=")[0]


def test_a_sister_of_a_ship_that_a_token_may_not_see_can_still_be_changed_by_it(app: Flask, api: Api) -> None:
    lead = api.post("/vessels", {"name": "Alder", "fleet": "South"}).get_json()["id"]
    sister = f"/vessels/{api.post('/vessels', {'name': 'Birch', 'fleet': 'North', 'sister_of': lead}).get_json()['id']}"
    limited = Api(app.test_client(), new_token(app, "planner", fleet="North"))
    assert limited.patch(sister, {"kind": "cargo"}, If_Match="*").get_json()["kind"] == "cargo"
    whole = {
        name: value for name, value in limited.get(sister).get_json().items() if name in ("name", "fleet", "sister_of")
    }
    assert limited.put(sister, whole, If_Match="*").status_code == 200
    other = f"/vessels/{limited.post('/vessels', {'name': 'Cedar', 'fleet': 'North'}).get_json()['id']}"
    refused = limited.patch(other, {"sister_of": lead}, If_Match="*")
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, "/sister_of")
