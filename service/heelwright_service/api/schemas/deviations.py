"""Departures from the procedure and their prices, and which survey items matter."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError, fields, validates_schema

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Count, Option
from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.api.schemas.bodies import body_schema
from heelwright_service.api.schemas.hull import some
from heelwright_service.api.schemas.planning import PlanBody
from heelwright_service.api.schemas.record import IncliningWeightBody, RecordVesselBody, StateBody
from heelwright_service.api.schemas.test_file import TestFileBody
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviations import DeviationAnswer
from heelwright_service.core.uncertainty.materiality import Materiality

Many = fields.List[Any]

DeviationBody = body_schema(Deviation)


class PricedPlanBody(PlanBody):
    """A weight-plan request; with weights and states that very plan is priced, without them the planner's choice."""

    inclining_weights: Many = fields.List(fields.Nested(IncliningWeightBody), validate=some(1, 100))
    states: Many = fields.List(fields.Nested(StateBody), validate=some(1, 1000))

    @validates_schema
    def _both_or_none(self, data: dict[str, Any], **rest: Option) -> None:
        lone = next((name for name in ("inclining_weights", "states") if data.get(name)), None)
        both = data.get("inclining_weights") and data.get("states")
        absent = "states" if lone == "inclining_weights" else "inclining_weights"
        refuse(lone is not None and not both, absent, "give inclining_weights and states together, or neither")


class DeviationsBody(Strict):
    """Departures to be priced on a record, or on a plan before the test."""

    record = fields.Nested(TestFileBody, allow_none=True)
    plan = fields.Nested(PricedPlanBody, allow_none=True)
    vessel = fields.Nested(RecordVesselBody, allow_none=True)
    deviations: Many = fields.List(fields.Nested(DeviationBody), required=True, validate=some(1, 200))

    @validates_schema
    def _no_state_named(self, data: dict[str, Any], **rest: Option) -> None:
        fault = {"states": ["must name a state, or be left out where all are meant"]}
        faults = {i: fault for i, each in enumerate(data.get("deviations", [])) if each.get("states") == []}
        if faults:
            raise ValidationError({"deviations": faults})

    @validates_schema
    def _one_model(self, data: dict[str, Any], **rest: Option) -> None:
        given = [name for name in ("record", "plan") if data.get(name) is not None]
        refuse(len(given) != 1, (given or ["record"])[-1], "give either record, or plan with vessel")
        refuse(given == ["record"] and data.get("vessel") is not None, "vessel", "the record has its own vessel")


class MaterialityBody(Strict):
    """What the test aims at (expanded, 95 %), from which the smallest item that matters follows."""

    target_vcg_uncertainty_m = q.length_m("expanded (95 %) uncertainty of VCG aimed at [m]", required=True)
    target_mass_uncertainty_t = q.mass_t("expanded (95 %) uncertainty of the mass aimed at [t]", allow_none=True)
    lightship_mass_t = q.mass_t("lightship mass [t]", required=True)
    unlisted_items = Count(1, 100_000, allow_none=True, metadata={"description": "items thought to stay unlisted"})


class DeviationKindAnswer(Schema):
    """A kind of departure and the sizes that it needs, and those that it may have."""

    kind = fields.String(required=True)
    text = fields.String(required=True)
    needs = fields.List(fields.String(), required=True)
    may = fields.List(fields.String(), required=True)
    inclining = fields.Boolean(required=True)


class DeviationKindsAnswer(Schema):
    """The kinds of departure that can be priced."""

    items = fields.List(fields.Nested(DeviationKindAnswer), required=True)


PricesAnswer = answer_schema(DeviationAnswer, "PricesAnswer")
MaterialityAnswer = answer_schema(Materiality, "MaterialityAnswer")
