"""The event feed in the JSON form of CloudEvents 1.0."""

from __future__ import annotations

from marshmallow import Schema, fields

from heelwright_service.api.fields import QueryCount, Text
from heelwright_service.api.schemas.base import Strict, between


class EventQuery(Strict):
    """From where on, and how many."""

    after = QueryCount(
        load_default=0,
        validate=between(0, 2**31 - 1),
        metadata={"description": "the last sequence you have; 0 for the beginning"},
    )
    limit = QueryCount(load_default=100, validate=between(1, 1000))
    cursor = Text(500, load_default=None, metadata={"description": "next_cursor of the page before; overrides after"})


class EventAnswer(Schema):
    """An event; ``sequence`` rises by one from event to event."""

    specversion = fields.String(required=True)
    id = fields.String(required=True)
    source = fields.String(required=True)
    type = fields.String(required=True)
    subject = fields.String(required=True)
    time = fields.AwareDateTime(required=True)
    datacontenttype = fields.String(required=True)
    sequence = fields.Integer(required=True)
    actor = fields.String(required=True)
    data = fields.Dict(required=True)
