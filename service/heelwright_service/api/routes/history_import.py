"""/v1/history: a whole history in one request, all or nothing."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.history_import import HistoryImportAnswer, HistoryImportBody
from heelwright_service.usecases.import_history import import_history

blueprint = Blueprint("history import", __name__, url_prefix="/v1", description="Whole histories at once")


@endpoint(
    blueprint,
    "POST",
    "/history",
    role="planner",
    body=HistoryImportBody(),
    answer=HistoryImportAnswer(),
    status=201,
    refusals=(404, 409),
)
def store_history(body: dict[str, Any]) -> Answer:
    """Store lightships and alterations of any number of vessels in one transaction: all of them, or none."""
    return Answer(import_history(work(), caller(), body["entries"]))
