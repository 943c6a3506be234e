"""What a page offers is what the service will take: a sweep over every page for every role."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from urllib.parse import urljoin, urlsplit

import pytest
from heelwright_client.web.viewer import Viewer
from werkzeug.exceptions import MethodNotAllowed, NotFound
from werkzeug.routing import Map

from tests.client.web.conftest import OpenAt, Stage
from tests.client.web.test_every_page import FINE, OPEN, addresses
from tests.client.web.test_stored_tests import PAGES, at
from tests.client.web.visitor import Page, Visitor
from tests.support.app import Api, new_token

VESSEL, TEST, ENTRY = "/vessels/a1", "/tests/a1", "a1"

# The calls by which each form's address stores what it was sent; a role that is refused one of them cannot use it.
CALLS: dict[str, list[tuple[str, str]]] = {
    "start.load": [("POST", "/vessels"), ("PUT", f"{TEST}/approval")],  # an approved lightship needs an approver too
    "result.reduce": [("POST", "/reductions")],
    "vessel_entry.create": [("POST", "/vessels")],
    "vessel_entry.amend": [("PATCH", VESSEL)],
    "vessel_entry.add_lightship": [("POST", f"{VESSEL}/lightships")],
    "vessel_entry.add_alteration": [("POST", f"{VESSEL}/alterations")],
    "vessel_entry.put_part": [("PUT", f"{VESSEL}/marks")],
    "boundary.decide": [("POST", f"{VESSEL}/boundary-register")],
    "model_acceptance.compare": [("POST", f"{VESSEL}/model-acceptance")],
    "history_correction.correct_lightship": [("POST", f"{VESSEL}/lightships")],
    "history_correction.correct_alteration": [("POST", f"{VESSEL}/alterations")],
    "actions.close": [("PUT", "/actions/a1/closing")],
    "record_entry.enter": [("POST", "/tests"), ("PUT", f"{TEST}/record")],
    "record_entry.replace": [("PUT", f"{TEST}/record")],
    "tests.create": [("POST", "/tests")],
    "tests.move": [("PUT", f"{TEST}/stage")],
    "test_plan.store": [("PUT", f"{TEST}/plan")],
    "test_plan.take_moves": [("PUT", f"{TEST}/plan")],
    "test_plan.store_tanks": [("PUT", f"{TEST}/tank-plan")],
    "test_plan.waive": [("POST", f"{TEST}/waivers")],
    "ship.answer": [("POST", f"{TEST}/tank-plan/answers")],
    "ship.mark": [("POST", f"{TEST}/preparations/marks")],
    "ship.add_item": [("POST", f"{TEST}/preparations/items")],
    "ship.generate": [("POST", f"{TEST}/preparations")],
    "ship.replan": [("POST", f"{TEST}/tank-plan/replan")],
    "survey.tick": [("POST", f"{TEST}/items/{ENTRY}/tick")],
    "survey.close": [("POST", f"{TEST}/closings")],
    "test_day.enter_table": [("POST", f"{TEST}/draughts")],
    "test_day.enter_state": [("POST", f"{TEST}/states"), ("POST", f"{TEST}/readings")],
    "test_day.price": [("POST", f"{TEST}/deviations")],
    "test_day.decide": [("POST", f"{TEST}/deviations/{ENTRY}/decisions")],
    "test_entries.add": [("POST", f"{TEST}/{{path}}")],
    "test_entries.correct": [("POST", f"{TEST}/{{path}}")],
    "test_entries.withdraw": [("POST", f"{TEST}/{{path}}/{ENTRY}/withdrawal")],
    "test_result.reduce": [("POST", f"{TEST}/result")],
    "sailing.ask_interim": [("POST", f"{TEST}/interim-requests")],
    "test_result.answer": [("POST", f"{TEST}/review/answers")],
    "test_result.approve": [("PUT", f"{TEST}/approval")],
}
NEED_NOTHING = OPEN | {"sign_in.leave"}
SHOWING = {
    "test_plan.show", "test_plan.tanks", "boundary.show", "record_entry.show", "test_result.show",
    "test_day.deviations", "actions.show", "start.show", "result.show", "sailing.interim",
}  # fmt: skip
"""Pages that show something besides the form that they hold."""


@cache
def _refused(app: object, token: str, method: str, path: str) -> bool:
    answer = Api(app.test_client(), token).call(method, path, {})  # type: ignore[attr-defined]
    code = (answer.get_json(silent=True) or {}).get("code")
    assert code != "path-not-found", (method, path)
    return bool(code == "role-too-low")


def _takes(stage: Stage, token: str, endpoint: str, values: dict[str, object]) -> bool:
    return not any(
        _refused(stage.api, token, method, path.format(**values) if "{" in path else path)
        for method, path in CALLS[endpoint]
    )


def _matched(stage: Stage, page_path: str, address: str, method: str) -> tuple[str, dict[str, object]]:
    urls: Map = stage.web.url_map
    path = urlsplit(urljoin(f"http://web{page_path}", address or page_path)).path
    endpoint, values = urls.bind("web").match(path, method=method)
    return str(endpoint), dict(values)


def _offered(stage: Stage, path: str, page: Page) -> Iterator[tuple[str, dict[str, object]]]:
    """The addresses that the forms of a page are sent to."""
    for form in page.all("form"):
        if form.get("method") == "post":
            endpoint, values = _matched(stage, path, form.get("action") or "", "POST")
            if endpoint not in NEED_NOTHING:
                yield endpoint, values
    assert not [each for name in ("button", "input") for each in page.all(name) if each.get("formaction")]


def _sweep(stage: Stage, paths: list[str]) -> set[str]:
    """Check that each page offers a role what it may send, and all of that; return what an administrator gets."""
    keeper = stage.visitor()
    everything = {path: list(_offered(stage, path, keeper.get(path))) for path in paths}
    for role in ("reader", "recorder", "planner"):  # an approver is offered what the administrator is
        token = new_token(stage.api, role)
        visitor = Visitor(stage.web).sign_in(token)
        for path in paths:
            page = visitor.get(path)
            assert page.status in FINE, (role, path)
            offered = [name for name, _ in _offered(stage, path, page)]
            possible = [name for name, values in everything[path] if _takes(stage, token, name, values)]
            assert offered == possible, (role, path)
            _check_links(stage, path, page, token)
    return {name for offers in everything.values() for name, _ in offers}


def _check_links(stage: Stage, path: str, page: Page, token: str) -> None:
    """No link leads to a page that holds nothing but a form which the service would refuse."""
    for link in page.all("a"):
        address = urlsplit(link.get("href") or "")
        if address.netloc or not address.path:
            continue
        try:
            shown, _ = _matched(stage, path, address.path, "GET")
            sent, values = _matched(stage, path, address.path, "POST")
        except (NotFound, MethodNotAllowed):
            continue
        if shown not in SHOWING and sent in CALLS:
            assert _takes(stage, token, sent, values), (path, address.path)


def test_no_page_offers_a_form_that_the_service_would_refuse(fleet: Stage, open_at: OpenAt):
    met = _sweep(fleet, [path for path in addresses(fleet) if "example" not in path])
    for to in ("planned", "preparing", "test-day", "under-review"):
        stage, campaign = open_at(to)
        more = ("/enter/water", "/enter/statements", "/enter/signatures")
        met |= _sweep(stage, [at(campaign, page) for page in (*PAGES, *more)])
    rare = {
        "actions.close", "record_entry.replace", "ship.replan", "survey.tick", "test_day.decide",
        "test_entries.correct", "test_entries.withdraw", "test_plan.take_moves", "test_result.answer",
        "history_correction.correct_lightship", "history_correction.correct_alteration",
    }  # fmt: skip
    assert set(CALLS) - met <= rare


def test_every_form_that_stores_is_known_to_the_sweep(fleet: Stage):
    found = {rule.endpoint for rule in fleet.web.url_map.iter_rules() if "POST" in (rule.methods or ())}
    assert found - NEED_NOTHING == set(CALLS)


def _entry(stage: Stage, test_id: str, path: str) -> str:
    entries = stage.client.connection.get(f"/v1/tests/{test_id}/{path}")["items"]
    return f"/tests/{test_id}/enter/{path}/{entries[0]['entry_id']}"


def test_what_was_closed_is_corrected_by_a_planner_and_offered_to_nobody_below(open_at: OpenAt):
    stage, campaign = open_at("under-review")
    address = _entry(stage, campaign.test_id, "draughts")
    recorder, planner = stage.visitor("recorder"), stage.visitor("planner")
    assert "This is done by a planner; you are signed in as a recorder." in recorder.get(address).text
    assert list(_offered(stage, address, recorder.get(address))) == []
    assert {name for name, _ in _offered(stage, address, planner.get(address))} == {
        "test_entries.correct", "test_entries.withdraw"
    }  # fmt: skip
    setup = recorder.get(at(campaign, "/day/before"))
    assert address not in setup.html
    assert address in planner.get(at(campaign, "/day/before")).html


def test_a_recorder_is_not_offered_to_verify_or_waive_an_item(open_at: OpenAt):
    stage, campaign = open_at("preparing")
    for role, options in (("recorder", {"done", "open"}), ("planner", {"done", "open", "verified", "waived"})):
        page = stage.visitor(role).get(at(campaign, "/ship/"))
        select = next(each for each in page.all("select") if each.get("name") == "state")
        assert {option.get("value") for option in select} == options


def test_an_approved_lightship_is_offered_to_an_approver_alone(fleet: Stage):
    path = f"/vessels/{fleet.vessel('Merrowdale')}/lightships/new"
    for role, offered in (("planner", False), ("approver", True)):
        page = fleet.visitor(role).get(path)
        assert any(field.get("name") == "approved" for field in page.all("input")) is offered, role
    form = {"date": "2030-01-01", "basis": "estimate", "mass_t": "1400", "lcg_m": "35", "approved": "yes"}
    assert fleet.visitor("planner").post(path, form, from_page="/").status == 403


def test_a_reader_sees_the_plan_of_a_test_without_a_form(open_at: OpenAt):
    stage, campaign = open_at("planned")
    page = stage.visitor("reader").get(at(campaign, "/plan"))
    assert page.faults() == []
    assert any(field.get("value") == "Ines Aldous" for field in page.all("input"))
    assert re.search(r'<fieldset class="shown" disabled>', page.html)


def test_a_deed_that_is_none_is_a_defect_of_the_page():
    with pytest.raises(ValueError, match="no deed"):
        Viewer(deeds=("read",)).may("reed")


def test_the_role_is_asked_for_again_after_a_refusal(fleet: Stage):
    visitor = fleet.visitor("reader")
    visitor.get("/")
    before = fleet.transport.spent_s
    assert visitor.post("/vessels/new", {"name": "Another"}, from_page="/").status == 403
    assert fleet.transport.spent_s > before
    with visitor.client.session_transaction() as kept:
        assert kept["viewer"]["at"] == 0.0
    visitor.get("/")
    with visitor.client.session_transaction() as kept:
        assert kept["viewer"]["at"] > 0.0
        assert kept["viewer"]["role"] == "reader"
