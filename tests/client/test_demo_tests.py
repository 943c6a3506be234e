"""The invented tests of the demonstration: one at each stage, stored once, and nobody approves what he recorded."""

from __future__ import annotations

import datetime

from heelwright_client.client import Client
from heelwright_client.demo.seed import seed
from heelwright_client.demo.stored_tests import seed_tests
from heelwright_client.wsgi_transport import WsgiTransport

from tests.client.conftest import URL, application_of
from tests.support.app import new_token

TODAY = datetime.date(2032, 2, 29)
STAGES = {
    "Quillmoor": "planned",
    "Feshwick Provider": "preparing",
    "Merrowvale": "test-day",
    "Tolvane Pull": "preparing",
    "Merrowdale": "under-review",
    "Merrowmere": "approved",
}


def test_a_test_stands_at_each_stage_and_a_second_run_adds_none(heelwright: Client, transport: WsgiTransport) -> None:
    def as_person(name: str, role: str) -> Client:
        return Client(URL, new_token(application_of(transport), role, name=name), transport=transport)

    told: list[str] = []
    seed(heelwright, lambda line: None)
    seed_tests(heelwright, as_person, TODAY, told.append)
    names = {vessel["id"]: vessel["name"] for vessel in heelwright.vessels}
    found = {names[test["vessel_id"]]: test for test in heelwright.tests}
    assert {name: test["stage"] for name, test in found.items()} == STAGES
    ids = {name: test["id"] for name, test in found.items()}

    standing = heelwright.tests.tanks(ids["Quillmoor"])["answers"]
    assert sorted(answer["state"] for answer in standing) == ["agreed", "cannot", "open", "open"]
    marks = {item["state"] for item in heelwright.tests.preparations(ids["Feshwick Provider"])["items"]}
    assert {"open", "done", "verified"} <= marks
    assert len(list(heelwright.tests.entries(ids["Merrowvale"], "states"))) == 5
    assert heelwright.tests.result(ids["Merrowdale"])
    assert heelwright.tests.approval(ids["Merrowmere"])["name"] == "Odile Marsh"

    seed_tests(heelwright, as_person, TODAY, told.append)
    assert len(list(heelwright.tests)) == len(STAGES)
    assert [line for line in told if line.endswith("there already")] == told[len(STAGES) :]
