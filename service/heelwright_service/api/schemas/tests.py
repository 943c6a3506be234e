"""Stored tests: opening them, planning them, moving them from stage to stage, and what is answered."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields, validates_schema

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Choice, Count, Day, DayText, Identifier, Option, Text
from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.api.schemas.base import PageQuery, Strict, refuse
from heelwright_service.api.schemas.bodies import body_schema
from heelwright_service.api.schemas.hull import some
from heelwright_service.api.schemas.test_day import EntryAnswer
from heelwright_service.core.campaign.boundary import BoundaryDecision
from heelwright_service.core.campaign.dates import Milestone, Window
from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.planned_condition import PlannedCondition
from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.procedure import Procedure
from heelwright_service.core.campaign.readiness import Readiness
from heelwright_service.core.campaign.stages import STAGES, Missing
from heelwright_service.core.campaign.tank_answers import AnswerState, Effect
from heelwright_service.core.campaign.tank_document import TankAnswer, TankPlan
from heelwright_service.core.results import Check
from heelwright_service.store.tables.tests import TEST_KINDS

CheckAnswer = answer_schema(Check)
PlanOfTestBody = body_schema(TestPlan, "PlanOfTestBody")
TankPlanBody = body_schema(TankPlan)
TankAnswerBody = body_schema(TankAnswer)
MovesTo = tuple(stage for stage in STAGES if stage not in ("approved", "superseded"))


class TestBody(Strict):
    """A test to open; a finished one is opened with the origin entered-record and its source."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    vessel_id = Identifier(required=True)
    kind = Choice(*TEST_KINDS, required=True)
    origin = Choice("conducted", "entered-record")
    title = Text(200, allow_none=True)
    record_source = Text(
        2000, allow_none=True, metadata={"description": "which paper or file a record is entered from"}
    )
    supersedes = Identifier(allow_none=True, metadata={"description": "the approved test whose mistake this one mends"})


class TestsQuery(PageQuery):
    """Which tests to list."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    vessel_id = Identifier(load_default=None)
    stage = Choice(*STAGES, load_default=None)


class StageBody(Strict):
    """Where the test shall go; to postpone or abandon it needs a reason."""

    stage = Choice(*MovesTo, required=True)
    reason = Text(2000, allow_none=True)


class NextStageAnswer(Schema):
    """A stage that may follow, and what is missing for it."""

    stage = fields.String(required=True)
    missing = fields.List(fields.Nested(answer_schema(Missing)), required=True)


class TestRowAnswer(Schema):
    """A test as listed."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    id = fields.String(required=True)
    version = fields.Integer(required=True)
    vessel_id = fields.String(required=True)
    kind = fields.String(required=True)
    origin = fields.String(required=True)
    title = fields.String(required=True, allow_none=True)
    record_source = fields.String(required=True, allow_none=True)
    stage = fields.String(required=True)
    result_id = fields.String(required=True, allow_none=True)
    lightship_id = fields.String(required=True, allow_none=True)
    supersedes = fields.String(required=True, allow_none=True)
    created_at = fields.AwareDateTime(required=True)
    created_by = fields.String(required=True)
    updated_at = fields.AwareDateTime(required=True)


class ImportedAnswer(Schema):
    """Where an entered record came from; what it says of its own approval is a statement of the file, no more."""

    source = fields.String(required=True, allow_none=True)
    sha256 = fields.String(required=True)
    imported_at = fields.AwareDateTime(required=True)
    imported_by = fields.String(required=True)
    stage_there = fields.String(required=True, allow_none=True)
    approved_there_by = fields.String(required=True, allow_none=True)


class TestAnswer(TestRowAnswer):
    """A test with where it can go from here."""

    date = fields.String(required=True, allow_none=True)
    imported = fields.Nested(ImportedAnswer, required=True, allow_none=True)
    order = fields.String(required=True)
    pinned = fields.Dict(required=True, allow_none=True)
    next_stages = fields.List(fields.Nested(NextStageAnswer), required=True)
    open_actions = fields.List(fields.String(), required=True)


class VersionOfDocumentQuery(Strict):
    """Which version of a document of a test."""

    version = Count(1, 1_000_000, load_default=None)


class CalendarAnswer(Schema):
    """The dates counted back from the test, and the windows it fits in."""

    items = fields.List(fields.Nested(answer_schema(Milestone)), required=True)
    windows = fields.List(fields.Nested(answer_schema(Window)), required=True)
    needed_minutes = fields.Float(required=True)


ProcedureAnswer = type(
    "ProcedureAnswer",
    (answer_schema(Procedure, "ProcedureWithoutChecks"),),
    {"__doc__": "A procedure.", "checks": fields.List(fields.Nested(CheckAnswer), required=True)},
)


class TankPlanStandingAnswer(Schema):
    """What a tank plan comes to, what the ship answered, and what her refusals do."""

    condition = fields.Nested(answer_schema(PlannedCondition), required=True, allow_none=True)
    problem = fields.String(required=True, allow_none=True)
    checks = fields.List(fields.Nested(CheckAnswer), required=True)
    answers = fields.List(fields.Nested(answer_schema(AnswerState)), required=True)
    flagged = fields.List(fields.String(), required=True)
    effect = fields.Nested(answer_schema(Effect), required=True, allow_none=True)


class TankAnswerExtras(EntryAnswer):
    """What is told with an answer: what all the ship's offers do to the test."""

    effect = fields.Nested(answer_schema(Effect), required=True, allow_none=True)


class PreparationMarkBody(Strict):
    """What was done about an item of the work list."""

    key = Text(300, required=True)
    state = Choice("open", "done", "verified", "waived", required=True)
    done_by = Text(200, allow_none=True)
    remarks = Text(2000, allow_none=True)

    @validates_schema
    def _waived_with_reason(self, data: dict[str, Any], **rest: Option) -> None:
        refuse(
            data["state"] == "waived" and not data.get("remarks"), "remarks", "is required of a waived item: say why"
        )


class OwnItemBody(Strict):
    """An item of one's own for the work list."""

    what = Text(2000, required=True)
    why = Text(2000, required=True)
    verify = Text(2000, required=True)
    who = Text(200, required=True)
    due = DayText(allow_none=True)


class PreparationsAnswer(Schema):
    """The work list in its newest version."""

    version = fields.Integer(required=True)
    items = fields.List(fields.Nested(answer_schema(Preparation)), required=True)
    overdue = fields.List(fields.String(), required=True)
    not_needed = fields.List(fields.String(), required=True)


class ReadinessOfTestAnswer(Schema):
    """Can we start, can we leave."""

    start = fields.Nested(answer_schema(Readiness), required=True)
    leave = fields.Nested(answer_schema(Readiness), required=True)


class BoundaryBody(Strict):
    """On which side of the lightship boundary a class of things lies."""

    item_class = Text(200, required=True)
    counts = Choice("lightship", "load", required=True)
    decided_by = Text(200, required=True)
    decided_on = Day(required=True)
    quantity = Text(500, allow_none=True)
    reason = Text(2000, allow_none=True)


class BoundaryQuery(Strict):
    """On which day the register is asked for."""

    on = Day(load_default=None)


class BoundaryRowAnswer(Schema):
    """A decision on the boundary as recorded."""

    id = fields.String(required=True)
    item_class = fields.String(required=True)
    counts = fields.String(required=True)
    quantity = fields.String(required=True, allow_none=True)
    decided_by = fields.String(required=True)
    decided_on = fields.Date(required=True)
    reason = fields.String(required=True, allow_none=True)
    recorded_at = fields.AwareDateTime(required=True)
    recorded_by = fields.String(required=True)


class BoundaryRegisterAnswer(Schema):
    """The boundary register: every decision, and the one in force for each class."""

    items = fields.List(fields.Nested(BoundaryRowAnswer), required=True)
    in_force = fields.List(fields.Nested(answer_schema(BoundaryDecision)), required=True)
    next_cursor = fields.String(required=True, allow_none=True)


class ActionsQuery(PageQuery):
    """Which actions to list."""

    vessel_id = Identifier(load_default=None)
    open = fields.Boolean(load_default=False, metadata={"description": "only those not closed yet"})


class ActionAnswer(Schema):
    """What is to be done after a failed or doubtful result."""

    id = fields.String(required=True)
    version = fields.Integer(required=True)
    vessel_id = fields.String(required=True)
    test_id = fields.String(required=True)
    text = fields.String(required=True)
    owner = fields.String(required=True)
    due = fields.Date(required=True)
    opened_at = fields.AwareDateTime(required=True)
    opened_by = fields.String(required=True)
    closed_at = fields.AwareDateTime(required=True, allow_none=True)
    closed_by = fields.String(required=True, allow_none=True)
    evidence = fields.String(required=True, allow_none=True)


class ActionBody(Strict):
    """What shows that an action is done."""

    evidence = Text(2000, required=True)


class InterimBody(Strict):
    """What the ship will keep to until the result is approved."""

    limits: fields.List[Any] = fields.List(Text(500), required=True, validate=some(1, 50))
    expiry_days = Count(1, 365, allow_none=True)


class ApprovalBody(Strict):
    """Who approves, and what is said with it."""

    name = Text(200, required=True)
    authority = Text(200, allow_none=True)
    statement = Text(2000, allow_none=True)
    supersedes_lightship = Identifier(
        allow_none=True, metadata={"description": "a lightship of the same date and basis that this one replaces"}
    )
    reason = Text(2000, allow_none=True)


class TickBody(Strict):
    """A row of the advisory survey that is still there; its mass where that has changed."""

    mass_t = q.mass_t("mass now, where it has changed [t]", allow_none=True)
