"""/v1/sessions: sign in by name and password, and out again."""

from __future__ import annotations

from typing import Any

from flask import request
from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import OPEN, Answer, endpoint
from heelwright_service.api.schemas.sessions import SignInBody
from heelwright_service.api.schemas.tokens import IssuedToken
from heelwright_service.usecases import sessions

blueprint = Blueprint("sessions", __name__, url_prefix="/v1", description="Signing in by name and password")


@endpoint(
    blueprint,
    "POST",
    "/sessions",
    role=OPEN,
    body=SignInBody(),
    answer=IssuedToken(),
    status=201,
    refusals=(401, 429),
)
def sign_in(body: dict[str, Any]) -> Answer:
    """Sign in by name and password; the answer holds a token that is good for twelve hours."""
    address = request.remote_addr or ""
    return Answer(sessions.sign_in(work(), body["name"], body["password"], address), location="/v1/tokens/self")


@endpoint(blueprint, "DELETE", "/sessions/self", role="reader", status=204, refusals=(409,))
def sign_out() -> Answer:
    """Sign out: the session that asks ends."""
    sessions.sign_out(work(), caller())
    return Answer()
