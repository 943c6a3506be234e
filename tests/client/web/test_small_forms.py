"""Names, reasons and corrections: every small form is taken once, and a refused one keeps what was typed."""

from __future__ import annotations

import json
from typing import Any

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried

from tests.client.web.conftest import OpenAt, Stage
from tests.client.web.story import Campaign, read_states
from tests.client.web.test_every_page import check
from tests.client.web.test_finished_tests import enter as enter_record
from tests.client.web.test_registers import refused_fields, value_of
from tests.client.web.test_stored_tests import at, form_of
from tests.client.web.visitor import Page

LONG = "x" * 2001


def listed(fleet: Stage, campaign: Campaign, part: str) -> list[dict[str, Any]]:
    """All entries of a part."""
    return list(fleet.client.tests.entries(campaign.test_id, part))


def check_refused(page: Page, field: str) -> None:
    """A good page of refusal, with an error beside the field."""
    assert page.status == 422, page.text[:300]
    check(page, field)
    assert field in refused_fields(page)


def test_a_waiver_without_a_reason_comes_back_with_its_name_and_is_then_taken(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    visitor, path = fleet.visitor("planner"), at(campaign, "/waive")
    point = next(c["id"] for c in fleet.client.tests.procedure(campaign.test_id)["checks"] if c["status"] == "fail")
    form = {"point": point, "name": "Ines Aldous", "reason": "", "key": "k", "next": at(campaign, "/plan")}
    page = visitor.post(path, form, from_page="/")
    check_refused(page, "reason")
    assert value_of(page, "name") == "Ines Aldous"
    assert value_of(page, "point") == point
    again = form_of(page, "/waive") | {"reason": "sent after"}
    done = visitor.post(path, again, from_page="/")
    assert (done.status, done.location) == (302, at(campaign, "/plan"))
    assert [each["reason"] for each in listed(fleet, campaign, "waivers")] == ["sent after"]


def test_what_is_too_long_for_the_service_is_refused_beside_its_field_and_kept(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign)
    visitor = fleet.visitor()
    campaign.add("deviations", {"kind": "density-basis", "text": "the glass was read in air"})
    deviation = listed(fleet, campaign, "deviations")[0]["entry_id"]
    item = fleet.client.tests.preparations(campaign.test_id)["items"][0]["key"]
    for path, form, field in (
        ("/waive", {"point": "RP-01", "name": "A", "reason": LONG}, "reason"),
        ("/survey/closing", {"what": "test-day", "name": LONG}, "name"),
        (f"/day/deviations/{deviation}/decision", {"decision": "accept", "name": "A", "remarks": LONG}, "remarks"),
        ("/ship/marks", {"item": item, "state": "done", "done_by": "B. Kell", "remarks": LONG}, "remarks"),
        ("/interim", {"limits": f"half speed\n{'x' * 501}"}, "limits"),
    ):
        page = visitor.post(at(campaign, path), form, from_page="/")
        check_refused(page, field)
        assert any(text in page.html for text in ("B. Kell", LONG[:400]))


def test_a_waived_item_without_a_reason_comes_back_with_the_items_chosen(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    visitor = fleet.visitor("planner")
    key = fleet.client.tests.preparations(campaign.test_id)["items"][0]["key"]
    form = {"item": key, "state": "waived", "done_by": "B. Kell"}
    page = visitor.post(at(campaign, "/ship/marks"), form, from_page="/")
    check_refused(page, "remarks")
    assert value_of(page, "item") == key
    again = form_of(page, "/ship/marks") | {"remarks": "no such valve aboard"}
    assert visitor.post(at(campaign, "/ship/marks"), again, from_page="/").status == 302
    items = fleet.client.tests.preparations(campaign.test_id)["items"]
    assert next(each["state"] for each in items if each["key"] == key) == "waived"


def test_a_finding_answered_by_nobody_comes_back_with_the_answer(open_at: OpenAt):
    fleet, campaign = open_at("under-review")
    finding = fleet.client.tests.review(campaign.test_id)["open"][0]
    form = {"finding": finding, "text": "explained in the letter", "by": ""}
    page = fleet.visitor("planner").post(at(campaign, "/review/answers"), form, from_page="/")
    check_refused(page, "by")
    assert value_of(page, "text") == "explained in the letter"
    assert value_of(page, "finding") == finding


def test_abandoning_without_a_reason_says_so_beside_the_field(open_at: OpenAt):
    fleet, campaign = open_at("planned")
    visitor = fleet.visitor("planner")
    form = {"stage": "abandoned", "etag": campaign.read().etag or ""}
    page = visitor.post(at(campaign, "/stage"), form, from_page="/")
    check_refused(page, "reason")
    done = visitor.post(at(campaign, "/stage"), form | {"reason": "the ship is sold"}, from_page="/")
    assert done.status == 302
    assert campaign.read().document["stage"] == "abandoned"


def test_probe_samples_stand_beside_the_hydrometers(open_at: OpenAt):
    fleet, campaign = open_at("survey-day")
    visitor = fleet.visitor("recorder")
    page = visitor.get(at(campaign, "/day/before"))
    form = form_of(page, "/enter/probes") | {"practical_salinity": "17.4", "temperature_c": "9.5", "depth_m": "6 ft"}
    assert visitor.post(at(campaign, "/enter/probes"), form, from_page="/").status == 302
    (sample,) = listed(fleet, campaign, "probes")
    assert (sample["practical_salinity"], sample["temperature_c"]) == (17.4, 9.5)
    assert sample["depth_m"] == pytest.approx(1.8288)
    again = visitor.get(at(campaign, "/day/before"))
    check(again, "/day/before")
    assert "17.4" in again.row_with("17.4")
    wrong = form | {"practical_salinity": "55", "key": "another"}
    check_refused(visitor.post(at(campaign, "/enter/probes"), wrong, from_page="/"), "practical_salinity")


def test_moved_ballast_water_is_entered_with_its_soundings_after_its_approval(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign, 2)
    visitor = fleet.visitor("recorder")
    path = at(campaign, "/enter/ballast-procedure")
    page = visitor.get(path)
    check(page, path)
    form = form_of(page, "") | {
        "approved_by": "the Administration", "reference": "letter 7", "why_not_solid_weights": "no crane at the berth",
        "lines_full": "yes", "next": at(campaign, "/day/before"),
    }  # fmt: skip
    assert visitor.post(path, form, from_page="/").status == 302
    path = at(campaign, "/enter/ballast-moves")
    page = visitor.get(path)
    check(page, path)
    names = [tank["name"] for tank in campaign.record["vessel"]["tanks"][:2]]
    form = form_of(page, "") | {
        "state": "1", "from_tank": names[0], "to_tank": names[1], "from_before_m": "0.90", "from_after_m": "0.60",
        "to_before_m": "0.60", "to_after_m": "up",
    }  # fmt: skip
    check_refused(visitor.post(path, form, from_page="/"), "to_after_m")
    done = visitor.post(path, form | {"to_after_m": "0.90"}, from_page="/")
    assert done.status == 302, done.text[:600]
    (move,) = listed(fleet, campaign, "ballast-moves")
    assert (move["from_tank"], move["to_after_m"]) == (names[0], 0.9)
    before = visitor.get(at(campaign, "/day/before"))
    check(before, "/day/before")
    assert names[0] in before.row_with("0.600 m")
    assert "letter 7" in before.text


def test_a_day_that_was_broken_off_leaves_the_new_day_empty(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    read_states(campaign, 3)
    visitor = fleet.visitor()
    assert "Next: state 3" in visitor.get(at(campaign, "/day/")).text
    form = {"stage": "postponed", "reason": "gale", "etag": campaign.read().etag or ""}
    assert visitor.post(at(campaign, "/stage"), form, from_page="/").status == 302
    page = visitor.get(at(campaign, "/day/"))
    check(page, "/day/")
    assert "Next: state 0" in page.text
    kept = visitor.get(at(campaign, "/set-aside"))  # what was read stays with the test
    check(kept, "/set-aside")
    assert f"Reading: {len(listed(fleet, campaign, 'readings'))}" in kept.text


def test_a_certificate_that_comes_late_is_entered_on_the_page_of_its_test(open_at: OpenAt):
    fleet, campaign = open_at("under-review")
    visitor, path = fleet.visitor("recorder"), at(campaign, "/enter/certificates")
    form = form_of(visitor.get(path), "") | {"kind": "scale-certificate", "name": "", "valid_until": "2032-01-31"}
    check_refused(visitor.post(path, form, from_page="/"), "name")
    assert visitor.post(path, form | {"name": "S-41"}, from_page="/").location == campaign.path[3:]
    page = visitor.get(campaign.path[3:])
    check(page, campaign.path)
    assert "scale certificate" in page.row_with("S-41")


def test_reservations_are_listed_and_the_list_is_signed_by_name(open_at: OpenAt):
    fleet, campaign = open_at("test-day")
    visitor, path = fleet.visitor("recorder"), at(campaign, "/reservations")
    page = visitor.get(path)
    assert "not signed yet" in page.text
    form = form_of(page, "/enter/reservations") | {"topic": "waves", "applies": "yes", "size": "0.2 m", "text": "swell"}
    assert visitor.post(at(campaign, "/enter/reservations"), form, from_page="/").location == path
    form = form_of(visitor.get(path), "/enter/signatures") | {
        "what": "reservations", "role": "surveyor", "name": "Tomas Rein"
    }  # fmt: skip
    assert visitor.post(at(campaign, "/enter/signatures"), form, from_page="/").location == path
    page = visitor.get(path)
    check(page, path)
    assert "the list is signed" in page.text
    assert "0.2 m" in page.row_with("swell")
    assert "Tomas Rein" in page.row_with("surveyor")


def test_the_interim_request_is_a_page_to_print_and_no_approval(open_at: OpenAt):
    fleet, campaign = open_at("under-review")
    visitor, path = fleet.visitor("planner"), at(campaign, "/interim")
    form = form_of(visitor.get(path), "") | {"limits": "half the passengers\n\n no deck cargo ", "expiry_days": "30"}
    assert visitor.post(path, form, from_page="/").status == 302
    visitor.post(path, form, from_page="/")  # sent twice, put together once
    page = visitor.get(path)
    check(page, path)
    assert "It is no approval" in page.text
    assert "half the passengers; no deck cargo" in page.text
    assert page.text.count("Request of") == 1
    empty = visitor.post(path, form | {"limits": "  ", "key": "other"}, from_page="/")
    check_refused(empty, "limits")
    assert "half the passengers" in fleet.visitor("reader").get(path).text


def test_what_is_put_back_is_listed_for_each_who_does_it(open_at: OpenAt):
    fleet, campaign = open_at("preparing")
    items = fleet.client.tests.preparations(campaign.test_id)["items"]
    for item in items:
        fleet.client.tests.mark(campaign.test_id, item["key"], "done", done_by="B. Kell")
    page = fleet.visitor("reader").get(at(campaign, "/put-back"))
    check(page, "/put-back")
    found = fleet.client.tests.put_back(campaign.test_id)
    assert found
    assert all(" ".join(each["what"].split()) in page.text for each in found)


def test_a_lightship_is_corrected_by_a_further_one_with_its_reason(fleet: Stage):
    vessel = fleet.vessel("Larkhollow")
    old = next(each for each in fleet.client.lightships.of(vessel) if not each["approved"])
    path = f"/vessels/{vessel}/lightships/{old['id']}/correction"
    visitor = fleet.visitor("planner")
    assert path in {link.get("href") for link in visitor.get(f"/vessels/{vessel}").all("a")}
    page = visitor.get(path)
    check(page, path)
    form = form_of(page, "") | {"mass_t": "364.9"}
    check_refused(visitor.post(path, form, from_page="/"), "reason")
    done = visitor.post(path, form | {"reason": "a digit was mistyped"}, from_page="/")
    assert done.status == 302, done.text[:300]
    (new,) = (each for each in fleet.client.lightships.of(vessel) if each["supersedes"] == old["id"])
    assert new["mass_t"] == 364.9
    again = visitor.post(path, form | {"reason": "once more"}, from_page="/")
    assert again.status == 422
    check(again, path)


def test_an_alteration_is_corrected_or_taken_back_and_stays_in_the_log(fleet: Stage):
    vessel = fleet.vessel("Larkhollow")
    old = next(iter(fleet.client.alterations.of(vessel)))
    path = f"/vessels/{vessel}/alterations/{old['id']}/correction"
    visitor = fleet.visitor("recorder")
    page = visitor.get(path)
    check(page, path)
    form = form_of(page, "") | {"withdrawn": "yes", "reason": "logged twice"}
    assert visitor.post(path, form, from_page="/").status == 302
    stored = fleet.client.alterations.get(vessel, old["id"])
    assert stored["corrected_by"]
    assert old["description"] not in visitor.get(f"/vessels/{vessel}").text
    reader = fleet.visitor("reader")
    assert "This is done by a recorder" in reader.get(path).text
    assert reader.post(path, form, from_page="/").status == 403


def approved_test(fleet: Stage, vessel: str) -> dict[str, Any]:
    """A finished test of her, entered, reduced, reviewed, and approved by a second person."""
    opened = fleet.client.tests.open(vessel, "inclining-test", origin="entered-record", record_source="a report")
    test_id = str(opened.document["id"])
    fleet.client.tests.put_record(test_id, carried(TEST_DAY))
    reviewed(fleet, f"/tests/{test_id}")
    return fleet.client_of("approver", name="Odile Marsh").tests.approve(test_id, "Odile Marsh")


def reviewed(fleet: Stage, test: str) -> str:
    """The page of review of a test whose record was entered, brought to where it can be approved."""
    tests, test_id = fleet.client.tests, test.rpartition("/")[2]
    tests.reduce(test_id)
    for stage in ("preliminary-result", "under-review"):
        tests.move(test_id, stage)
    for finding in tests.review(test_id)["open"]:
        tests.answer(test_id, finding, "explained", "T. Rein")
    return f"{test}/review"


def test_a_second_test_of_one_day_is_approved_only_by_naming_what_it_replaces(fleet: Stage):
    vessel = fleet.vessel("Merrowdale")
    first = approved_test(fleet, vessel)
    second = enter_record(fleet.visitor("planner"), vessel, json.dumps(carried(TEST_DAY))).location
    review = reviewed(fleet, second)
    approver = fleet.visitor("approver", name="Odile Marsh")
    page = approver.get(review)
    check(page, review)
    form = form_of(page, "/approval") | {"name": "Odile Marsh", "supersedes_lightship": ""}
    refused = approver.post(f"{second}/approval", form, from_page="/")
    assert refused.status == 422
    check(refused, "approval")
    assert value_of(refused, "name") == "Odile Marsh"
    named = form | {"supersedes_lightship": first["lightship"], "reason": "the tanks were sounded again"}
    done = approver.post(f"{second}/approval", named, from_page="/")
    assert done.status == 302, done.text[:600]
    old = fleet.client.lightships.get(vessel, first["lightship"])
    assert old["superseded_by"]


def test_a_test_that_mends_an_approved_one_is_opened_from_its_page(fleet: Stage):
    vessel = fleet.vessel("Merrowdale")
    first = approved_test(fleet, vessel)
    visitor = fleet.visitor("planner")
    path = f"/tests/new?vessel={vessel}"
    page = visitor.get(path)
    check(page, path)
    form = form_of(page, "") | {"supersedes": first["test_id"]}
    opened = visitor.post("/tests/new", form, from_page="/")
    assert opened.status == 302, opened.text[:300]
    stored = fleet.client.tests.get(opened.location.rpartition("/")[2]).document
    assert stored["supersedes"] == first["test_id"]


ADVISORY = {"kind": "surplus", "mass_t": 0.2, "x_m": 40.0, "y_m": 0.5, "z_m": 5.6, "survey": "advisory"}


def test_what_an_act_without_fields_is_refused_for_stands_beside_its_button(fleet: Stage):
    vessel, visitor = fleet.vessel("Merrowdale"), fleet.visitor("planner")
    opened = fleet.client.tests.open(vessel, "inclining-test").document["id"]
    refusals = {
        "ship/list": "The list was not made", "ship/replan": "The tank plan stays as it was",
        "result": "It was not reduced",
    }  # fmt: skip
    for path, told in refusals.items():
        page = visitor.post(f"/tests/{opened}/{path}", from_page="/")
        assert page.status == 422, path
        check(page, path)
        assert told in page.text
        assert page.text.count(told) == 1


def test_a_row_that_is_carried_over_with_a_mass_that_cannot_be_read_is_told_beside_it(open_at: OpenAt):
    fleet, campaign = open_at("survey-day")
    rows = [campaign.add("items", {**ADVISORY, "description": what})["entry_id"] for what in ("Drums", "Staging")]
    visitor, path = fleet.visitor("recorder"), at(campaign, "/survey/ticks")
    form = {"item": rows, f"{rows[0]}.mass_t": "120 kg", f"{rows[1]}.mass_t": "heavy"}
    page = visitor.post(path, form, from_page="/")
    check_refused(page, f"{rows[1]}.mass_t")
    assert {each.get("value") for each in page.all("input") if each.get("checked") is not None} == set(rows)
    assert visitor.post(path, form | {f"{rows[1]}.mass_t": ""}, from_page="/").status == 302
    items = listed(fleet, campaign, "items")
    assert {each["carried_from"]: each["mass_t"] for each in items if each.get("carried_from")} == {
        rows[0]: 0.12,
        rows[1]: 0.2,
    }
