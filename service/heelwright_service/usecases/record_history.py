"""Record lightships and alterations; what was wrong is corrected by another entry that names it."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.errors import ConflictError, NotFoundError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import history, vessels
from heelwright_service.store.tables import Alteration, Lightship
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.errors import InvalidError

LIGHTSHIP_FIELDS = (
    "date",
    "basis",
    "mass_t",
    "lcg_m",
    "tcg_m",
    "vcg_m",
    "approved",
    "uncertainties",
    "supersedes",
    "reason",
)
ALTERATION_FIELDS = (
    "date",
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
    "corrects",
    "withdrawn",
    "reason",
)


def record_lightship(work: UnitOfWork, caller: Caller, vessel_id: str, facts: dict[str, Any]) -> dict[str, Any]:
    """Record a lightship of a vessel and return it.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who records it; an approved lightship needs an approver.
    vessel_id : str
        The vessel.
    facts : dict
        Values by the names of :data:`LIGHTSHIP_FIELDS`.

    Returns
    -------
    dict
        The lightship as stored.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    ForbiddenError
        When an approved lightship is recorded or superseded by somebody who may not approve.
    InvalidError
        When the lightship to supersede is not there.
    ConflictError
        When one of the same date and basis stands, or the one to supersede has been superseded already.
    """
    with work.transaction() as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope, lock=True)
        if facts.get("approved"):
            caller.must_be("approver", "recording an approved lightship")
        old = _superseded(session, vessel.id, facts.get("supersedes"))
        if old is not None and old.approved:
            caller.must_be("approver", "superseding an approved lightship")
        _refuse_twin(session, vessel.id, facts)
        row = Lightship(vessel_id=vessel.id, recorded_by=caller.name, **_given(facts, LIGHTSHIP_FIELDS))
        session.add(row)
        session.flush()
        path = f"/v1/vessels/{vessel.id}/lightships/{row.id}"
        data = {"date": row.date.isoformat(), "basis": row.basis, "mass_t": row.mass_t, "supersedes": row.supersedes}
        work.emit("lightship.recorded", path, actor=caller.name, vessel_id=vessel.id, data=data)
        return lightship_view(row, None)


def read_lightship(work: UnitOfWork, caller: Caller, vessel_id: str, lightship_id: str) -> dict[str, Any]:
    """Return one lightship of a vessel, and what supersedes it."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        row = history.get_lightship(session, vessel.id, lightship_id)
        return lightship_view(row, history.superseding_lightships(session, [row.id]).get(row.id))


def list_lightships(
    work: UnitOfWork, caller: Caller, vessel_id: str, *, limit: int, cursor: str | None = None
) -> Page[dict[str, Any]]:
    """Return one page of a vessel's lightships by date, each with what supersedes it."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        page = history.page_lightships(session, vessel.id, cursor, limit)
        later = history.superseding_lightships(session, [row.id for row in page.items])
        return page.map(lambda row: lightship_view(row, later.get(row.id)))


def record_alteration(work: UnitOfWork, caller: Caller, vessel_id: str, facts: dict[str, Any]) -> dict[str, Any]:
    """Record an alteration of a vessel, or the correction of one, and return it.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who records it.
    vessel_id : str
        The vessel.
    facts : dict
        Values by the names of :data:`ALTERATION_FIELDS`.

    Returns
    -------
    dict
        The alteration as stored.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    InvalidError
        When the entry to correct is not there.
    ConflictError
        When the entry to correct has been corrected already.
    """
    with work.transaction() as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope, lock=True)
        if facts.get("corrects") is not None:
            _named(session, vessel.id, facts["corrects"])
        row = Alteration(vessel_id=vessel.id, recorded_by=caller.name, **_given(facts, ALTERATION_FIELDS))
        session.add(row)
        session.flush()
        path = f"/v1/vessels/{vessel.id}/alterations/{row.id}"
        data = {"date": row.date.isoformat(), "kind": row.kind, "mass_t": row.mass_t, "corrects": row.corrects}
        work.emit("alteration.recorded", path, actor=caller.name, vessel_id=vessel.id, data=data)
        return alteration_view(row, None)


def read_alteration(work: UnitOfWork, caller: Caller, vessel_id: str, alteration_id: str) -> dict[str, Any]:
    """Return one alteration of a vessel, and what corrects it."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        row = history.get_alteration(session, vessel.id, alteration_id)
        return alteration_view(row, history.correcting_alterations(session, [row.id]).get(row.id))


def list_alterations(
    work: UnitOfWork, caller: Caller, vessel_id: str, *, limit: int, cursor: str | None = None
) -> Page[dict[str, Any]]:
    """Return one page of a vessel's alterations by date, each with what corrects it."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        page = history.page_alterations(session, vessel.id, cursor, limit)
        later = history.correcting_alterations(session, [row.id for row in page.items])
        return page.map(lambda row: alteration_view(row, later.get(row.id)))


def lightship_view(row: Lightship, superseded_by: str | None) -> dict[str, Any]:
    """Return a lightship as plain data."""
    facts = {name: getattr(row, name) for name in LIGHTSHIP_FIELDS}
    made = {"recorded_at": row.recorded_at, "recorded_by": row.recorded_by, "superseded_by": superseded_by}
    return {"id": row.id, "vessel_id": row.vessel_id} | facts | made


def alteration_view(row: Alteration, corrected_by: str | None) -> dict[str, Any]:
    """Return an alteration as plain data."""
    facts = {name: getattr(row, name) for name in ALTERATION_FIELDS}
    made = {"recorded_at": row.recorded_at, "recorded_by": row.recorded_by, "corrected_by": corrected_by}
    return {"id": row.id, "vessel_id": row.vessel_id} | facts | made


def _given(facts: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: facts[name] for name in names if name in facts}


def _superseded(session: Session, vessel_id: str, lightship_id: str | None) -> Lightship | None:
    if lightship_id is None:
        return None
    try:
        return history.get_lightship(session, vessel_id, lightship_id)
    except NotFoundError as error:
        raise InvalidError(error.code, error.message, "/supersedes") from error


def _named(session: Session, vessel_id: str, alteration_id: str) -> Alteration:
    try:
        return history.get_alteration(session, vessel_id, alteration_id)
    except NotFoundError as error:
        raise InvalidError(error.code, error.message, "/corrects") from error


def _refuse_twin(session: Session, vessel_id: str, facts: dict[str, Any]) -> None:
    """Of one date and basis, one lightship stands; the vessel's lock keeps another from coming in between."""
    for row in history.standing_lightships(session, [vessel_id]):
        same = (row.date, row.basis) == (facts["date"], facts["basis"])
        if same and row.id != facts.get("supersedes"):
            raise ConflictError(
                "lightship-exists",
                f"this vessel has a lightship of {row.date} by {row.basis}: name it in supersedes ({row.id})",
                "/supersedes",
            )
