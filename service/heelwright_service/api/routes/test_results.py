"""/v1/tests/{id}/result, /record, /review, /approval; /v1/actions; a vessel's lightship boundary register."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, turns, work
from heelwright_service.api.endpoint import Answer, Pending, endpoint
from heelwright_service.api.schemas.base import PageQuery, page_of
from heelwright_service.api.schemas.record import ReductionQuery
from heelwright_service.api.schemas.test_day import ReviewAnswerBody, entry_answer
from heelwright_service.api.schemas.test_file import TestFileBody
from heelwright_service.api.schemas.test_results import (
    ApprovalAnswer,
    InterimAnswer,
    PutBackListAnswer,
    ReviewAnswer,
    StoredResultAnswer,
)
from heelwright_service.api.schemas.tests import (
    ActionAnswer,
    ActionBody,
    ActionsQuery,
    ApprovalBody,
    BoundaryBody,
    BoundaryQuery,
    BoundaryRegisterAnswer,
    BoundaryRowAnswer,
    InterimBody,
)
from heelwright_service.usecases import approve_test, enter_in_test, review_test, survey_vessel, test_files
from heelwright_service.usecases import reduce_stored_test as reduce_stored
from heelwright_service.usecases.enter_in_test import Entered
from heelwright_service.usecases.preconditions import Expected
from heelwright_service.usecases.reduce_test import Reduction

blueprint = Blueprint("test results", __name__, url_prefix="/v1", description="From the readings to the approval")

_TEST = "/tests/<id:test_id>"
_BOUNDARY = "/vessels/<id:vessel_id>/boundary-register"


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/result",
    role="planner",
    query=ReductionQuery(),
    answer=StoredResultAnswer(),
    status=201,
    refusals=(409, 412),
    stores=False,
)
def reduce_stored_test(test_id: str, query: dict[str, Any]) -> Pending:
    """Reduce a test; the result is preliminary until it is approved."""
    keep = reduce_stored.reduce_stored(work(), turns(), caller(), test_id, Reduction(**query))
    return Pending(lambda: Answer(keep(), location=f"/v1/tests/{test_id}/result"))


@endpoint(blueprint, "GET", f"{_TEST}/result", role="reader", answer=StoredResultAnswer())
def read_test_result(test_id: str) -> Answer:
    """Read the newest result, how it stands, and whether the record has changed since."""
    return Answer(reduce_stored.read_result(work(), caller(), test_id))


@endpoint(blueprint, "GET", f"{_TEST}/record", role="reader", answer=TestFileBody(), versioned=True, refusals=(422,))
def read_test_record(test_id: str) -> Answer:
    """Read the record of a test: put together from what was entered, or exactly as it was entered whole."""
    found = reduce_stored.read_record(work(), caller(), test_id)
    return Answer(found.document, found.version or None)


@endpoint(blueprint, "GET", f"{_TEST}/file", role="reader", answer=TestFileBody(), refusals=(422,))
def read_test_file(test_id: str) -> Answer:
    """Export the whole test as one file: its record, and beside it how it was planned, made, reviewed and approved."""
    return Answer(test_files.read_file(work(), caller(), test_id))


@endpoint(
    blueprint,
    "PUT",
    f"{_TEST}/record",
    role="planner",
    body=TestFileBody(),
    answer=TestFileBody(),
    versioned=True,
    creates=True,
    refusals=(409,),
)
def enter_test_record(test_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Enter a finished test whole, from paper or from the file of another installation."""
    found = reduce_stored.enter_record(work(), caller(), test_id, expected, body)
    return Answer(found.document, found.version, first=found.first)


@endpoint(blueprint, "GET", f"{_TEST}/review", role="reader", answer=ReviewAnswer())
def read_review(test_id: str) -> Answer:
    """Read the automatic review of the result, the answers, and what is still open."""
    return Answer(review_test.read_review(work(), caller(), test_id))


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/review/answers",
    role="planner",
    body=ReviewAnswerBody(),
    answer=entry_answer(ReviewAnswerBody)(),
    status=201,
    refusals=(409,),
    stores=False,
)
def answer_finding(test_id: str, body: dict[str, Any]) -> Pending:
    """Answer a finding of the review, by name."""
    keep = review_test.answer_finding(work(), caller(), test_id, Entered.of(body))
    return Pending(lambda: Answer(keep()))


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/interim-requests",
    role="planner",
    body=InterimBody(),
    answer=InterimAnswer(),
    status=201,
    refusals=(409,),
)
def ask_for_interim(test_id: str, body: dict[str, Any]) -> Answer:
    """Put together the request for an interim operating condition; it is no approval."""
    return Answer(review_test.ask_for_interim(work(), caller(), test_id, body))


@endpoint(
    blueprint, "GET", f"{_TEST}/interim-requests", role="reader", query=PageQuery(), answer=page_of(InterimAnswer)
)
def list_interim_requests(test_id: str, query: dict[str, Any]) -> Answer:
    """List the requests for an interim operating condition."""
    return Answer(enter_in_test.list_entries(work(), caller(), test_id, "interim-request", **query))


@endpoint(blueprint, "GET", f"{_TEST}/put-back", role="reader", answer=PutBackListAnswer())
def read_put_back(test_id: str) -> Answer:
    """List what has to be put back before the ship sails."""
    return Answer(review_test.read_put_back(work(), caller(), test_id))


@endpoint(
    blueprint,
    "PUT",
    f"{_TEST}/approval",
    role="approver",
    body=ApprovalBody(),
    answer=ApprovalAnswer(),
    versioned=True,
    refusals=(409,),
)
def approve_stored_test(test_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Approve a test; its lightship enters the vessel's history, and the test is frozen."""
    found = approve_test.approve(work(), caller(), test_id, expected, body)
    return Answer(found, found["test_version"])


@endpoint(blueprint, "GET", f"{_TEST}/approval", role="reader", answer=ApprovalAnswer())
def read_approval(test_id: str) -> Answer:
    """Read who approved a test, when, and which lightship it became."""
    return Answer(approve_test.read_approval(work(), caller(), test_id))


@endpoint(blueprint, "GET", "/actions", role="reader", query=ActionsQuery(), answer=page_of(ActionAnswer))
def list_actions(query: dict[str, Any]) -> Answer:
    """List what is to be done after failed or doubtful results."""
    wanted = {("open_only" if name == "open" else name): value for name, value in query.items()}
    return Answer(approve_test.list_actions(work(), caller(), **wanted))


@endpoint(blueprint, "GET", "/actions/<id:action_id>", role="reader", answer=ActionAnswer(), versioned=True)
def read_action(action_id: str) -> Answer:
    """Read one action."""
    found = approve_test.read_action(work(), caller(), action_id)
    return Answer(found, found["version"])


@endpoint(
    blueprint,
    "PUT",
    "/actions/<id:action_id>/closing",
    role="planner",
    body=ActionBody(),
    answer=ActionAnswer(),
    versioned=True,
    refusals=(409,),
)
def close_action(action_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Close an action with its evidence."""
    found = approve_test.close_action(work(), caller(), action_id, expected, body["evidence"])
    return Answer(found, found["version"])


@endpoint(blueprint, "POST", _BOUNDARY, role="planner", body=BoundaryBody(), answer=BoundaryRowAnswer(), status=201)
def decide_boundary(vessel_id: str, body: dict[str, Any]) -> Answer:
    """Record on which side of the lightship boundary a class of things lies."""
    return Answer(survey_vessel.decide_boundary(work(), caller(), vessel_id, body))


@endpoint(blueprint, "GET", _BOUNDARY, role="reader", query=BoundaryQuery(), answer=BoundaryRegisterAnswer())
def read_boundary(vessel_id: str, query: dict[str, Any]) -> Answer:
    """Read the lightship boundary register of a vessel."""
    return Answer(survey_vessel.read_boundary(work(), caller(), vessel_id, query["on"]))
