"""/v1/vessels/{id}/hull, /hydrostatic-table, /marks, /tanks: versioned documents that describe a vessel."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint
from marshmallow import Schema

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.base import page_of
from heelwright_service.api.schemas.documents import VersionAnswer, VersionQuery
from heelwright_service.api.schemas.hull import HullBody, MarksBody, TableBody, TanksBody
from heelwright_service.usecases import describe_vessel
from heelwright_service.usecases.preconditions import Expected

blueprint = Blueprint(
    "vessel documents", __name__, url_prefix="/v1", description="What a vessel looks like, in versions"
)

_BODIES: dict[str, type[Schema]] = {
    "hull": HullBody,
    "hydrostatic-table": TableBody,
    "marks": MarksBody,
    "tanks": TanksBody,
}


def _add(kind: str, body: type[Schema]) -> None:
    path, name = f"/vessels/<id:vessel_id>/{kind}", kind.replace("-", "_")

    def read(vessel_id: str, query: dict[str, Any]) -> Answer:
        stored = describe_vessel.read_document(work(), caller(), vessel_id, kind, query["version"])
        return Answer(stored.document, stored.version)

    def store(vessel_id: str, body: dict[str, Any], expected: Expected) -> Answer:
        stored = describe_vessel.store_document(work(), caller(), vessel_id, kind, expected, body)
        return Answer(stored.document, stored.version, first=stored.first)

    def list_versions(vessel_id: str) -> Answer:
        return Answer({"items": describe_vessel.list_versions(work(), caller(), vessel_id, kind), "next_cursor": None})

    words = kind.replace("-", " ")
    read.__name__, read.__doc__ = f"read_{name}", f"Read a vessel's {words}, the current version or a named one."
    store.__name__, store.__doc__ = (
        f"store_{name}",
        f"Store a new version of a vessel's {words}; the first needs no If-Match.",
    )
    list_versions.__name__ = f"list_{name}_versions"
    list_versions.__doc__ = f"List the versions of a vessel's {words}, oldest first."
    endpoint(blueprint, "GET", path, role="reader", query=VersionQuery(), answer=body(), versioned=True)(read)
    endpoint(blueprint, "PUT", path, role="planner", body=body(), answer=body(), versioned=True, creates=True)(store)
    endpoint(blueprint, "GET", f"{path}/versions", role="reader", answer=page_of(VersionAnswer))(list_versions)


for _kind, _body in _BODIES.items():
    _add(_kind, _body)
