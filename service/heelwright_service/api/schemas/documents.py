"""Versions of a vessel's documents."""

from __future__ import annotations

from marshmallow import Schema, fields

from heelwright_service.api.fields import QueryCount
from heelwright_service.api.schemas.base import Strict, between


class VersionQuery(Strict):
    """Which version; the current one when left out."""

    version = QueryCount(load_default=None, validate=between(1, 2**31 - 1))


class VersionAnswer(Schema):
    """When and by whom a version was stored; the digest is of its canonical JSON."""

    version = fields.Integer(required=True)
    sha256 = fields.String(required=True)
    recorded_at = fields.AwareDateTime(required=True)
    recorded_by = fields.String(required=True)
