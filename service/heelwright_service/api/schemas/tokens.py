"""Tokens: what is wanted of one, and what is told of it."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields, validates_schema

from heelwright_service.api.fields import Choice, Identifier, Moment, Text
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.store.tables.access import ROLES


class TokenBody(Strict):
    """A token to issue; without fleet and vessels it sees all vessels."""

    name = Text(200, required=True, metadata={"description": "whose it is or what for; stands behind every entry"})
    role = Choice(*ROLES, required=True, metadata={"description": "each role may do what those before it may"})
    fleet = Text(200, allow_none=True, metadata={"description": "limits the token to this fleet"})
    vessel_ids: fields.List[str] = fields.List(
        Identifier(), allow_none=True, metadata={"description": "limits the token to these vessels"}
    )
    expires_at = Moment(allow_none=True)

    @validates_schema
    def _one_scope(self, data: dict[str, Any], **rest: Any) -> None:  # noqa: ANN401 (as the library calls it)
        both = data.get("fleet") is not None and data.get("vessel_ids") is not None
        refuse(both, "vessel_ids", "give a fleet or vessels, not both")
        refuse(data.get("vessel_ids") == [], "vessel_ids", "name at least one vessel, or leave it out for all")


class TokenAnswer(Schema):
    """A token's facts, without its text."""

    id = fields.String(required=True, metadata={"description": "identifier of the token"})
    version = fields.Integer(required=True, metadata={"description": "counts its changes; the ETag without its marks"})
    name = fields.String(required=True, metadata={"description": "whose it is or what for"})
    role = fields.String(required=True, metadata={"description": f"one of {', '.join(ROLES)}"})
    fleet = fields.String(
        required=True, allow_none=True, metadata={"description": "the fleet it is limited to; null where it is not"}
    )
    vessel_ids: fields.List[str] = fields.List(
        fields.String(),
        required=True,
        allow_none=True,
        metadata={"description": "identifiers of the vessels it is limited to; null where it is not"},
    )
    session = fields.Boolean(
        required=True, metadata={"description": "a person's session, from a sign-in by name and password"}
    )
    created_at = fields.AwareDateTime(required=True, metadata={"description": "when it was issued"})
    created_by = fields.String(required=True, metadata={"description": "who issued it"})
    expires_at = fields.AwareDateTime(
        required=True, allow_none=True, metadata={"description": "until when it is good; null for ever"}
    )
    revoked_at = fields.AwareDateTime(
        required=True, allow_none=True, metadata={"description": "when it was revoked; null where it was not"}
    )


class OwnTokenAnswer(TokenAnswer):
    """The token that asks, and what it may do."""

    may: fields.List[str] = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "what the role includes, of read, record, plan, approve and administer"},
    )


class IssuedToken(TokenAnswer):
    """A new token with its text, which is shown this once."""

    token = fields.String(required=True, metadata={"description": "its text, to be sent as Authorization: Bearer"})
