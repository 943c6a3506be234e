"""The answers of reductions, plans and drifts."""

from __future__ import annotations

from marshmallow import Schema, fields

from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.core.drift import Drift
from heelwright_service.core.hydrostatics_answer import HydrostaticsAnswer as Hydrostatics
from heelwright_service.core.planning import WeightPlan
from heelwright_service.core.test_result import TestResult
from heelwright_service.core.uncertainty.levers import LeverAnswer


class ProvenanceAnswer(Schema):
    """Where a result comes from; the digest is of the record's canonical JSON."""

    service_version = fields.String(required=True)
    method_version = fields.String(required=True)
    rule_set = fields.String(required=True, allow_none=True)
    record_sha256 = fields.String(required=True)
    computed_at = fields.AwareDateTime(required=True)


TestResultAnswer = type(
    "TestResultAnswer",
    (answer_schema(TestResult, "TestResultWithoutProvenance"),),
    {"__doc__": "A test result.", "provenance": fields.Nested(ProvenanceAnswer, required=True)},
)
DriftAnswer = answer_schema(Drift)
WeightPlanAnswer = type(
    "WeightPlanAnswer",
    (answer_schema(WeightPlan, "WeightPlanWithoutLevers"),),
    {"__doc__": "A weight plan.", "levers": fields.Nested(answer_schema(LeverAnswer), required=True, allow_none=True)},
)
HydrostaticsAnswer = answer_schema(Hydrostatics, "HydrostaticsAnswer")


class FleetVesselAnswer(Schema):
    """Who a vessel is."""

    id = fields.String(required=True)
    name = fields.String(required=True)
    imo_number = fields.String(required=True, allow_none=True)
    kind = fields.String(required=True, allow_none=True)
    fleet = fields.String(required=True, allow_none=True)


class FleetProblemAnswer(Schema):
    """Why a vessel's drift cannot be told."""

    code = fields.String(required=True)
    detail = fields.String(required=True)
    pointer = fields.String(required=True)


class FleetDriftAnswer(Schema):
    """A vessel's drift summed up in one action and one probability; null with a problem where it cannot be told."""

    vessel = fields.Nested(FleetVesselAnswer, required=True)
    action = fields.String(required=True, allow_none=True)
    action_force = fields.String(
        required=True,
        allow_none=True,
        metadata={
            "description": "binding, advisory (a rule from weak memory), yardstick (SOLAS 2020's limits, where the "
            "rule set has none) or none"
        },
    )
    action_reason = fields.String(required=True, allow_none=True, metadata={"description": "why, with the rule"})
    probability_exceeded = fields.Float(required=True, allow_none=True)
    drift = fields.Nested(DriftAnswer, required=True, allow_none=True)
    problem = fields.Nested(FleetProblemAnswer, required=True, allow_none=True)
