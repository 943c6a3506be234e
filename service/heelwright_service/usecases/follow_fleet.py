"""Follow the lightship drift of stored vessels, one by one or a fleet with the worst first."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeVar, cast

from sqlalchemy.orm import Session

from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.drift import Drift, DriftRequest, assess_drift, rank, standing_of
from heelwright_service.core.errors import CoreError
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import history, vessels
from heelwright_service.store.tables import Alteration, Lightship, Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.fleet_rankings import FleetQuestion, Place, Rankings, Told
from heelwright_service.usecases.follow_drift import today
from heelwright_service.usecases.lead_ships import leads_of

_VESSEL = (
    "kind",
    "length_m",
    "length_bp_m",
    "subdivision_length_m",
    "breadth_m",
    "depth_m",
    "top_z_m",
    "aft_x_m",
    "forward_x_m",
    "operating_displacement_t",
    "column_stabilized",
)
_LIGHTSHIP = ("basis", "mass_t", "lcg_m", "tcg_m", "vcg_m", "approved", "uncertainties", "id")
_ALTERATION = (
    "kind",
    "mass_t",
    "x_m",
    "y_m",
    "z_m",
    "to_x_m",
    "to_y_m",
    "to_z_m",
    "description",
    "uncertainties",
)
_STANDING = ("action", "probability_exceeded", "action_force", "action_reason")
_SHOWN = ("id", "name", "imo_number", "kind", "fleet")
R = TypeVar("R", Lightship, Alteration)


def follow_vessel(
    work: UnitOfWork, turns: Turns, caller: Caller, vessel_id: str, *, rule_set: str | None, as_of: str | None
) -> dict[str, Any]:
    """Compare a stored vessel's lightships with her latest approved inclining test.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    turns : Turns
        The queue of computations.
    caller : Caller
        Who asks.
    vessel_id : str
        The vessel.
    rule_set : str or None
        By which rules; the vessel's own by default.
    as_of : str or None
        The day of the question, ISO 8601; today by default.

    Returns
    -------
    dict
        The drift.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    ConflictError
        When her kind or length is not known.
    CoreError
        When her history cannot be followed, as without an approved inclining test.
    """
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        request = drift_requests(session, [vessel], rule_set, as_of, caller.scope)[vessel.id]
    with turns.turn():
        return cast(dict[str, Any], to_document(_assess(vessel, request)))


def follow_fleet(
    work: UnitOfWork,
    turns: Turns,
    rankings: Rankings,
    caller: Caller,
    asked: FleetQuestion,
    *,
    limit: int,
    cursor: str | None,
) -> Page[dict[str, Any]]:
    """Return one page of the drift of all vessels the caller may see, worst first; those without one come last.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    turns : Turns
        The queue of computations.
    rankings : Rankings
        Orders worked out before, good as long as nothing has changed.
    caller : Caller
        Who asks.
    asked : FleetQuestion
        Which fleet, by which rules, as of which day.
    limit : int
        The most vessels on a page.
    cursor : str or None
        Where the page begins.

    Returns
    -------
    Page of dict
        ``vessel``, ``action``, ``probability_exceeded``, ``drift`` or None, and the ``problem`` that stands against it.
    """
    after = None if cursor is None else Place.read(cursor)
    ordered = _ranking(work, turns, rankings, caller, asked)
    start = 0 if after is None else bisect_right(ordered, after)
    places = ordered[start : start + limit]
    chosen = [place.vessel_id for place in places]
    with work.transaction(read_only=True) as session:
        found = vessels.vessels_by_id(session, caller.scope, chosen)
        requests = drift_requests(session, found, asked.rule_set, asked.as_of, caller.scope)
    by_id = {vessel.id: vessel for vessel in found}
    with turns.turn():
        items = [_item(rankings, by_id[key], requests[key]) for key in chosen if key in by_id]
    return Page(items, places[-1].cursor if len(ordered) > start + limit else None)


def _ranking(
    work: UnitOfWork, turns: Turns, rankings: Rankings, caller: Caller, asked: FleetQuestion
) -> Sequence[Place]:
    """The vessels in order: those whose drift can be told, the worst first, then the others."""
    with work.transaction(read_only=True) as session:
        key = (caller.scope.key, asked, history.state_of_history(session))
        known = rankings.get(key)
        if known is not None:
            return known
        found = vessels.all_vessels(session, caller.scope, asked.fleet)
        requests = drift_requests(session, found, asked.rule_set, asked.as_of, caller.scope)
    with turns.turn():
        drifts = {vessel.id: _told(rankings, vessel, requests[vessel.id]) for vessel in found}
    ordered = rank({key: drift for key, drift in drifts.items() if isinstance(drift, Drift)})
    rest = [key for key, drift in drifts.items() if not isinstance(drift, Drift)]
    return rankings.keep(key, [Place.of(key, drifts[key]) for key in (*ordered, *rest)])


def _told(rankings: Rankings, vessel: Vessel, request: Mapping[str, Any]) -> Told:
    def work_out() -> Told:
        try:
            return _assess(vessel, request)
        except (CoreError, ConflictError) as error:
            return error.with_traceback(None)  # it is kept, and would keep everything that led to it

    return rankings.told(vessel.name, request, work_out)


def _item(rankings: Rankings, vessel: Vessel, request: Mapping[str, Any]) -> dict[str, Any]:
    told = _told(rankings, vessel, request)
    shown = {"vessel": {name: getattr(vessel, name) for name in _SHOWN}}
    if not isinstance(told, Drift):
        problem = {"code": told.code, "detail": told.message, "pointer": told.pointer}
        return shown | dict.fromkeys(_STANDING) | {"drift": None, "problem": problem}
    standing = standing_of(told)
    summed_up = cast(dict[str, Any], to_document(standing))
    return shown | summed_up | {"drift": to_document(told), "problem": None}


def _assess(vessel: Vessel, request: Mapping[str, Any]) -> Drift:
    for name in ("kind", "length_m"):
        if request["vessel"].get(name) is None:
            raise ConflictError(
                "vessel-incomplete", f"the drift of {vessel.name} needs her {name}; enter it with PATCH", f"/{name}"
            )
    return assess_drift(from_document(DriftRequest, request))


def drift_requests(
    session: Session,
    chosen: Sequence[Vessel],
    rule_set: str | None,
    as_of: str | None,
    scope: vessels.Scope = vessels.EVERYTHING,
) -> dict[str, dict[str, Any]]:
    """Write the drift request of each vessel from her stored history and her lead ship's, in a few questions."""
    day = as_of or today()
    leads = leads_of(session, chosen, day, scope)
    ids = [vessel.id for vessel in chosen]
    lightships = _grouped(history.standing_lightships(session, ids))
    alterations = _grouped(history.standing_alterations(session, ids))
    return {
        vessel.id: {
            "vessel": _facts(vessel, _VESSEL) | ({"keel_laid": str(vessel.keel_laid)} if vessel.keel_laid else {}),
            "lightships": [_facts(row, _LIGHTSHIP) | {"date": row.date.isoformat()} for row in lightships[vessel.id]],
            "alterations": [
                _facts(row, _ALTERATION) | {"date": row.date.isoformat()} for row in alterations[vessel.id]
            ],
            "rule_set": rule_set or vessel.rule_set,
            "as_of": day,
            "lead": leads.get(vessel.id),
        }
        for vessel in chosen
    }


def _facts(row: object, names: Iterable[str]) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}


def _grouped(rows: Iterable[R]) -> dict[str, list[R]]:
    grouped: dict[str, list[R]] = defaultdict(list)
    for row in rows:
        grouped[row.vessel_id].append(row)
    return grouped
