"""Follow a drift from lightships that came with the request; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.drift import DriftRequest, assess_drift
from heelwright_service.store.base import utc_now
from heelwright_service.usecases.computing import Turns


def follow_document(turns: Turns, request: Mapping[str, Any]) -> dict[str, Any]:
    """Compare the lightships in a request with the approved baseline in it.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    request : Mapping
        The drift request, of checked shape; ``as_of`` is today when it is left out.

    Returns
    -------
    dict
        The drift.

    Raises
    ------
    CoreError
        Naming the field whenever the history cannot be followed.
    """
    asked = from_document(DriftRequest, {**request, "as_of": request.get("as_of") or today()})
    with turns.turn():
        return cast(dict[str, Any], to_document(assess_drift(asked)))


def today() -> str:
    """Return today's date in UTC, ISO 8601."""
    return utc_now().date().isoformat()
