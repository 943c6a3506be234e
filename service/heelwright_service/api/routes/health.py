"""/healthz and /readyz: whether the process lives, and whether it can work."""

from __future__ import annotations

from flask_smorest import Blueprint
from marshmallow import Schema, fields

from heelwright_service.api.context import service
from heelwright_service.usecases.watch import check_ready

blueprint = Blueprint("health", __name__, description="Whether the service lives and can work")


class AliveAnswer(Schema):
    """The process answers."""

    status = fields.String(required=True, metadata={"description": "ok; anything else is no answer at all"})


class ReadyAnswer(AliveAnswer):
    """The service can work."""

    revision = fields.String(required=True, metadata={"description": "revision of the database's tables"})


@blueprint.route("/healthz", methods=["GET"])
@blueprint.doc(operationId="read_alive", security=[])
@blueprint.response(200, AliveAnswer)
def alive() -> dict[str, str]:
    """Say that the process answers."""
    return {"status": "ok"}


@blueprint.route("/readyz", methods=["GET"])
@blueprint.doc(operationId="read_ready", security=[])
@blueprint.alt_response(503, "SERVICE_UNAVAILABLE")
@blueprint.response(200, ReadyAnswer)
def ready() -> dict[str, str]:
    """Say whether the database is reached and at the right revision."""
    return {"status": "ok", "revision": check_ready(service().engine)}
