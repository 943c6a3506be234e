"""What a vessel's people decide and close without scripts: lightship boundary, actions after doubtful results."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried

from tests.client.web.conftest import Stage
from tests.client.web.test_every_page import check, routes
from tests.client.web.visitor import Page

DECISION = {
    "item_class": "loose lifting gear", "counts": "load", "quantity": "as in the inventory", "decided_by": "Tomas Rein",
    "decided_on": "2031-03-01", "reason": "landed in dock",
}  # fmt: skip


def refused_fields(page: Page) -> set[str | None]:
    """Names of the fields that carry an error."""
    fields = (*page.all("input"), *page.all("select"), *page.all("textarea"))
    return {field.get("name") for field in fields if field.get("aria-invalid") == "true"}


def value_of(page: Page, name: str) -> str | None:
    """What stands in a field."""
    return next(field.get("value") for field in page.all("input") if field.get("name") == name)


def test_an_empty_boundary_register_says_what_to_begin_with(fleet: Stage):
    page = fleet.visitor().get(f"/vessels/{fleet.vessel('Larkhollow')}/boundary")
    check(page, "boundary")
    assert "Nothing is decided yet" in page.text


def test_a_decision_on_the_boundary_stands_and_a_later_one_takes_its_place(fleet: Stage):
    path = f"/vessels/{fleet.vessel('Larkhollow')}/boundary"
    visitor = fleet.visitor("planner")
    assert visitor.post(path, DECISION, from_page="/").status == 302
    later = DECISION | {"counts": "lightship", "decided_on": "2031-06-01", "reason": "welded down"}
    assert visitor.post(path, later, from_page="/").status == 302
    page = visitor.get(path)
    check(page, path)
    first = page.row_with("loose lifting gear")
    assert "lightship" in first
    assert "welded down" in first
    assert "All 2 decisions" in page.text
    assert "landed in dock" in page.text


def test_a_boundary_decision_without_its_side_is_refused_beside_the_field_and_kept(fleet: Stage):
    path = f"/vessels/{fleet.vessel('Larkhollow')}/boundary"
    page = fleet.visitor("planner").post(path, DECISION | {"counts": "", "decided_on": "soon"}, from_page="/")
    assert page.status == 422
    check(page, path)
    assert refused_fields(page) == {"counts", "decided_on"}
    assert value_of(page, "item_class") == "loose lifting gear"
    assert list(fleet.client.tests.boundary(fleet.vessel("Larkhollow"))["items"]) == []


def test_what_the_service_refuses_of_a_boundary_decision_stands_beside_its_field(fleet: Stage):
    path = f"/vessels/{fleet.vessel('Larkhollow')}/boundary"
    page = fleet.visitor("planner").post(path, DECISION | {"item_class": "x" * 201}, from_page="/")
    assert page.status == 422
    assert refused_fields(page) == {"item_class"}


@dataclass
class Doubtful:
    """A test whose result is far from the lightship approved of her, and the action that this has opened."""

    fleet: Stage
    vessel_id: str
    test_id: str
    action: str


@pytest.fixture
def doubtful(fleet: Stage) -> Doubtful:
    """A finished test of the Merrowdale, entered and reduced, with an approved lightship that is far off."""
    vessel, record = fleet.vessel("Merrowdale"), carried(TEST_DAY)
    record["vessel"]["approved_lightship"] = {"mass_t": 1300.0, "lcg_m": 35.4, "tcg_m": 0.0, "vcg_m": 4.33}
    tests = fleet.client.tests
    opened = tests.open(vessel, "inclining-test", origin="entered-record", record_source="the yard's file").document
    tests.put_record(opened["id"], record)
    tests.reduce(opened["id"])
    (action,) = tests.actions(vessel)
    return Doubtful(fleet, vessel, str(opened["id"]), str(action["id"]))


def test_an_open_action_stands_on_every_page_that_it_concerns(doubtful: Doubtful):
    fleet, action = doubtful.fleet, doubtful.action
    visitor = fleet.visitor("reader")
    for path in ("/", f"/vessels/{doubtful.vessel_id}", f"/tests/{doubtful.test_id}", "/actions/"):
        page = visitor.get(path)
        check(page, path)
        assert f"/actions/{action}" in {link.get("href") for link in page.all("a")}, path
    check(visitor.get(f"/actions/?vessel={doubtful.vessel_id}&all=yes"), "actions of one vessel")


def test_an_action_is_closed_with_its_evidence_and_only_once(doubtful: Doubtful):
    fleet, action = doubtful.fleet, doubtful.action
    visitor = fleet.visitor("planner")
    path = f"/actions/{action}"
    check(visitor.get(path), path)
    empty = visitor.post(path, {"evidence": " "}, from_page="/")
    assert empty.status == 422
    assert refused_fields(empty) == {"evidence"}
    form = {"evidence": "assumption of 1 300 t was a typing mistake; plan version 3"}
    assert visitor.post(path, form, from_page="/").status == 302
    page = visitor.get(path)
    check(page, path)
    assert "typing mistake" in page.text
    again = visitor.post(path, form, from_page="/")
    assert again.status == 422
    assert "closed already" in again.text
    assert list(fleet.client.tests.actions(doubtful.vessel_id)) == []
    assert "typing mistake" in visitor.get("/actions/?all=yes").text


def test_a_reader_closes_nothing_and_a_token_of_another_vessel_sees_no_action(doubtful: Doubtful):
    fleet, action = doubtful.fleet, doubtful.action
    for path in routes(fleet.web, "POST", of="action"):
        page = fleet.visitor("reader").post(path.format(action_id=action), {"evidence": "seen"}, from_page="/")
        assert page.status == 403, path
        check(page, path)
    stranger = fleet.visitor("approver", vessel_ids=[fleet.vessel("Larkhollow")])
    for method in ("GET", "POST"):
        for path in routes(fleet.web, method, of="action"):
            found = (
                stranger.get(path.format(action_id=action))
                if method == "GET"
                else stranger.post(path.format(action_id=action), {"evidence": "seen"}, from_page="/")
            )
            assert found.status == 404, path
            assert "Merrowdale" not in found.html
    assert action not in stranger.get("/actions/").html
    assert len(list(fleet.client.tests.actions(doubtful.vessel_id))) == 1
