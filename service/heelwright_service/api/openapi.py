"""The glue to the OpenAPI document: problem documents for every error, and our fields' ranges in it."""

from __future__ import annotations

import http
import threading
from typing import Any

from flask import Flask, Response
from flask_smorest import Api, Blueprint
from flask_smorest.utils import prepare_response
from marshmallow import Schema, fields
from werkzeug.exceptions import HTTPException

from heelwright_service import __version__
from heelwright_service.api import fields as ours
from heelwright_service.api import problems
from heelwright_service.api.describing import describe
from heelwright_service.api.schemas.planning import WeightsCount

DESCRIPTION = (
    "Plans, reduces and remembers ships' inclining tests and lightweight surveys. SI units, named at the end of every "
    "field; x forward of the aft perpendicular, y to starboard, z up from the moulded baseline; heel to starboard and "
    "trim by the stern positive. Results support a licensed naval architect and defer to the flag Administration."
)


class ProblemError(Schema):
    """One field at fault."""

    pointer = fields.String(required=True, metadata={"description": "JSON Pointer (RFC 6901) into the request's body"})
    parameter = fields.String(metadata={"description": "name of the query parameter, where one is at fault"})
    message = fields.String(required=True, metadata={"description": "what is wrong and what is allowed"})


class Problem(Schema):
    """A problem document (RFC 9457)."""

    type = fields.String(required=True, metadata={"description": "the code as a URN"})
    title = fields.String(required=True, metadata={"description": "phrase of the status"})
    status = fields.Integer(required=True, metadata={"description": "HTTP status"})
    detail = fields.String(
        required=True, metadata={"description": "one sentence: what was wrong, what is allowed, how to mend it"}
    )
    code = fields.String(required=True, metadata={"description": "stable name of the problem, in kebab-case"})
    errors = fields.List(
        fields.Nested(ProblemError), required=True, metadata={"description": "each field at fault; may be empty"}
    )
    request_id = fields.String(
        required=True, metadata={"description": "number of the request, as in the header X-Request-ID"}
    )


class HeelwrightApi(Api):  # type: ignore[misc]  # the library is untyped
    """The OpenAPI glue with problem documents instead of its own errors."""

    ERROR_SCHEMA = Problem

    def __init__(self, app: Flask) -> None:
        self._undocumented: list[Blueprint] = []
        self._document = b""
        self._writing = threading.Lock()
        super().__init__(app)

    def _register_responses(self) -> None:
        """Document every error as a problem document; the library knows one content type for all responses."""
        for status in http.HTTPStatus:
            response: dict[str, Any] = {"description": status.phrase}
            if status >= 400:
                response["schema"] = self.ERROR_SCHEMA
            prepare_response(response, self.spec, problems.CONTENT_TYPE)
            self.spec.components.response(status.name, response, lazy=True)
        default = {"description": "Any other error", "schema": self.ERROR_SCHEMA}
        prepare_response(default, self.spec, problems.CONTENT_TYPE)
        self.spec.components.response("DEFAULT_ERROR", default, lazy=True)

    def register_blueprint(self, blp: Blueprint, **options: ours.Option) -> None:
        """Register the paths now; they are documented when the document is first asked for."""
        self._app.extensions["flask-smorest"]["blp_name_to_api"][blp.name] = self
        self._app.register_blueprint(blp, **options)
        self._undocumented.append(blp)

    def document(self) -> bytes:
        """Return the OpenAPI document as JSON.

        Returns
        -------
        bytes
            Made once, and the same ever after.
        """
        with self._writing:
            for blp in self._undocumented:
                blp.register_views_in_doc(self, self._app, self.spec, name=blp.name, parameters=None)
                self.spec.tag({"name": blp.name, "description": blp.description})
            if self._undocumented:
                self._undocumented.clear()
                document = self.spec.to_dict()
                _name_parameters(document)
                self._document = self._app.json.dumps(document).encode()
            return self._document

    def _openapi_json(self) -> Response:
        return Response(self.document(), content_type="application/json")

    def handle_http_exception(self, error: HTTPException) -> Response:
        """Answer an HTTP error with a problem document."""
        return problems.http_problem(error)


def make_api(app: Flask) -> HeelwrightApi:
    """Add the OpenAPI document to an application.

    Parameters
    ----------
    app : Flask
        The application.

    Returns
    -------
    HeelwrightApi
        To register blueprints with.
    """
    app.config.update(
        API_TITLE="Heelwright",
        API_VERSION=__version__,
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/v1",
        OPENAPI_JSON_PATH="openapi.json",
        API_SPEC_OPTIONS={"info": {"description": DESCRIPTION}, "servers": [{"url": "/"}]},
    )
    api = HeelwrightApi(app)
    api.spec.components.security_scheme("token", {"type": "http", "scheme": "bearer"})
    api.ma_plugin.converter.add_attribute_function(_documented)
    api.ma_plugin.converter.add_attribute_function(_described)
    return api


def _documented(self: object, field: fields.Field[Any], **rest: ours.Option) -> dict[str, Any]:
    """Write our fields' types and ranges as JSON Schema."""
    for kind, typed in _DESCRIPTIONS.items():
        if isinstance(field, kind):
            described: dict[str, Any] = typed(field)
            if field.allow_none and "type" in described:
                described["type"] = [described["type"], "null"]
            if field.allow_none and "enum" in described:
                described["enum"] = [*described["enum"], None]
            return described
    return {}


def _described(self: object, field: fields.Field[Any], **rest: ours.Option) -> dict[str, Any]:
    """Write what a field means."""
    text = describe(field)
    return {} if text is None else {"description": text}


def _name_parameters(document: dict[str, Any]) -> None:
    """Say what the identifiers in a path are of."""
    for operations in document["paths"].values():
        for parameter in operations.get("parameters", []):
            name = str(parameter["name"]).removesuffix("_id").replace("_", " ")
            parameter.setdefault("description", f"identifier of the {name}")


def _number(field: ours.Quantity | ours.Count) -> dict[str, Any]:
    low = "exclusiveMinimum" if field.above else "minimum"
    kind = "integer" if isinstance(field, ours.Count) else "number"
    return {"type": kind, low: field.low, "maximum": field.high}


def _text(field: ours.Text) -> dict[str, Any]:
    pattern = {} if field.blank else {"minLength": 1, "pattern": r"\S"}
    return {"type": "string", "maxLength": field.longest} | pattern


def _numbers(field: ours.Numbers) -> dict[str, Any]:
    number: dict[str, Any] = {"type": "number", "minimum": -field.limit, "maximum": field.limit}
    row = {"type": "array", "items": number, "minItems": field.width, "maxItems": field.width}
    items = row if field.width else number
    return {"type": "array", "items": items, "minItems": field.shortest, "maxItems": field.longest}


def _positions(field: ours.Positions) -> dict[str, Any]:
    number = {"type": "number", "minimum": -1000, "maximum": 1000}
    point = {"type": "array", "items": number, "minItems": 3, "maxItems": 3}
    names = {"minLength": 1, "maxLength": 100, "pattern": r"\S"}
    return {"type": "object", "additionalProperties": point, "propertyNames": names}


_WEIGHTS = {"type": "integer", "minimum": 2, "maximum": 6}

# The more special kinds stand before the kinds they are made from.
_DESCRIPTIONS: dict[type[fields.Field[Any]], Any] = {
    ours.Identifier: lambda field: {"type": "string", "pattern": "^[0-9a-z]{1,64}$"},
    ours.Text: _text,
    ours.Quantity: _number,
    ours.Count: _number,
    ours.Flag: lambda field: {"type": "boolean"},
    ours.Choice: lambda field: {"type": "string", "enum": list(field.words)},
    ours.Day: lambda field: {"type": "string", "format": "date"},
    ours.Moment: lambda field: {"type": "string", "format": "date-time"},
    ours.ImoNumber: lambda field: {"type": "string", "pattern": "^(IMO ?)?[0-9]{7}$"},
    ours.Numbers: _numbers,
    ours.Positions: _positions,
    WeightsCount: lambda field: {
        "oneOf": [_WEIGHTS, {"type": "array", "items": _WEIGHTS, "minItems": 1, "maxItems": 3}]
    },
}
