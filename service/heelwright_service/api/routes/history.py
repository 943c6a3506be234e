"""/v1/vessels/{id}/lightships and /alterations: a vessel's history, written once and corrected by name."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.base import PageQuery, page_of
from heelwright_service.api.schemas.history import AlterationAnswer, AlterationBody, LightshipAnswer, LightshipBody
from heelwright_service.usecases import record_history

blueprint = Blueprint("history", __name__, url_prefix="/v1", description="Lightships and the alterations between them")

_LIGHTSHIPS = "/vessels/<id:vessel_id>/lightships"
_ALTERATIONS = "/vessels/<id:vessel_id>/alterations"


@endpoint(
    blueprint,
    "POST",
    _LIGHTSHIPS,
    role="planner",
    body=LightshipBody(),
    answer=LightshipAnswer(),
    status=201,
    refusals=(409,),
)
def record_lightship(vessel_id: str, body: dict[str, Any]) -> Answer:
    """Record a lightship; an approved one needs an approver, two of one date and basis need supersedes."""
    found = record_history.record_lightship(work(), caller(), vessel_id, body)
    return Answer(found, location=f"/v1/vessels/{vessel_id}/lightships/{found['id']}")


@endpoint(blueprint, "GET", _LIGHTSHIPS, role="reader", query=PageQuery(), answer=page_of(LightshipAnswer))
def list_lightships(vessel_id: str, query: dict[str, Any]) -> Answer:
    """List a vessel's lightships by date, superseded ones included."""
    return Answer(record_history.list_lightships(work(), caller(), vessel_id, **query))


@endpoint(blueprint, "GET", f"{_LIGHTSHIPS}/<id:lightship_id>", role="reader", answer=LightshipAnswer())
def read_lightship(vessel_id: str, lightship_id: str) -> Answer:
    """Read a lightship, and what supersedes it."""
    return Answer(record_history.read_lightship(work(), caller(), vessel_id, lightship_id))


@endpoint(
    blueprint,
    "POST",
    _ALTERATIONS,
    role="recorder",
    body=AlterationBody(),
    answer=AlterationAnswer(),
    status=201,
    refusals=(409,),
)
def record_alteration(vessel_id: str, body: dict[str, Any]) -> Answer:
    """Record an alteration; a correction names the entry it replaces and the reason."""
    found = record_history.record_alteration(work(), caller(), vessel_id, body)
    return Answer(found, location=f"/v1/vessels/{vessel_id}/alterations/{found['id']}")


@endpoint(blueprint, "GET", _ALTERATIONS, role="reader", query=PageQuery(), answer=page_of(AlterationAnswer))
def list_alterations(vessel_id: str, query: dict[str, Any]) -> Answer:
    """List a vessel's alterations by date, corrected ones included."""
    return Answer(record_history.list_alterations(work(), caller(), vessel_id, **query))


@endpoint(blueprint, "GET", f"{_ALTERATIONS}/<id:alteration_id>", role="reader", answer=AlterationAnswer())
def read_alteration(vessel_id: str, alteration_id: str) -> Answer:
    """Read an alteration, and what corrects it."""
    return Answer(record_history.read_alteration(work(), caller(), vessel_id, alteration_id))
