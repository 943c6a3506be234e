"""/healthz and /readyz: whether the process lives, and whether it can work."""

from __future__ import annotations

from flask import Blueprint, jsonify
from flask.typing import ResponseReturnValue

from heelwright_service.api.context import service
from heelwright_service.usecases.watch import check_ready

blueprint = Blueprint("health", __name__)


@blueprint.get("/healthz")
def alive() -> ResponseReturnValue:
    """Say that the process answers."""
    return jsonify({"status": "ok"})


@blueprint.get("/readyz")
def ready() -> ResponseReturnValue:
    """Say whether the database is reached and at the right revision."""
    return jsonify({"status": "ok", "revision": check_ready(service().engine)})
