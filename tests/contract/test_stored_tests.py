"""Answers about a stored test are what the document says, at every path that reads one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.contract.test_answers import assert_documented
from tests.support.app import Api, new_token
from tests.support.box_test import Bench, bench

READ = (
    "",
    "/plan",
    "/calendar",
    "/procedure",
    "/tank-plan",
    "/tank-plan/standing",
    "/preparations",
    "/readiness",
    "/running",
    "/survey",
    "/result",
    "/record",
    "/review",
    "/put-back",
    "/approval",
    "/interim-requests",
    "/water",
    "/draughts",
    "/soundings",
    "/items",
    "/persons",
    "/weights",
    "/instruments",
    "/states",
    "/readings",
    "/signatures",
    "/deviations",
    "/closings",
)


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Bench, Api]]:
    """A test that has gone all the way, with one of everything in it."""
    with bench(tmp_path_factory.mktemp("contract") / "box") as made:
        for name, step in made.everything().items():
            if name == "survey":
                row = {"description": "Rope", "kind": "surplus", "mass_t": 0.2, "x_m": 3, "y_m": 0, "z_m": 6}
                made.crew.first.tests.enter(made.test_id, "items", row)
            if name == "close":
                walked = {"kind": "people-walk", "text": "two walked", "mass_t": 0.16, "distance_m": 8.0}
                deviation = made.crew.first.tests.enter(made.test_id, "deviations", walked)
                decision = {"decision": "accept", "name": "x", "witness": "y"}
                made.crew.planner.tests.decide(made.test_id, deviation["entry_id"], decision)
            if name == "reduce":
                made.crew.planner.tests.reduce(made.test_id)
                continue
            if name == "review":
                made.crew.planner.tests.ask_for_interim(made.test_id, ["No deck cargo."])
            step()
        assert made.stage == "approved"
        yield made, Api(made.app.test_client(), new_token(made.app, "admin"))


@pytest.mark.parametrize("path", READ)
def test_what_is_read_of_a_test_is_as_documented(finished: tuple[Bench, Api], path: str) -> None:
    made, api = finished
    answer = api.get(f"/tests/{made.test_id}{path}")
    assert_documented(api, "get", f"/tests/{{test_id}}{path}", answer)


def test_lists_of_tests_and_actions_are_as_documented(finished: tuple[Bench, Api]) -> None:
    made, api = finished
    assert_documented(api, "get", "/tests", api.get("/tests"))
    assert_documented(api, "get", "/actions", api.get("/actions"))
    vessel_id = made.crew.planner.tests.get(made.test_id).document["vessel_id"]
    path = f"/vessels/{vessel_id}/boundary-register"
    decision = {"item_class": "nets", "counts": "load", "decided_by": "x", "decided_on": "2020-01-01"}
    assert_documented(api, "post", "/vessels/{vessel_id}/boundary-register", api.post(path, decision))
    assert_documented(api, "get", "/vessels/{vessel_id}/boundary-register", api.get(path))
