"""/v1/tests: open a test, plan it, prepare the ship, and move it from stage to stage."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, Pending, endpoint
from heelwright_service.api.schemas.base import page_of
from heelwright_service.api.schemas.test_day import entry_answer
from heelwright_service.api.schemas.tests import (
    CalendarAnswer,
    OwnItemBody,
    PlanOfTestBody,
    PreparationMarkBody,
    PreparationsAnswer,
    ProcedureAnswer,
    StageBody,
    TankAnswerBody,
    TankAnswerExtras,
    TankPlanBody,
    TankPlanStandingAnswer,
    TestAnswer,
    TestBody,
    TestRowAnswer,
    TestsQuery,
    VersionOfDocumentQuery,
)
from heelwright_service.usecases import advance_test, answer_tank_plan, plan_test, prepare_vessel, test_documents
from heelwright_service.usecases.follow_drift import today
from heelwright_service.usecases.preconditions import Expected

blueprint = Blueprint("tests", __name__, url_prefix="/v1", description="Inclining tests and lightweight surveys")

_TEST = "/tests/<id:test_id>"


@endpoint(
    blueprint, "POST", "/tests", role="planner", body=TestBody(), answer=TestAnswer(), status=201, refusals=(409,)
)
def open_test(body: dict[str, Any]) -> Answer:
    """Open an inclining test or lightweight survey of a vessel."""
    facts = {name: value for name, value in body.items() if name != "vessel_id"}
    found = plan_test.open_test(work(), caller(), body["vessel_id"], facts)
    return Answer(found, found["version"], f"/v1/tests/{found['id']}")


@endpoint(blueprint, "GET", "/tests", role="reader", query=TestsQuery(), answer=page_of(TestRowAnswer))
def list_tests(query: dict[str, Any]) -> Answer:
    """List tests in the order of their opening, of one vessel or stage where asked."""
    return Answer(plan_test.list_tests(work(), caller(), **query))


@endpoint(blueprint, "GET", _TEST, role="reader", answer=TestAnswer(), versioned=True, derives=True)
def read_test(test_id: str) -> Answer:
    """Read a test: its stage, where it can go from here, and what is missing for that."""
    found = plan_test.read_test(work(), caller(), test_id)
    return Answer(found, found["version"])


@endpoint(blueprint, "PUT", f"{_TEST}/stage", role="planner", body=StageBody(), answer=TestAnswer(), versioned=True)
def move_to_stage(test_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Move a test to another stage; what is missing for it is named."""
    found = advance_test.move_to_stage(work(), caller(), test_id, expected, body["stage"], body.get("reason"))
    return Answer(found, found["version"])


@endpoint(blueprint, "PUT", f"{_TEST}/pins", role="planner", answer=TestAnswer(), versioned=True, refusals=(409,))
def pin_again(test_id: str, expected: Expected) -> Answer:
    """Take the vessel's current hull, table, marks, tanks and approved lightship for the test."""
    found = advance_test.pin_again(work(), caller(), test_id, expected)
    return Answer(found, found["version"])


@endpoint(
    blueprint,
    "GET",
    f"{_TEST}/plan",
    role="reader",
    query=VersionOfDocumentQuery(),
    answer=PlanOfTestBody(),
    versioned=True,
)
def read_plan_of_test(test_id: str, query: dict[str, Any]) -> Answer:
    """Read a test's plan, the current version or a named one."""
    found = test_documents.read_document(work(), caller(), test_id, "plan", query["version"])
    return Answer(found.document, found.version)


@endpoint(
    blueprint,
    "PUT",
    f"{_TEST}/plan",
    role="planner",
    body=PlanOfTestBody(),
    answer=PlanOfTestBody(),
    versioned=True,
    creates=True,
    refusals=(409,),
)
def store_plan_of_test(test_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Store a new version of a test's plan; the first needs no If-Match."""
    found = plan_test.store_plan(work(), caller(), test_id, expected, body)
    return Answer(found.document, found.version, first=found.first)


@endpoint(blueprint, "GET", f"{_TEST}/calendar", role="reader", answer=CalendarAnswer(), refusals=(422,))
def read_calendar(test_id: str) -> Answer:
    """Read the dates counted back from the day of the test, and the windows it fits in."""
    return Answer(plan_test.read_calendar(work(), caller(), test_id, today()))


@endpoint(blueprint, "GET", f"{_TEST}/procedure", role="reader", answer=ProcedureAnswer())
def read_procedure(test_id: str) -> Answer:
    """Read the procedure as data, with what reviewers would send it back for."""
    return Answer(plan_test.read_procedure(work(), caller(), test_id, today()))


@endpoint(
    blueprint,
    "GET",
    f"{_TEST}/tank-plan",
    role="reader",
    query=VersionOfDocumentQuery(),
    answer=TankPlanBody(),
    versioned=True,
)
def read_tank_plan(test_id: str, query: dict[str, Any]) -> Answer:
    """Read a test's tank plan, the current version or a named one."""
    found = test_documents.read_document(work(), caller(), test_id, "tank-plan", query["version"])
    return Answer(found.document, found.version)


@endpoint(
    blueprint,
    "PUT",
    f"{_TEST}/tank-plan",
    role="planner",
    body=TankPlanBody(),
    answer=TankPlanBody(),
    versioned=True,
    creates=True,
    refusals=(409,),
)
def store_tank_plan(test_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Store a new version of a test's tank plan; a work list that was generated follows it."""
    found = answer_tank_plan.store_tank_plan(work(), caller(), test_id, expected, body)
    return Answer(found.document, found.version, first=found.first)


@endpoint(blueprint, "GET", f"{_TEST}/tank-plan/standing", role="reader", answer=TankPlanStandingAnswer())
def read_tank_plan_standing(test_id: str) -> Answer:
    """Read what a tank plan comes to: condition, checks, the ship's answers, and what her refusals do."""
    return Answer(answer_tank_plan.read_tank_plan(work(), caller(), test_id, today()))


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/tank-plan/answers",
    role="recorder",
    body=TankAnswerBody(),
    answer=entry_answer(TankAnswerBody, TankAnswerExtras)(),
    status=201,
    refusals=(409,),
)
def answer_tank(test_id: str, body: dict[str, Any]) -> Answer:
    """Answer the plan for one tank: agreed, or cannot with the reason and what can be offered instead."""
    found = answer_tank_plan.answer_tank(work(), caller(), test_id, body)
    return Answer(found, location=f"/v1/tests/{test_id}/tank-plan/answers/{found['entry_id']}")


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/tank-plan/replan",
    role="planner",
    answer=TankPlanBody(),
    refusals=(409,),
    stores=False,
)
def plan_tanks_again(test_id: str) -> Pending:
    """Take the ship's offers into the tank plan; the work list follows."""
    keep = answer_tank_plan.plan_again(work(), caller(), test_id)

    def store() -> Answer:
        found = keep()
        return Answer(found.document, found.version)

    return Pending(store)


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/preparations",
    role="planner",
    answer=PreparationsAnswer(),
    refusals=(409,),
    stores=False,
)
def generate_preparations(test_id: str) -> Pending:
    """Generate the ship's work list, or bring it into step with the plans; ticks stay."""
    keep = prepare_vessel.generate(work(), caller(), test_id, today())

    def store() -> Answer:
        found = keep()
        return Answer(found, found["version"])

    return Pending(store)


@endpoint(
    blueprint,
    "GET",
    f"{_TEST}/preparations",
    role="reader",
    answer=PreparationsAnswer(),
    versioned=True,
    derives=True,
)
def read_preparations(test_id: str) -> Answer:
    """Read the ship's work list, what is overdue, and what is not needed."""
    found = prepare_vessel.read_list(work(), caller(), test_id, today())
    return Answer(found, found["version"])


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/preparations/marks",
    role="recorder",
    body=PreparationMarkBody(),
    answer=PreparationsAnswer(),
    refusals=(409,),
)
def mark_preparation(test_id: str, body: dict[str, Any]) -> Answer:
    """Tick, verify, waive, reopen or remark on an item of the work list."""
    found = prepare_vessel.mark(work(), caller(), test_id, body, today())
    return Answer(found, found["version"])


@endpoint(
    blueprint,
    "POST",
    f"{_TEST}/preparations/items",
    role="recorder",
    body=OwnItemBody(),
    answer=PreparationsAnswer(),
    status=201,
    refusals=(409,),
)
def add_preparation(test_id: str, body: dict[str, Any]) -> Answer:
    """Add an item of one's own to the work list."""
    found = prepare_vessel.add_item(work(), caller(), test_id, body, today())
    return Answer(found, found["version"])
