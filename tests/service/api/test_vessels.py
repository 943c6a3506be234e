"""/v1/vessels: entering, finding, changing and removing vessels."""

from __future__ import annotations

import requests

from tests.support.app import Api

ALDER = {"name": "Alder", "imo_number": "9074729", "kind": "cargo", "fleet": "North", "length_bp_m": 50.0}


def test_an_entered_vessel_is_read_back_as_entered(api: Api) -> None:
    entered = api.post("/vessels", ALDER)
    assert entered.status_code == 201
    assert entered.headers["ETag"] == '"1"'
    read = api.client.get(entered.headers["Location"], headers={"Authorization": f"Bearer {api.token}"})
    assert read.json == entered.json
    assert {name: read.json[name] for name in ALDER} == ALDER


def test_the_served_application_answers_over_loopback(live_server: str, admin_token: str) -> None:
    headers = {"Authorization": f"Bearer {admin_token}"}
    entered = requests.post(f"{live_server}/v1/vessels", json=ALDER, headers=headers, timeout=10)
    assert entered.status_code == 201
    assert requests.get(f"{live_server}/healthz", timeout=10).json() == {"status": "ok"}
