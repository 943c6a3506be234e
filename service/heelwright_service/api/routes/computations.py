"""/v1/hydrostatics, /weight-plans and /drift: computations that store nothing."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import turns
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.drift import DriftBody
from heelwright_service.api.schemas.hydrostatics import HydrostaticsBody
from heelwright_service.api.schemas.planning import PlanBody
from heelwright_service.api.schemas.results import DriftAnswer, HydrostaticsAnswer, WeightPlanAnswer
from heelwright_service.usecases import compute_hydrostatics as use_hydrostatics
from heelwright_service.usecases import follow_drift as use_drift
from heelwright_service.usecases import plan_weights as use_planning

blueprint = Blueprint("computations", __name__, url_prefix="/v1", description="Computations that store nothing")


@endpoint(
    blueprint,
    "POST",
    "/hydrostatics",
    role="reader",
    body=HydrostaticsBody(),
    answer=HydrostaticsAnswer(),
    stores=False,
)
def compute_hydrostatics(body: dict[str, Any]) -> Answer:
    """Compute hydrostatics at planes of any draught, trim and heel, of a hull form or from a table."""
    return Answer(use_hydrostatics.compute_hydrostatics(turns(), body))


@endpoint(blueprint, "POST", "/weight-plans", role="reader", body=PlanBody(), answer=WeightPlanAnswer(), stores=False)
def plan_weights(body: dict[str, Any]) -> Answer:
    """Plan the weights of an inclining test; without a plan that keeps every limit, the nearest and what binds."""
    return Answer(use_planning.plan_weights(turns(), body))


@endpoint(blueprint, "POST", "/drift", role="reader", body=DriftBody(), answer=DriftAnswer(), stores=False)
def follow_drift(body: dict[str, Any]) -> Answer:
    """Compare lightships with the approved baseline: differences, verdicts, growth and due dates."""
    return Answer(use_drift.follow_document(turns(), body))
