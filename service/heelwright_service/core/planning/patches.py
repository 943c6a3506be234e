"""Two requests compared as documents: what a client has to send to ask for the second."""

from __future__ import annotations

from typing import Any

from heelwright_service.core.documents import to_document
from heelwright_service.core.planning.request import PlanRequest

_VESSEL = "vessel"


def patch(asked: PlanRequest, changed: PlanRequest) -> dict[str, Any]:
    """Say how one request becomes another.

    Parameters
    ----------
    asked, changed : PlanRequest
        The requests, of the same vessel.

    Returns
    -------
    dict
        A JSON Merge Patch (RFC 7396): whole lists, and null for what is left out; within objects such as the crane
        every field that differs.
    """
    before, after = (_plain(each) for each in (asked, changed))
    return {
        name: after.get(name) for name in sorted(before.keys() | after.keys()) if before.get(name) != after.get(name)
    }


def _plain(request: PlanRequest) -> dict[str, Any]:
    document: dict[str, Any] = to_document(request)
    return {
        name: _without_none(value) for name, value in document.items() if name != _VESSEL and value not in (None, [])
    }


def _without_none(value: Any) -> Any:  # noqa: ANN401 (any part of a document)
    if isinstance(value, dict):
        return {name: _without_none(item) for name, item in value.items() if item is not None}
    return [_without_none(item) for item in value] if isinstance(value, list | tuple) else value
