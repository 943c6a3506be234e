"""/v1/tokens: issue, list and revoke tokens."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.base import PageQuery, page_of
from heelwright_service.api.schemas.tokens import IssuedToken, OwnTokenAnswer, TokenAnswer, TokenBody
from heelwright_service.usecases import access
from heelwright_service.usecases.preconditions import Expected

blueprint = Blueprint("tokens", __name__, url_prefix="/v1", description="Who may do what")


@endpoint(
    blueprint,
    "POST",
    "/tokens",
    role="admin",
    body=TokenBody(),
    answer=IssuedToken(),
    status=201,
    refusals=(404, 409),
    versioned=True,
    secret=True,
)
def issue_token(body: dict[str, Any]) -> Answer:
    """Issue a token; its text is shown in this answer alone."""
    token = access.issue_token(work(), caller().name, access.TokenWanted(**body), caller().scope)
    return Answer(token, token["version"], f"/v1/tokens/{token['id']}")


@endpoint(blueprint, "GET", "/tokens", role="admin", query=PageQuery(), answer=page_of(TokenAnswer))
def list_tokens(query: dict[str, Any]) -> Answer:
    """List the tokens, oldest first, without their texts."""
    return Answer(access.list_tokens(work(), caller().scope, **query))


@endpoint(blueprint, "GET", "/tokens/self", role="reader", answer=OwnTokenAnswer())
def read_own_token() -> Answer:
    """Read the facts of the token that asks: whose it is, its role, the vessels it sees, and what it may do."""
    return Answer(access.read_own_token(work(), caller()))


@endpoint(blueprint, "GET", "/tokens/<id:token_id>", role="admin", answer=TokenAnswer(), versioned=True)
def read_token(token_id: str) -> Answer:
    """Read a token's facts, without its text."""
    token = access.read_token(work(), caller().scope, token_id)
    return Answer(token, token["version"])


@endpoint(blueprint, "DELETE", "/tokens/<id:token_id>", role="admin", status=204, refusals=(409,), versioned=True)
def revoke_token(token_id: str, expected: Expected) -> Answer:
    """Revoke a token; it stays listed and is refused from now on."""
    access.revoke_token(work(), caller().name, caller().scope, token_id, expected)
    return Answer()
