"""What a vessel's history and log let one expect of a test: her lightship, and whether she has to be inclined."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.review_document import Expectation
from heelwright_service.core.documents import from_document
from heelwright_service.core.drift import Alteration, DriftRequest, LightshipRecord, assess_drift, standing_of
from heelwright_service.core.drift.alteration_log import calculate
from heelwright_service.core.drift.default_uncertainties import with_standard
from heelwright_service.core.errors import CoreError
from heelwright_service.store.tables import Vessel
from heelwright_service.usecases.follow_fleet import drift_requests


def expected_of_log(session: Session, vessel: Vessel, record: Mapping[str, Any], day: str) -> Expectation | None:
    """Return the approved lightship of a record brought up to the day of the test by the vessel's log.

    Parameters
    ----------
    session : Session
        An open session.
    vessel : Vessel
        The vessel.
    record : Mapping
        The test record; its ``approved_lightship`` is where the log starts from.
    day : str
        The day of the test, ISO 8601; what was logged later does not count.

    Returns
    -------
    Expectation or None
        None without an approved lightship, or where the log would leave nothing of it.
    """
    approved = record["vessel"].get("approved_lightship")
    if approved is None:
        return None
    request = drift_requests(session, [vessel], None, day)[vessel.id]
    length_m = record["vessel"].get("length_m") or record["vessel"]["length_bp_m"]
    baseline = with_standard(from_document(LightshipRecord, _baseline(approved, request)), length_m)
    since = approved.get("date")
    rows = [each for each in request["alterations"] if since is not None and since < each["date"] <= day]
    try:
        found = calculate(baseline, [from_document(Alteration, each) for each in rows], day).lightship
    except CoreError:
        return None
    return Expectation(
        found.mass_t,
        found.lcg_m,
        found.standard.lcg_m or 0.0,
        found.vcg_m,
        found.standard.mass_t or 0.0,
        len(rows),
    )


def why_inclining_is_called_for(request: Mapping[str, Any]) -> str | None:
    """Return why the drift of a vessel calls for an inclining, or None where it does not or is not known.

    Parameters
    ----------
    request : Mapping
        Her drift request.

    Returns
    -------
    str or None
        One sentence with the rule, what was found and the limit; what only advises calls for nothing.
    """
    if any(request["vessel"].get(name) is None for name in ("kind", "length_m")):
        return None
    try:
        drift = assess_drift(from_document(DriftRequest, request))
    except CoreError:
        return None
    standing = standing_of(drift)
    if standing.action != "re-incline" or standing.action_force != "binding":
        return None
    return standing.action_reason.rstrip(".")


def _baseline(approved: Mapping[str, Any], request: Mapping[str, Any]) -> dict[str, Any]:
    """The approved lightship with the basis and the uncertainties that the vessel's history has for it."""
    same = ("date", "mass_t")
    known = next(
        (row for row in request["lightships"] if all(row[name] == approved.get(name) for name in same)),
        {"basis": "inclining-test", "uncertainties": None},
    )
    facts = {name: approved.get(name) for name in ("mass_t", "lcg_m", "tcg_m", "vcg_m")}
    return {
        **facts,
        "date": approved.get("date") or "1800-01-01",
        "basis": known["basis"],
        "approved": True,
        "uncertainties": known["uncertainties"],
    }
