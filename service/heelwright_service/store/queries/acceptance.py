"""Find the acceptance sheets of a vessel's model among the stored answers."""

from __future__ import annotations

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import Page, page_by_id
from heelwright_service.store.tables import Computation

ACCEPTANCE_KIND = "model-acceptance"


def get_sheet(session: Session, vessel_id: str, sheet_id: str) -> Computation:
    """Return one acceptance sheet of a vessel.

    Raises
    ------
    NotFoundError
        When she has no such sheet.
    """
    found = session.get(Computation, sheet_id)
    if found is None or found.kind != ACCEPTANCE_KIND or found.vessel_id != vessel_id:
        raise NotFoundError("sheet-not-found", f"this vessel has no acceptance sheet {sheet_id}; list them with GET")
    return found


def page_sheets(session: Session, vessel_id: str, cursor: str | None, limit: int) -> Page[Computation]:
    """Return one page of a vessel's acceptance sheets, oldest first."""
    return page_by_id(session, _sheets(vessel_id), Computation.id, cursor, limit)


def newest_sheet(session: Session, vessel_id: str) -> Computation | None:
    """Return the acceptance sheet that was stored last, None while there is none."""
    return session.scalars(_sheets(vessel_id).order_by(Computation.id.desc()).limit(1)).first()


def newest_sheet_of_version(session: Session, vessel_id: str, version: str) -> Computation | None:
    """Return the acceptance sheet of one version of a vessel's model that was stored last, None without one."""
    of_version = _sheets(vessel_id).where(Computation.sources["model"].as_string() == version)
    return session.scalars(of_version.order_by(Computation.id.desc()).limit(1)).first()


def _sheets(vessel_id: str) -> Select[Computation]:
    return select(Computation).where(Computation.vessel_id == vessel_id, Computation.kind == ACCEPTANCE_KIND)
