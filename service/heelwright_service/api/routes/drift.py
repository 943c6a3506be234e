"""/v1/vessels/{id}/drift and /v1/fleet/drift: how stored vessels have drifted from their approved lightships."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, rankings, turns, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.base import page_of
from heelwright_service.api.schemas.drift import DriftQuery, FleetDriftQuery
from heelwright_service.api.schemas.results import DriftAnswer, FleetDriftAnswer
from heelwright_service.usecases import follow_fleet as fleet
from heelwright_service.usecases.fleet_rankings import FleetQuestion
from heelwright_service.usecases.follow_drift import today

blueprint = Blueprint("drift", __name__, url_prefix="/v1", description="Lightship drift of stored vessels")


@endpoint(
    blueprint,
    "GET",
    "/vessels/<id:vessel_id>/drift",
    role="reader",
    query=DriftQuery(),
    answer=DriftAnswer(),
    refusals=(409,),
)
def follow_vessel(vessel_id: str, query: dict[str, Any]) -> Answer:
    """Compare a vessel's lightships and alterations with her latest approved inclining test."""
    return Answer(fleet.follow_vessel(work(), turns(), caller(), vessel_id, **query))


@endpoint(blueprint, "GET", "/fleet/drift", role="reader", query=FleetDriftQuery(), answer=page_of(FleetDriftAnswer))
def follow_fleet(query: dict[str, Any]) -> Answer:
    """Follow the drift of every vessel the token may see, the worst first; those that cannot be told come last."""
    asked = FleetQuestion(query["as_of"] or today(), query["fleet"], query["rule_set"])
    page = {"limit": query["limit"], "cursor": query["cursor"]}
    return Answer(fleet.follow_fleet(work(), turns(), rankings(), caller(), asked, **page))
