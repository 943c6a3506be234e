"""/v1/model-acceptance and /v1/vessels/{id}/model-acceptance: the model against what is approved."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, turns, work
from heelwright_service.api.endpoint import Answer, Pending, endpoint
from heelwright_service.api.schemas.base import PageQuery, page_of
from heelwright_service.api.schemas.model_acceptance import (
    AcceptanceAnswer,
    AcceptanceBody,
    StoredAcceptanceAnswer,
    StoredAcceptanceBody,
)
from heelwright_service.usecases import accept_model

blueprint = Blueprint("model acceptance", __name__, url_prefix="/v1", description="The model against what is approved")

_SHEETS = "/vessels/<id:vessel_id>/model-acceptance"


@endpoint(
    blueprint,
    "POST",
    "/model-acceptance",
    role="reader",
    body=AcceptanceBody(),
    answer=AcceptanceAnswer(),
    stores=False,
)
def compare_model(body: dict[str, Any]) -> Answer:
    """Compare a model that comes with the request with approved hydrostatics, capacity plan, marks and spaces."""
    return Answer(accept_model.compare_document(turns(), body))


@endpoint(
    blueprint,
    "POST",
    _SHEETS,
    role="planner",
    body=StoredAcceptanceBody(),
    answer=StoredAcceptanceAnswer(),
    status=201,
    stores=False,  # it computes long before it stores: no transaction is held open meanwhile
)
def store_acceptance_sheet(vessel_id: str, body: dict[str, Any]) -> Pending:
    """Compare a vessel's model as it stands now and keep the sheet; the newest sheet of a version counts."""
    keep = accept_model.store_sheet(work(), turns(), caller(), vessel_id, body)

    def store() -> Answer:
        found = keep()
        return Answer(found, location=f"/v1/vessels/{vessel_id}/model-acceptance/{found['id']}")

    return Pending(store)


@endpoint(blueprint, "GET", _SHEETS, role="reader", query=PageQuery(), answer=page_of(StoredAcceptanceAnswer))
def list_acceptance_sheets(vessel_id: str, query: dict[str, Any]) -> Answer:
    """List the acceptance sheets of a vessel's model, oldest first."""
    return Answer(accept_model.list_sheets(work(), caller(), vessel_id, **query))


@endpoint(blueprint, "GET", f"{_SHEETS}/<id:sheet_id>", role="reader", answer=StoredAcceptanceAnswer())
def read_acceptance_sheet(vessel_id: str, sheet_id: str) -> Answer:
    """Read an acceptance sheet, and whether it is of the model that stands now."""
    return Answer(accept_model.read_sheet(work(), caller(), vessel_id, sheet_id))
