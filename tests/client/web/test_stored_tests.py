"""A stored test without scripts: its pages at every stage, roles, scope, entries, corrections, approval."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import urlencode

import pytest
from heelwright_client.demo.documents import WEIGHT_PLAN, carried

from tests.client.web.conftest import OpenAt, Stage
from tests.client.web.story import Campaign, read_states
from tests.client.web.test_every_page import check, own_time, routes
from tests.client.web.visitor import Page, Visitor

PAGES = (
    "", "/plan", "/tank-plan", "/ship/", "/survey/", "/day/before", "/day/", "/day/deviations", "/record", "/result",
    "/review", "/reservations", "/put-back", "/interim",
)  # fmt: skip


def at(campaign: Campaign, page: str) -> str:
    """The address of a page of a test."""
    return f"/tests/{campaign.test_id}{page}"


def form_of(page: Page, action: str) -> dict[str, str]:
    """What a form of a page would send as it stands, without its token."""
    fits = (lambda given: given == "") if not action else (lambda given: given.endswith(action))
    form = next(each for each in page.all("form") if fits(each.get("action") or ""))
    sent = {}
    for field in form.iter():
        name = field.get("name")
        if name and field.tag.endswith("input") and field.get("type") not in ("checkbox", "radio"):
            sent[name] = field.get("value") or ""
        if name and field.tag.endswith("select"):
            options = [option for option in field.iter() if option.tag.endswith("option")]
            chosen = [option for option in options if option.get("selected") is not None] or options[:1]
            sent[name] = chosen[0].get("value") or "" if chosen else ""
    sent.pop("csrf_token", None)
    return sent


@pytest.mark.parametrize("to", ["planned", "preparing", "test-day", "under-review"])
def test_every_page_of_a_test_is_valid_small_and_quick_at_every_stage(open_at: OpenAt, to: str):
    fleet, campaign = open_at(to)
    visitor = fleet.visitor()
    for page in (*PAGES, "/enter/water", "/enter/items", "/enter/signatures"):
        found = visitor.get(at(campaign, page))
        assert found.status == 200, (page, found.text[:300])
        check(found, page)
        assert min(own_time(fleet, visitor, at(campaign, page)) for _ in range(2)) < 0.2, page
    check(visitor.get("/tests/"), "/tests/")
    assert "Merrowdale" in visitor.get("/").text


def test_the_line_says_where_the_test_stands_and_what_is_missing(fleet: Stage):
    opened = fleet.client.connection.create(
        "/v1/tests", {"vessel_id": fleet.vessel("Merrowdale"), "kind": "inclining-test"}
    ).document
    page = fleet.visitor().get(f"/tests/{opened['id']}")
    here = [item for item in page.all("li") if item.get("aria-current") == "step"]
    assert ["".join(item.itertext()) for item in here] == ["being planned"]
    assert "The date and the place are settled." in page.text
    assert "Next: procedure issued" in page.text


def test_a_test_is_opened_on_the_vessels_page_and_found_from_there(fleet: Stage):
    visitor = fleet.visitor("planner")
    vessel = fleet.vessel("Quillmoor")
    page = visitor.post(
        "/tests/new", {"vessel": vessel, "kind": "lightweight-survey", "title": "docking"}, from_page="/"
    )
    assert page.status == 302
    assert "lightweight survey" in visitor.get(page.location).text.lower()
    assert page.location in {link.get("href") for link in visitor.get(f"/vessels/{vessel}").all("a")}
    assert "Test day" not in _links(visitor.get(page.location))


def _links(page: Page) -> list[str]:
    return ["".join(link.itertext()).strip() for link in page.all("a")]


ACTS = {
    "/stage": {"stage": "procedure-issued", "etag": '"1"'},
    "/plan": {"date": "2031-05-14"},
    "/plan/moves": {"plan": "x"},
    "/tank-plan": {"tanks.0.tank": "FO 1P", "tanks.0.state": "empty"},
    "/waive": {"point": "RP-01", "name": "A", "reason": "b"},
    "/ship/answers": {"by": "C", "answers.0.tank": "FO 1P", "answers.0.answer": "agreed"},
    "/ship/marks": {"item": "valves", "state": "done"},
    "/ship/items": {"what": "a", "why": "b", "verify": "c", "who": "d"},
    "/ship/list": {},
    "/ship/replan": {},
    "/survey/ticks": {"item": "1"},
    "/survey/closing": {"what": "survey", "name": "A"},
    "/day/before/{path}": {"draughts.0.mark": "aft port", "draughts.0.reading_m": "3"},
    "/day/states/{number}": {"readings.0.instrument": "P1", "readings.0.value": "1"},
    "/day/deviations": {"text": "a", "kind": "density-basis"},
    "/day/deviations/{entry_id}/decision": {"decision": "accept", "name": "A"},
    "/result": {},
    "/interim": {"limits": "harbour only"},
    "/review/answers": {"finding": "RR-09", "text": "a", "by": "b"},
    "/record": {"text": "{}"},
    "/approval": {"name": "A", "etag": '"1"'},
    "/enter/{path}": {"density_t_per_m3": "1.01"},
    "/enter/{path}/{entry_id}": {"density_t_per_m3": "1.01", "reason": "a"},
    "/enter/{path}/{entry_id}/withdrawal": {"reason": "a"},
}


def test_no_act_on_a_test_is_left_out_of_the_sweep(fleet: Stage):
    found = {path.removeprefix("/tests/{test_id}") for path in routes(fleet.web, "POST", of="test")}
    assert found == set(ACTS)


def test_a_reader_changes_nothing_in_a_test(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    visitor = fleet.visitor("reader")
    before = campaign.read().document
    for act, form in ACTS.items():
        path = act.format(path="draughts" if "before" in act else "water", number=0, entry_id="0" * 32)
        if act == "/plan/moves":
            continue  # its plan has to arrive whole before anything is asked of the service
        page = visitor.post(at(campaign, path), form, from_page="/")
        assert page.status == 403, (path, page.status, page.text[:200])
    assert campaign.read().document == before


def test_a_token_of_another_vessel_finds_no_page_of_the_test(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    visitor = fleet.visitor("approver", vessel_ids=[fleet.vessel("Larkhollow")])
    for page in PAGES:
        found = visitor.get(at(campaign, page))
        assert found.status == 404, page
        assert "Merrowdale" not in found.html
    assert "Merrowdale" not in visitor.get("/tests/").html
    assert "Merrowdale" not in visitor.get("/").html


def test_the_ships_own_token_reaches_her_page_and_answers_tank_by_tank(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    visitor = fleet.visitor("recorder", vessel_ids=[campaign.vessel_id])
    page = visitor.get(at(campaign, "/ship/"))
    form = form_of(page, "/ship/answers") | {
        "by": "B. Kell, chief engineer", "answers.0.answer": "agreed", "answers.1.answer": "cannot",
        "answers.1.reason": "bunkers come on Tuesday", "answers.1.offered_state": "slack",
        "answers.1.offered_sounding_m": "0.9", "answers.1.offered_density_t_per_m3": "0.86",
    }  # fmt: skip
    assert visitor.post(at(campaign, "/ship/answers"), form, from_page="/").status == 302
    page = visitor.get(at(campaign, "/ship/"))
    assert "agreed" in page.row_with("FO 1P")
    assert "cannot: bunkers come on Tuesday" in page.row_with("FO 1S")
    assert "What the refusals do:" in page.text


def test_a_refusal_without_a_reason_comes_back_with_the_entry_kept(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    visitor = fleet.visitor()
    form = form_of(visitor.get(at(campaign, "/ship/")), "/ship/answers") | {
        "by": "B. Kell",
        "answers.2.answer": "cannot",
    }
    page = visitor.post(at(campaign, "/ship/answers"), form, from_page="/")
    assert page.status == 422
    assert page.faults() == []
    assert form_of(page, "/ship/answers")["answers.2.answer"] == "cannot"
    assert "reason" in page.text


def test_items_of_the_work_list_are_ticked_by_name(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    visitor = fleet.visitor("recorder", vessel_ids=[campaign.vessel_id])
    key = fleet.client.connection.get(f"{campaign.path}/preparations")["items"][0]["key"]
    visitor.post(at(campaign, "/ship/marks"), {"item": key, "state": "done", "done_by": "B. Kell"}, from_page="/")
    items = fleet.client.connection.get(f"{campaign.path}/preparations")["items"]
    ticked = next(item for item in items if item["key"] == key)
    assert (ticked["state"], ticked["done_by"]) == ("done", "B. Kell")


def test_three_hundred_preparations_come_page_by_page(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    stored = fleet.client.connection.get_stored(f"{campaign.path}/tank-plan")
    voids = [{"tank": f"Void {number}", "state": "empty", "space": "void"} for number in range(140)]
    campaign.put("tank-plan", {"tanks": [*stored.document["tanks"], *voids]}, stored.etag)
    count = len(fleet.client.connection.get(f"{campaign.path}/preparations")["items"])
    assert count >= 300
    visitor = fleet.visitor()
    page = visitor.get(at(campaign, "/ship/"))
    check(page, "/ship/")
    pages = -(-count // 60)
    assert f"Page 1 of {pages}." in page.text
    check(visitor.get(at(campaign, f"/ship/?page={pages}")), "the last page")
    assert "items of chief engineer" in visitor.get(at(campaign, "/ship/?who=chief-engineer")).text
    check(visitor.get(at(campaign, "/ship/?tanks=4")), "/ship/?tanks=4")


def test_storing_the_plan_leaves_alone_what_the_form_does_not_ask(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    visitor = fleet.visitor()
    page = visitor.get(at(campaign, "/plan"))
    before = fleet.client.connection.get(f"{campaign.path}/plan")
    form = form_of(page, "") | {
        "communications": "radio channel 9",
        "place.sheltered": "yes",
        "persons.0.independent": "yes",
    }
    stored = visitor.post(at(campaign, "/plan"), form, from_page=at(campaign, "/plan"))
    assert stored.status == 302, stored.text[:400]
    after = fleet.client.connection.get(f"{campaign.path}/plan")
    assert after["communications"] == "radio channel 9"
    for name in ("moves", "instruments", "expected", "hydrostatics", "place", "safety"):
        assert after[name] == before[name], name


def test_a_plan_that_somebody_else_stored_in_between_is_not_overwritten(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    visitor = fleet.visitor()
    form = form_of(visitor.get(at(campaign, "/plan")), "")
    stored = fleet.client.connection.get_stored(f"{campaign.path}/plan")
    campaign.put("plan", stored.document | {"communications": "flags"}, stored.etag)
    page = visitor.post(at(campaign, "/plan"), form, from_page="/")
    assert page.status == 409
    assert "Somebody changed this in between" in page.text


def test_a_weight_plan_is_put_into_the_test_from_its_page(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    visitor = fleet.visitor()
    question = form_of(visitor.get("/plan?example=1"), "/plan") | {"test": campaign.test_id}
    answer = visitor.get("/plan?" + _query(question))
    assert answer.status == 200
    form = form_of(answer, "/plan/moves")
    assert visitor.post(at(campaign, "/plan/moves"), form, from_page="/").status == 302
    moves = fleet.client.connection.get(f"{campaign.path}/plan")["moves"]
    planned = fleet.client.weight_plans.compute({**carried(WEIGHT_PLAN), "weights_count": [4, 6]})
    assert [weight["mass_t"] for weight in moves["weights"]] == [weight["mass_t"] for weight in planned["weights"]]
    assert len(moves["states"]) == len(planned["states"])


def _query(form: dict[str, str]) -> str:
    return urlencode(form)


def state_form(visitor: Visitor, campaign: Campaign, number: int, values: dict[str, str]) -> dict[str, str]:
    """The form of a state with some readings typed in, by instrument."""
    form = form_of(visitor.get(at(campaign, f"/day/?state={number}")), f"/day/states/{number}")
    form["lines_slack"] = "yes"
    names = {form[f"readings.{place}.instrument"]: place for place in range(3)}
    return form | {f"readings.{names[name]}.value": text for name, text in values.items()}


def readings(campaign: Campaign) -> list[dict[str, Any]]:
    """All readings of a test as stored."""
    found: list[dict[str, Any]] = campaign.client.connection.get(f"{campaign.path}/readings", limit=500)["items"]
    return found


def test_a_state_is_entered_with_all_its_readings_by_one_form(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    visitor = fleet.visitor("recorder")
    form = state_form(visitor, campaign, 0, {"P1": "-7.0", "P2": "20", "I3": "-0.28"})
    assert visitor.post(at(campaign, "/day/states/0"), form, from_page="/").status == 302
    stored = {each["instrument"]: each for each in readings(campaign)}
    assert stored["P1"]["value_mm"] == -7.0
    assert stored["I3"]["value_deg"] == -0.28
    placed = fleet.client.connection.get(f"{campaign.path}/states")["items"][0]
    assert placed["positions"] == campaign.record["states"][0]["positions"]
    assert placed["lines_slack"] is True
    page = visitor.get(at(campaign, "/day/"))
    assert "Next: state 1" in page.text


def test_a_form_sent_twice_enters_nothing_twice(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    visitor = fleet.visitor("recorder")
    form = state_form(visitor, campaign, 0, {"P1": "-7.0", "P2": "20", "I3": "-0.28"})
    for _ in range(3):
        visitor.post(at(campaign, "/day/states/0"), form, from_page="/")
    assert len(readings(campaign)) == 3


def test_what_was_entered_before_a_refusal_stays_and_the_rest_is_mended_on_the_form(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    visitor = fleet.visitor("recorder")
    form = state_form(visitor, campaign, 0, {"P1": "-7.0", "P2": "99999999", "I3": "-0.28"})
    page = visitor.post(at(campaign, "/day/states/0"), form, from_page="/")
    assert page.status == 422
    assert page.faults() == []
    wrong = next(field for field in page.all("input") if field.get("aria-invalid") == "true")
    assert wrong.get("value") == "99999999"
    assert {each["instrument"] for each in readings(campaign)} == {"P1", "I3"}
    mended = form | {"readings.1.value": "20"}
    assert visitor.post(at(campaign, "/day/states/0"), mended, from_page="/").status == 302
    assert sorted(each["instrument"] for each in readings(campaign)) == ["I3", "P1", "P2"]


def test_a_script_is_answered_by_json_and_told_every_refusal(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    visitor = fleet.visitor("recorder")
    form = state_form(visitor, campaign, 0, {"P1": "seven"})
    token = re.search(r'name="csrf_token" value="([^"]+)"', visitor.get("/").html)
    assert token is not None
    headers = {"Accept": "application/json"}
    path = at(campaign, "/day/states/0")
    answer = visitor.client.post(path, data=form | {"csrf_token": token[1]}, headers=headers)
    assert answer.status_code == 422
    assert "is not a number" in answer.get_json()["errors"][0]["message"]
    assert visitor.client.post(path, data=form, headers=headers).status_code == 400
    stranger = Visitor(fleet.web)
    assert stranger.client.post(path, data=form | {"csrf_token": token[1]}, headers=headers).status_code in (400, 401)
    reader = fleet.visitor("reader")
    token = re.search(r'name="csrf_token" value="([^"]+)"', reader.get("/").html)
    assert token is not None
    good = form | {"readings.0.value": "7", "csrf_token": token[1]}
    answer = reader.client.post(path, data=good, headers=headers)
    assert answer.status_code == 403
    assert "role" in answer.get_json()["errors"][1]["message"]


def test_a_repeat_of_a_state_is_a_reading_of_its_own(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign, 2)
    visitor = fleet.visitor("recorder")
    form = state_form(visitor, campaign, 1, {"P1": "87.5"})
    assert visitor.post(at(campaign, "/day/states/1"), form, from_page="/").status == 302
    again = [each for each in readings(campaign) if each["state"] == 1 and each["instrument"] == "P1"]
    assert [each.get("repeat") for each in again] == [None, 1]


def test_a_reading_is_corrected_by_a_further_entry_with_its_reason(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign, 1)
    visitor = fleet.visitor("recorder")
    old = readings(campaign)[0]
    path = at(campaign, f"/enter/readings/{old['entry_id']}")
    page = visitor.get(path)
    check(page, path)
    form = form_of(page, "") | {"value_mm": "-7.5", "reason": "read from the wrong side of the line"}
    assert visitor.post(path, form, from_page="/").status == 302
    found = readings(campaign)
    assert [each["value_mm"] for each in found if each["corrects"] == old["entry_id"]] == [-7.5]
    assert next(each for each in found if each["entry_id"] == old["entry_id"])["value_mm"] == old["value_mm"]


def test_an_entry_is_taken_back_only_with_a_reason(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign, 1)
    visitor = fleet.visitor("recorder")
    path = at(campaign, f"/enter/readings/{readings(campaign)[0]['entry_id']}/withdrawal")
    assert visitor.post(path, {"reason": ""}, from_page="/").status == 422
    assert visitor.post(path, {"reason": "line swung"}, from_page="/").status == 302
    assert readings(campaign)[0]["corrected_by"]


def test_draughts_and_soundings_are_entered_by_the_table(open_at: OpenAt):
    fleet, campaign = open_at("survey-day")
    visitor = fleet.visitor("recorder")
    page = visitor.get(at(campaign, "/day/before"))
    form = form_of(page, "/before/draughts")
    marks = {form[name]: name for name in form if name.endswith(".mark")}
    form[marks["aft port"].replace("mark", "reading_m")] = "3.31"
    form[marks["midship starboard"].replace("mark", "reading_m")] = "10 ft 4 in"
    assert visitor.post(at(campaign, "/day/before/draughts"), form, from_page="/").status == 302
    stored = fleet.client.connection.get(f"{campaign.path}/draughts")["items"]
    assert {each["mark"]: each["reading_m"] for each in stored} == {
        "aft port": 3.31, "midship starboard": pytest.approx(3.1496)
    }  # fmt: skip
    form = form_of(visitor.get(at(campaign, "/day/before")), "/before/soundings") | {"soundings.0.evidence": "sounded"}
    page = visitor.post(at(campaign, "/day/before/soundings"), form, from_page="/")
    assert page.status == 422  # slack as planned, and no sounding typed
    assert page.faults() == []
    assert "sounding" in page.text


def test_a_deviation_comes_back_with_its_price_and_is_accepted_by_name(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign)
    visitor = fleet.visitor()
    form = {"text": "four men walk with the weight", "kind": "people-walk", "mass_t": "320 kg", "distance_m": "8"}
    assert visitor.post(at(campaign, "/day/deviations"), form, from_page="/").status == 302
    page = visitor.get(at(campaign, "/day/deviations"))
    assert "mass unchanged" in page.text
    assert "higher VCG" in page.text
    assert "safe side" in page.text
    entry = fleet.client.connection.get(f"{campaign.path}/deviations")["items"][0]["entry_id"]
    decided = {"decision": "accept", "name": "Ines Aldous"}
    visitor.post(at(campaign, f"/day/deviations/{entry}/decision"), decided, from_page="/")
    missing = str(campaign.read().document["next_stages"])
    assert "deviations_settled" not in missing


def test_a_deviation_without_its_size_is_refused_beside_the_field(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign)
    page = fleet.visitor().post(
        at(campaign, "/day/deviations"), {"text": "men walk", "kind": "people-walk", "mass_t": "0.3"}, from_page="/"
    )
    assert page.status == 422
    field = next(each for each in page.all("input") if each.get("name") == "distance_m")
    assert field.get("aria-invalid") == "true"


def test_findings_are_answered_and_a_second_person_approves(open_at: OpenAt):
    fleet, campaign = open_at("under-review")
    visitor = fleet.visitor()
    page = visitor.get(at(campaign, "/review"))
    findings = re.findall(r'name="finding" value="([^"]+)"', page.html)
    assert findings
    form = form_of(page, "/approval") | {"name": "Odile Marsh"}
    early = visitor.post(at(campaign, "/approval"), form, from_page="/")
    assert early.status == 422
    assert "Odile Marsh" in early.html
    for finding in findings:
        visitor.post(
            at(campaign, "/review/answers"), {"finding": finding, "text": "explained", "by": "T. Rein"}, from_page="/"
        )
    recorder = fleet.visitor("recorder", name="Rolf Recorder")
    assert recorder.post(at(campaign, "/approval"), form, from_page="/").status == 403
    form = form_of(visitor.get(at(campaign, "/review")), "/approval") | {"name": "Odile Marsh"}
    done = visitor.post(at(campaign, "/approval"), form, from_page="/")
    assert done.status == 302, done.text[:500]
    assert done.location == f"/vessels/{campaign.vessel_id}"
    assert "Approved by Odile Marsh" in visitor.get(at(campaign, "/review")).text
    newest = list(fleet.client.lightships.of(campaign.vessel_id))[-1]
    assert newest["approved"] is True


def test_a_step_that_lacks_its_evidence_leaves_the_test_where_it_is(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    page = fleet.visitor().post(
        at(campaign, "/stage"), {"stage": "test-day", "etag": campaign.read().etag or ""}, from_page="/"
    )
    assert page.status == 422
    assert "The test stays where it is" in page.text
    assert campaign.read().document["stage"] == "planned"


def test_postponing_needs_a_reason_and_says_so(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    visitor = fleet.visitor()
    etag = campaign.read().etag or ""
    assert visitor.post(at(campaign, "/stage"), {"stage": "postponed", "etag": etag}, from_page="/").status == 422
    form = {"stage": "postponed", "etag": etag, "reason": "gale"}
    assert visitor.post(at(campaign, "/stage"), form, from_page="/").status == 302
    assert campaign.read().document["stage"] == "postponed"
