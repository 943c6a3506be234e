"""What is answered about results of stored tests: the result, its review, the interim request, the approval."""

from __future__ import annotations

from marshmallow import Schema, fields

from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.api.schemas.results import TestResultAnswer
from heelwright_service.api.schemas.test_day import EntryAnswer
from heelwright_service.core.campaign.interim import PutBack
from heelwright_service.core.campaign.review_document import Answer
from heelwright_service.core.results import Check
from heelwright_service.core.rules import Verdict


class PreliminaryAnswer(Schema):
    """How a result stands against the assumed lightship and the rule set."""

    outcome = fields.String(required=True)
    marginal = fields.Boolean(required=True)
    text = fields.String(required=True)
    failed_checks = fields.List(fields.String(), required=True)
    verdicts = fields.List(fields.Nested(answer_schema(Verdict)), required=True)


class StoredResultAnswer(Schema):
    """A stored result: preliminary until the test is approved."""

    id = fields.String(required=True)
    status = fields.String(required=True)
    mark = fields.String(required=True)
    matches_record = fields.Boolean(required=True)
    supersedes = fields.String(required=True, allow_none=True)
    computed_by = fields.String(required=True)
    preliminary = fields.Nested(PreliminaryAnswer, required=True)
    result = fields.Nested(TestResultAnswer, required=True)


class ReviewAnswer(Schema):
    """The automatic review, the answers by name, and what is still open."""

    findings = fields.List(fields.Nested(answer_schema(Check)), required=True)
    answers = fields.List(fields.Nested(answer_schema(Answer, "AnswerToFinding")), required=True)
    open = fields.List(fields.String(), required=True)


class InterimAnswer(EntryAnswer):
    """A request for an interim operating condition; it is no approval."""

    mark = fields.String(required=True)
    vessel = fields.String(required=True)
    date = fields.String(required=True)
    result = fields.String(required=True)
    mass_t = fields.Float(required=True)
    lcg_m = fields.Float(required=True)
    vcg_m = fields.Float(required=True)
    vcg_allowance_m = fields.Float(required=True)
    vcg_origin = fields.String(required=True)
    limits = fields.List(fields.String(), required=True)
    expires = fields.String(required=True)


class PutBackListAnswer(Schema):
    """What has to be put back before sailing."""

    items = fields.List(fields.Nested(answer_schema(PutBack)), required=True)
    next_cursor = fields.String(required=True, allow_none=True)


class ApprovalAnswer(Schema):
    """Who approved a test, when, and which lightship it became."""

    test_id = fields.String(required=True)
    test_version = fields.Integer(required=True)
    stage = fields.String(required=True)
    name = fields.String(required=True)
    authority = fields.String(allow_none=True)
    statement = fields.String(allow_none=True)
    supersedes_lightship = fields.String(allow_none=True)
    reason = fields.String(allow_none=True)
    result = fields.String(required=True)
    lightship = fields.String(required=True)
    approved_at = fields.AwareDateTime(required=True)
    approved_by = fields.String(required=True)
