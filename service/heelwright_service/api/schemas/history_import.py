"""A whole history in one request, and how much of it was stored."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields, validates_schema
from marshmallow.validate import Length

from heelwright_service.api.fields import Identifier, Option
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.api.schemas.history import AlterationBody, LightshipBody

MOST_ENTRIES = 20_000


class HistoryEntryBody(Strict):
    """One lightship or one alteration of a vessel."""

    vessel_id = Identifier(required=True)
    lightship = fields.Nested(LightshipBody, allow_none=True)
    alteration = fields.Nested(AlterationBody, allow_none=True)

    @validates_schema
    def _one_of_them(self, data: dict[str, Any], **rest: Option) -> None:
        given = [name for name in ("lightship", "alteration") if data.get(name) is not None]
        refuse(not given, "lightship", "is absent, and so is alteration: give one of them")
        refuse(len(given) > 1, "alteration", "stands beside lightship: give one of them an entry")


class HistoryImportBody(Strict):
    """Lightships and alterations of any number of vessels; all are stored, or none."""

    entries = fields.List(
        fields.Nested(HistoryEntryBody),
        required=True,
        validate=Length(1, MOST_ENTRIES, error=f"must hold from 1 to {MOST_ENTRIES} entries"),
    )


class HistoryImportAnswer(Schema):
    """How much was stored."""

    lightships = fields.Integer(required=True)
    alterations = fields.Integer(required=True)
