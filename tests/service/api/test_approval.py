"""PUT /approval: what is asked first, and refusals that name the field of this very request."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from heelwright_client.errors import RefusedError

from tests.support.app import Api, new_token
from tests.support.box_test import Bench, bench
from tests.support.campaign import client_of

BEFORE = {"date": "2024-05-15", "basis": "inclining-test", "mass_t": 1200.0, "lcg_m": 25.0, "vcg_m": 5.0}


@pytest.fixture(scope="module")
def reviewed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """A test that only lacks its approval, of a vessel that has a lightship of that day already."""
    with bench(tmp_path_factory.mktemp("approval") / "here") as made:
        client_of(made.app, "admin", "office").lightships.add(made.vessel_id, {**BEFORE, "approved": True})
        for name, step in made.everything().items():
            if name != "approve":
                step()
        yield made


def refused(made: Bench, **facts: str) -> dict[str, Any]:
    with pytest.raises(RefusedError) as error:
        made.crew.approver.tests.approve(made.test_id, "P. Renard", **facts)
    return dict(error.value.problem)


def test_the_version_that_was_read_is_asked_for_before_the_body_is_looked_at(reviewed: Bench) -> None:
    api = Api(reviewed.app.test_client(), new_token(reviewed.app, "approver", name="P. Renard"))
    path = f"/tests/{reviewed.test_id}/approval"
    assert api.put(path, {"nam": "x"}).status_code == 428
    assert api.put(path, {"nam": "x"}, If_Match='"1"').status_code == 422
    assert api.put(path, {"name": "x"}).status_code == 428
    assert api.put(path, {"name": "x"}, If_Match='"1"').status_code == 412


def test_a_certificate_that_comes_after_the_test_day_is_counted_by_the_review(reviewed: Bench) -> None:
    def certificates() -> str:
        findings = reviewed.crew.planner.tests.review(reviewed.test_id)["findings"]
        return str(next(each["status"] for each in findings if each["id"] == "RR-20"))

    assert certificates() == "pass"
    facts = {"kind": "scale-certificate", "name": "S-9", "valid_until": "2020-01-01"}
    late = reviewed.crew.first.tests.enter(reviewed.test_id, "certificates", facts)
    assert certificates() == "warn"
    newer = {**facts, "valid_until": "2025-01-01", "corrects": late["entry_id"], "reason": "the wrong sheet"}
    reviewed.crew.planner.tests.enter(reviewed.test_id, "certificates", newer)
    assert certificates() == "pass"


def test_a_departure_that_the_ship_cannot_have_is_refused_in_a_stored_test_too(reviewed: Bench) -> None:
    facts = {"kind": "surplus-overlooked", "text": "x", "mass_t": 90_000.0, "x_m": 25.0, "y_m": 0.0, "z_m": 3.0}
    with pytest.raises(RefusedError) as error:
        reviewed.crew.first.tests.enter(reviewed.test_id, "deviations", facts)
    assert (error.value.status, error.value.errors[0].pointer) == (422, "/mass_t")


def test_whoever_entered_any_version_of_a_record_does_not_approve_it(reviewed: Bench) -> None:
    approver, planner = reviewed.crew.approver.tests, reviewed.crew.planner.tests
    record = {**planner.record(reviewed.test_id).document, "test": {"date": "2011-05-15"}}
    facts = {"origin": "entered-record", "record_source": "paper"}
    test_id = planner.open(reviewed.vessel_id, "inclining-test", **facts).document["id"]
    approver.put_record(test_id, {**record, "persons": []})
    planner.put_record(test_id, record, etag=planner.record(test_id).etag)
    planner.reduce(test_id, uncertainty="none")
    for stage in ("preliminary-result", "under-review"):
        planner.move(test_id, stage)
    for finding in planner.review(test_id)["open"]:
        planner.answer(test_id, finding, "seen", "K. Lund")
    with pytest.raises(RefusedError) as error:
        approver.approve(test_id, "P. Renard")
    assert error.value.code == "approver-recorded"


def test_a_lightship_of_the_same_day_is_named_with_the_field_that_replaces_it(reviewed: Bench) -> None:
    [old] = reviewed.crew.planner.lightships.of(reviewed.vessel_id)
    problem = refused(reviewed)
    assert problem["code"] == "lightship-exists"
    assert problem["errors"][0]["pointer"] == "/supersedes_lightship"
    assert f"supersedes_lightship ({old['id']})" in problem["detail"]
    unknown = refused(reviewed, supersedes_lightship="0" * 32, reason="x")
    assert unknown["errors"][0]["pointer"] == "/supersedes_lightship"
    assert reviewed.stage == "under-review"
    facts = {"supersedes_lightship": old["id"], "reason": "now with its record"}
    approved = reviewed.crew.approver.tests.approve(reviewed.test_id, "P. Renard", **facts)
    rows = {each["id"]: each for each in reviewed.crew.planner.lightships.of(reviewed.vessel_id)}
    assert rows[old["id"]]["superseded_by"] == approved["lightship"]
