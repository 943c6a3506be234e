"""The tested lightships of lead ships, for sisters whose inclining was waived."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.queries import history, vessels
from heelwright_service.store.queries.vessels import Scope
from heelwright_service.store.tables import Lightship, Vessel


def leads_of(session: Session, chosen: Sequence[Vessel], as_of: str, scope: Scope) -> dict[str, dict[str, Any]]:
    """Return the lead ship's last approved inclining test of each vessel that is a sister of one.

    Parameters
    ----------
    session : Session
        An open session.
    chosen : sequence of Vessel
        The vessels.
    as_of : str
        The day of the question, ISO 8601.
    scope : Scope
        What the caller may see; a lead ship outside it is left out.

    Returns
    -------
    dict of str to dict
        By the sister's id, in the shape of a drift request; without those who are nobody's sister, or whose lead ship
        has no approved test with a VCG.
    """
    wanted = {vessel.id: vessel.sister_of for vessel in chosen if vessel.sister_of is not None}
    if not wanted:
        return {}
    ships = {ship.id: ship for ship in vessels.vessels_by_id(session, scope, list(set(wanted.values())))}
    tests: dict[str, Lightship] = {}
    for row in history.standing_lightships(session, list(ships)):
        if _is_tested(row) and row.date.isoformat() <= as_of:
            tests[row.vessel_id] = row
    return {key: _lead(ships[lead], tests[lead]) for key, lead in wanted.items() if lead in tests}


def _is_tested(row: Lightship) -> bool:
    return row.approved and row.basis == "inclining-test" and row.vcg_m is not None


def _lead(ship: Vessel, row: Lightship) -> dict[str, Any]:
    figures = {name: getattr(row, name) for name in ("mass_t", "lcg_m", "tcg_m", "vcg_m", "uncertainties")}
    return {"name": ship.name, "date": row.date.isoformat(), **figures}
