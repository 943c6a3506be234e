"""A vessel: who she is, what she looks like, how her lightship has moved, what is due."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any

from flask import Blueprint, render_template

from heelwright_client.client import Client
from heelwright_client.errors import ConflictError, ForbiddenError, InvalidRequestError, NotFoundError
from heelwright_client.http import Document
from heelwright_client.web import access, preferences
from heelwright_client.web.drift_view import drift_view
from heelwright_client.web.hull_view import hull_drawings
from heelwright_client.web.pages.actions import open_actions
from heelwright_client.web.wording import Say, for_people

blueprint = Blueprint("vessel", __name__, url_prefix="/vessels")

_MOST_ENTRIES = 200


@blueprint.get("/<vessel_id>")
def show(vessel_id: str) -> str:
    """Show a vessel."""
    client = access.client()
    vessel = client.vessels.get(vessel_id).document
    say = Say(preferences.system())
    alterations = _first(client, vessel_id, "alterations")
    lightships = _first(client, vessel_id, "lightships")
    drift, problem = _drift(client, vessel_id)
    today = datetime.datetime.now(datetime.UTC).date().isoformat()
    hull = _part(client, vessel_id, "hull")
    return render_template(
        "vessel.html",
        vessel=vessel,
        facts=particulars(vessel, say),
        sister=_sister(client, vessel),
        lightships=lightships,
        alterations=[each for each in alterations if not each.get("corrected_by") and not each.get("withdrawn")],
        tanks=(_part(client, vessel_id, "tanks") or {}).get("tanks") or [],
        marks=(_part(client, vessel_id, "marks") or {}).get("marks") or [],
        problem=problem,
        actions=open_actions(client, vessel_id),
        tests=client.page("tests", vessel_id=vessel_id, limit=10).items,
        hull=hull,
        drawn=hull_drawings(vessel, hull, drift, alterations, say) if hull else None,
        **drift_view(vessel, drift, lightships, alterations, today, say),
    )


def particulars(vessel: Document, say: Say) -> list[tuple[str, str]]:
    """Write a vessel's particulars.

    Parameters
    ----------
    vessel : dict
        As the service gives it.
    say : Say
        The visitor's words.

    Returns
    -------
    list of (str, str)
        What is known of her, with its name.
    """
    lengths = (
        ("length between perpendiculars", "length_bp_m"),
        ("length by her rules", "length_m"),
        ("moulded breadth", "breadth_m"),
        ("moulded depth", "depth_m"),
    )
    texts = (("kind", "kind"), ("IMO number", "imo_number"), ("fleet", "fleet"), ("rule set", "rule_set"))
    found = [(words, str(vessel[name])) for words, name in texts if vessel.get(name)]
    return found + [(words, say.length(vessel[name], decimals=2)) for words, name in lengths if vessel.get(name)]


def _first(client: Client, vessel_id: str, what: str) -> list[Document]:
    """The history's first page; a longer one is exported, not read on a page."""
    return client.page(f"vessels/{vessel_id}/{what}", limit=_MOST_ENTRIES).items


def _part(client: Client, vessel_id: str, part: Any) -> Document | None:  # noqa: ANN401 (one of four names)
    return _or_none(lambda: client.vessels.part(vessel_id, part).document)


def _or_none(read: Callable[[], Document]) -> Document | None:
    try:
        return read()
    except NotFoundError:
        return None


def _sister(client: Client, vessel: Document) -> Document | None:
    """The lead ship, unless this token may not see her."""
    if not vessel.get("sister_of"):
        return None
    try:
        return client.vessels.get(vessel["sister_of"]).document
    except (NotFoundError, ForbiddenError):
        return None


def _drift(client: Client, vessel_id: str) -> tuple[Document | None, str]:
    """Her drift, or why it cannot be told."""
    try:
        return client.vessels.drift(vessel_id), ""
    except (ConflictError, InvalidRequestError) as error:
        return None, for_people(str(error))
