"""Enter a vessel, find her, change her particulars, and remove one entered by mistake."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import vessels
from heelwright_service.store.tables import Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.errors import ForbiddenError, InvalidError
from heelwright_service.usecases.preconditions import Expected

FIELDS = (
    "name",
    "imo_number",
    "kind",
    "fleet",
    "sister_of",
    "length_bp_m",
    "length_m",
    "breadth_m",
    "depth_m",
    "keel_laid",
    "subdivision_length_m",
    "top_z_m",
    "aft_x_m",
    "forward_x_m",
    "operating_displacement_t",
    "column_stabilized",
    "rule_set",
)


def enter_vessel(work: UnitOfWork, caller: Caller, facts: dict[str, Any]) -> dict[str, Any]:
    """Enter a vessel and return her.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who enters her.
    facts : dict
        Her particulars by the names of :data:`FIELDS`; those absent are unknown.

    Returns
    -------
    dict
        The vessel as stored.

    Raises
    ------
    ConflictError
        When another vessel carries the IMO number.
    ForbiddenError
        When she would lie outside the caller's scope.
    """
    with work.transaction() as session:
        vessel = Vessel(**{name: facts.get(name) for name in FIELDS})
        session.add(vessel)
        _check_standing(session, caller, vessel, sister=True)
        session.flush()
        _tell(work, caller, vessel, "vessel.created", {name: facts[name] for name in ("name",)})
        return vessel_view(vessel)


def read_vessel(work: UnitOfWork, caller: Caller, vessel_id: str) -> dict[str, Any]:
    """Return a vessel.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    """
    with work.transaction(read_only=True) as session:
        return vessel_view(vessels.get_vessel(session, vessel_id, caller.scope))


def list_vessels(
    work: UnitOfWork,
    caller: Caller,
    *,
    limit: int,
    cursor: str | None = None,
    fleet: str | None = None,
    imo_number: str | None = None,
) -> Page[dict[str, Any]]:
    """Return one page of the vessels that the caller may see."""
    with work.transaction(read_only=True) as session:
        page = vessels.page_vessels(
            session, caller.scope, fleet=fleet, imo_number=imo_number, cursor=cursor, limit=limit
        )
        return page.map(vessel_view)


def change_vessel(
    work: UnitOfWork, caller: Caller, vessel_id: str, expected: Expected, changes: dict[str, Any]
) -> dict[str, Any]:
    """Change some of a vessel's particulars and return her.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who changes her.
    vessel_id : str
        The vessel.
    expected : Expected
        The versions that the caller has seen.
    changes : dict
        New values by the names of :data:`FIELDS`; None makes one unknown.

    Returns
    -------
    dict
        The vessel as stored.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    StaleError
        When she is not at an expected version.
    ConflictError
        When another vessel carries the IMO number.
    """
    with work.transaction() as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope, lock=True)
        expected.check(vessel.version)
        changed = {name: value for name, value in changes.items() if getattr(vessel, name) != value}
        left = vessel.fleet if "fleet" in changed else None
        for name, value in changed.items():
            setattr(vessel, name, value)
        _check_standing(session, caller, vessel, sister="sister_of" in changed)
        session.flush()
        if changed:
            _tell(work, caller, vessel, "vessel.changed", {"fields": sorted(changed)}, left)
        return vessel_view(vessel)


def replace_vessel(
    work: UnitOfWork, caller: Caller, vessel_id: str, expected: Expected, facts: dict[str, Any]
) -> dict[str, Any]:
    """Replace all of a vessel's particulars: those absent become unknown. See :func:`change_vessel`."""
    return change_vessel(work, caller, vessel_id, expected, {name: facts.get(name) for name in FIELDS})


def remove_vessel(work: UnitOfWork, caller: Caller, vessel_id: str, expected: Expected) -> None:
    """Remove a vessel that was entered by mistake, as long as nothing has been recorded of her.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    StaleError
        When she is not at an expected version.
    ConflictError
        When something has been recorded of her: history is not thrown away.
    """
    with work.transaction() as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope, lock=True)
        expected.check(vessel.version)
        session.delete(vessel)
        session.flush()
        _tell(work, caller, vessel, "vessel.removed", {"name": vessel.name}, vessel.fleet)


def vessel_view(vessel: Vessel) -> dict[str, Any]:
    """Return a vessel as plain data."""
    facts = {name: getattr(vessel, name) for name in FIELDS}
    made = {"created_at": vessel.created_at, "updated_at": vessel.updated_at}
    return {"id": vessel.id, "version": vessel.version} | facts | made


def _check_standing(session: Session, caller: Caller, vessel: Vessel, *, sister: bool) -> None:
    """A lead ship is looked up where she is named anew: one named before may lie outside this caller's scope."""
    if not caller.scope.sees(vessel):
        raise ForbiddenError("outside-scope", "this token may not put a vessel outside its own scope", "/fleet")
    if not sister or vessel.sister_of is None:
        return
    if vessel.sister_of == vessel.id:
        raise InvalidError("sister-of-herself", "a vessel is not her own sister; name another or none", "/sister_of")
    with session.no_autoflush:
        try:
            vessels.get_vessel(session, vessel.sister_of, caller.scope)
        except NotFoundError as error:
            raise InvalidError("sister-not-found", f"there is no vessel {vessel.sister_of}", "/sister_of") from error


def _tell(
    work: UnitOfWork, caller: Caller, vessel: Vessel, kind: str, data: dict[str, Any], left: str | None = None
) -> None:
    path = f"/v1/vessels/{vessel.id}"
    work.emit(kind, path, actor=caller.name, vessel_id=vessel.id, data=data, fleet_left=left)
