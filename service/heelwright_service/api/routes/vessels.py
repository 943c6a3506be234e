"""/v1/vessels: enter, find, change and remove vessels."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.base import page_of
from heelwright_service.api.schemas.vessels import VesselAnswer, VesselBody, VesselChanges, VesselQuery
from heelwright_service.usecases import keep_vessels
from heelwright_service.usecases.preconditions import Expected

blueprint = Blueprint("vessels", __name__, url_prefix="/v1", description="Vessels and their particulars")


@endpoint(
    blueprint,
    "POST",
    "/vessels",
    role="planner",
    body=VesselBody(),
    answer=VesselAnswer(),
    status=201,
    refusals=(409,),
    versioned=True,
)
def enter_vessel(body: dict[str, Any]) -> Answer:
    """Enter a vessel."""
    vessel = keep_vessels.enter_vessel(work(), caller(), body)
    return Answer(vessel, vessel["version"], f"/v1/vessels/{vessel['id']}")


@endpoint(blueprint, "GET", "/vessels", role="reader", query=VesselQuery(), answer=page_of(VesselAnswer))
def list_vessels(query: dict[str, Any]) -> Answer:
    """List the vessels that the token may see, oldest entry first."""
    return Answer(keep_vessels.list_vessels(work(), caller(), **query))


@endpoint(blueprint, "GET", "/vessels/<id:vessel_id>", role="reader", answer=VesselAnswer(), versioned=True)
def read_vessel(vessel_id: str) -> Answer:
    """Read a vessel."""
    vessel = keep_vessels.read_vessel(work(), caller(), vessel_id)
    return Answer(vessel, vessel["version"])


@endpoint(
    blueprint,
    "PUT",
    "/vessels/<id:vessel_id>",
    role="planner",
    body=VesselBody(),
    answer=VesselAnswer(),
    refusals=(409,),
    versioned=True,
)
def replace_vessel(vessel_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Replace a vessel's particulars; those left out become unknown."""
    vessel = keep_vessels.replace_vessel(work(), caller(), vessel_id, expected, body)
    return Answer(vessel, vessel["version"])


@endpoint(
    blueprint,
    "PATCH",
    "/vessels/<id:vessel_id>",
    role="planner",
    body=VesselChanges(),
    answer=VesselAnswer(),
    refusals=(409,),
    versioned=True,
)
def change_vessel(vessel_id: str, body: dict[str, Any], expected: Expected) -> Answer:
    """Change some of a vessel's particulars; null makes one unknown (RFC 7396)."""
    vessel = keep_vessels.change_vessel(work(), caller(), vessel_id, expected, body)
    return Answer(vessel, vessel["version"])


@endpoint(blueprint, "DELETE", "/vessels/<id:vessel_id>", role="admin", status=204, refusals=(409,), versioned=True)
def remove_vessel(vessel_id: str, expected: Expected) -> Answer:
    """Remove a vessel entered by mistake, as long as nothing has been recorded of her."""
    keep_vessels.remove_vessel(work(), caller(), vessel_id, expected)
    return Answer()
