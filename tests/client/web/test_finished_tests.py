"""A test that was conducted elsewhere: entered whole on a page, put right there, and taken out again as it went in."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried

from tests.client.web.conftest import OpenAt, Stage
from tests.client.web.test_every_page import check
from tests.client.web.test_registers import refused_fields, value_of
from tests.client.web.visitor import Page, Visitor

SOURCE = {"record_source": "report 12 of the yard, 2031-06-02", "kind": "inclining-test"}


def enter(visitor: Visitor, vessel: str, text: str, **more: str) -> Page:
    """Send the form with a pasted record and the key that the page gave it."""
    path = f"/vessels/{vessel}/record"
    key = re.search(r'name="key" value="([^"]+)"', visitor.get(path).html)
    assert key is not None
    return visitor.post(path, {**SOURCE, "key": key[1], "text": text, **more}, from_page="/")


def stored_of(fleet: Stage, vessel: str) -> list[dict[str, Any]]:
    """All stored tests of a vessel."""
    return list(fleet.client.tests.of(vessel))


def test_a_finished_test_goes_in_as_a_file_and_comes_out_the_same(fleet: Stage):
    visitor, vessel = fleet.visitor("planner"), fleet.vessel("Merrowdale")
    check(visitor.get(f"/vessels/{vessel}/record"), "record")
    stored = enter(visitor, vessel, json.dumps(carried(TEST_DAY)))
    assert stored.status == 302, stored.text
    (opened,) = stored_of(fleet, vessel)
    assert stored.location == f"/tests/{opened['id']}"
    assert opened["record_source"] == SOURCE["record_source"]
    page = visitor.get(stored.location)
    check(page, stored.location)
    assert f"{stored.location}/record" in {link.get("href") for link in page.all("a")}
    check(visitor.get(f"{stored.location}/record"), "record of a test")
    answer = visitor.client.get(f"{stored.location}/record.json")
    assert answer.get_json() == carried(TEST_DAY)
    assert 'filename="merrowdale-2025-03-18.record.json"' in answer.headers["Content-Disposition"]


def test_a_finished_test_is_carried_to_its_approval_on_pages_alone(fleet: Stage):
    planner, vessel = fleet.visitor("planner", name="Petra Planner"), fleet.vessel("Merrowdale")
    test = enter(planner, vessel, json.dumps(carried(TEST_DAY))).location
    planner.post(f"{test}/result", from_page="/")
    for stage in ("preliminary-result", "under-review"):
        etag = re.search(r'name="etag" value="([^"]+)"', planner.get(test).html)
        assert etag is not None, planner.get(test).text
        moved = planner.post(f"{test}/stage", {"stage": stage, "etag": etag[1].replace("&#34;", '"')}, from_page="/")
        assert moved.status == 302, moved.text[:800]
    for finding in re.findall(r'name="finding" value="([^"]+)"', planner.get(f"{test}/review").html):
        answer = {"finding": finding, "text": "stands in the report", "by": "Petra Planner"}
        planner.post(f"{test}/review/answers", answer, from_page="/")
    approver = fleet.visitor("approver", name="Odile Marsh")
    etag = re.search(r'name="etag" value="([^"]+)"', approver.get(f"{test}/review").html)
    assert etag is not None
    form = {"name": "Odile Marsh", "etag": etag[1].replace("&#34;", '"')}
    done = approver.post(f"{test}/approval", form, from_page="/")
    assert done.status == 302, done.text[:800]
    newest = list(fleet.client.lightships.of(vessel))[-1]
    assert newest["approved"] is True
    assert newest["mass_t"] == pytest.approx(1470.4, abs=0.5)


def test_a_whole_file_of_elsewhere_says_where_it_came_from_and_counts_for_nothing(open_at: OpenAt):
    fleet, campaign = open_at("under-review")
    planner = fleet.visitor("planner", name="Petra Planner")
    whole = planner.client.get(f"/tests/{campaign.test_id}/test.json").get_data(as_text=True)
    stored = enter(planner, fleet.vessel("Merrowdale"), whole)
    assert stored.status == 302, stored.text
    page = planner.get(stored.location)
    check(page, stored.location)
    assert "By the file's own word the test stood at “under review” there. That counts for nothing here" in page.text
    assert fleet.client.tests.get(stored.location[7:]).document["imported"]["sha256"] in page.text


def test_a_form_that_cannot_be_read_opens_no_test_and_keeps_what_was_typed(fleet: Stage):
    visitor, vessel = fleet.visitor("planner"), fleet.vessel("Merrowdale")
    for more, text, told in (
        ({}, "{broken", "not JSON"),
        ({"kind": ""}, json.dumps(carried(TEST_DAY)), "This is needed."),
        ({"record_source": ""}, "{}", "This is needed."),
    ):
        page = enter(visitor, vessel, text, **more)
        assert page.status == 422
        check(page, "record")
        assert told in page.text
        assert value_of(page, "record_source") == (more | SOURCE | more)["record_source"]
        assert stored_of(fleet, vessel) == []


def test_a_refused_record_is_mended_on_its_tests_page_and_opens_no_second_test(fleet: Stage):
    visitor, vessel = fleet.visitor("planner"), fleet.vessel("Merrowdale")
    faulty = carried(TEST_DAY)
    faulty["draughts"][0]["reading_m"] = "3.3"
    page = enter(visitor, vessel, json.dumps(faulty))
    assert page.status == 422
    check(page, "refused record")
    assert "/draughts/0/reading_m" in page.text
    (opened,) = stored_of(fleet, vessel)
    action = f"/tests/{opened['id']}/record"
    assert action in {form.get("action") for form in page.all("form")}
    kept = page.all("textarea")[0].text or ""
    assert json.loads(kept) == faulty
    mended = visitor.post(action, {"text": json.dumps(carried(TEST_DAY))}, from_page="/")
    assert mended.status == 302
    assert len(stored_of(fleet, vessel)) == 1
    assert fleet.client.tests.record(opened["id"]).document == carried(TEST_DAY)


def test_a_record_that_somebody_replaced_in_between_is_not_overwritten(fleet: Stage):
    visitor, vessel = fleet.visitor("planner"), fleet.vessel("Merrowdale")
    test = enter(visitor, vessel, json.dumps(carried(TEST_DAY))).location
    first = carried(TEST_DAY)
    first["water"]["samples"][0]["density_t_per_m3"] += 0.0005
    seen = {"etag": '"1"', "text": json.dumps(first)}
    assert visitor.post(f"{test}/record", seen, from_page="/").status == 302
    late = visitor.post(f"{test}/record", seen, from_page="/")
    assert late.status == 409
    assert "Somebody changed this in between" in late.text


def test_a_record_of_the_other_kind_is_refused_and_says_so(fleet: Stage):
    visitor, vessel = fleet.visitor("planner"), fleet.vessel("Merrowdale")
    page = enter(visitor, vessel, json.dumps(carried(TEST_DAY)), kind="lightweight-survey")
    assert page.status == 422
    assert "lightweight-survey" in page.text


def test_a_text_too_long_for_a_page_is_never_given_back_in_part(fleet: Stage):
    visitor, vessel = fleet.visitor("planner"), fleet.vessel("Merrowdale")
    faulty = carried(TEST_DAY)
    faulty["draughts"][0]["reading_m"] = "3.3"
    for path, form in (
        (f"/vessels/{vessel}/record", SOURCE),
        (f"/vessels/{vessel}/parts", {"part": "hull"}),
        ("/result", {}),
    ):
        page = visitor.post(path, {**form, "text": json.dumps(faulty) + " " * 60_000}, from_page="/")
        assert page.status == 422, path
        check(page, path)
        assert "choose it again" in page.text
        assert (page.all("textarea")[0].text or "").strip() == ""


def test_a_test_conducted_here_comes_out_as_a_file_and_takes_none(open_at: OpenAt):
    fleet, campaign = open_at("under-review")
    visitor = fleet.visitor("planner")
    page = visitor.get(f"/tests/{campaign.test_id}/record")
    check(page, "record")
    assert page.all("textarea") == []
    record = visitor.client.get(f"/tests/{campaign.test_id}/record.json").get_json()
    assert len(record["readings"]) == len(campaign.record["readings"])
    whole = visitor.client.get(f"/tests/{campaign.test_id}/test.json")
    assert whole.get_json() == fleet.client.tests.file(campaign.test_id)
    assert whole.headers["Content-Disposition"].endswith('.test.json"')
    refused = visitor.post(f"/tests/{campaign.test_id}/record", {"text": json.dumps(record)}, from_page="/")
    assert refused.status == 422
    assert "conducted here" in refused.text
    assert refused_fields(refused) == set()
