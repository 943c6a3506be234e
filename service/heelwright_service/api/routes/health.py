"""/healthz and /readyz: whether the process lives, and whether it can work."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from flask_smorest import Blueprint
from marshmallow import Schema, fields

from heelwright_service.api.context import service
from heelwright_service.usecases.watch import check_ready

View = Callable[[], dict[str, str]]

blueprint = Blueprint("health", __name__, description="Whether the service lives and can work")


class AliveAnswer(Schema):
    """The process answers."""

    status = fields.String(required=True, metadata={"description": "ok; anything else is no answer at all"})


class ReadyAnswer(AliveAnswer):
    """The service can work."""

    revision = fields.String(required=True, metadata={"description": "revision of the database's tables"})


def read_alive() -> dict[str, str]:
    """Say that the process answers."""
    return {"status": "ok"}


def read_ready() -> dict[str, str]:
    """Say whether the database is reached and at the right revision."""
    return {"status": "ok", "revision": check_ready(service().engine)}


def _open(path: str, view: View, answer: Schema, *refusals: int) -> None:
    """Document a path that asks for no token and takes any query, as probes send them."""
    documented: View = blueprint.response(200, answer)(view)
    for status in refusals:
        documented = blueprint.alt_response(status, HTTPStatus(status).name)(documented)
    documented = blueprint.doc(operationId=view.__name__, security=[])(documented)
    blueprint.route(path, methods=["GET"])(documented)


_open("/healthz", read_alive, AliveAnswer())
_open("/readyz", read_ready, ReadyAnswer(), HTTPStatus.SERVICE_UNAVAILABLE)
