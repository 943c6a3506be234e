"""Read and append a vessel's lightships and alterations; what has been corrected is told from what stands."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import CursorError, Page, page_by
from heelwright_service.store.tables import Alteration, Lightship, Vessel


def get_lightship(session: Session, vessel_id: str, lightship_id: str, pointer: str = "") -> Lightship:
    """Return one lightship of a vessel.

    Raises
    ------
    NotFoundError
        When the vessel has no such lightship.
    """
    found = session.get(Lightship, lightship_id)
    if found is None or found.vessel_id != vessel_id:
        raise NotFoundError("lightship-not-found", f"this vessel has no lightship {lightship_id}", pointer)
    return found


def get_alteration(session: Session, vessel_id: str, alteration_id: str, pointer: str = "") -> Alteration:
    """Return one alteration of a vessel.

    Raises
    ------
    NotFoundError
        When the vessel has no such alteration.
    """
    found = session.get(Alteration, alteration_id)
    if found is None or found.vessel_id != vessel_id:
        raise NotFoundError("alteration-not-found", f"this vessel has no alteration {alteration_id}", pointer)
    return found


def page_lightships(session: Session, vessel_id: str, cursor: str | None, limit: int) -> Page[Lightship]:
    """Return one page of a vessel's lightships by date, corrected ones included."""
    rows = select(Lightship).where(Lightship.vessel_id == vessel_id)
    return page_by(session, rows, (Lightship.date, Lightship.id), cursor, limit, _dated)


def page_alterations(session: Session, vessel_id: str, cursor: str | None, limit: int) -> Page[Alteration]:
    """Return one page of a vessel's alterations by date, corrected ones included."""
    rows = select(Alteration).where(Alteration.vessel_id == vessel_id)
    return page_by(session, rows, (Alteration.date, Alteration.id), cursor, limit, _dated)


def superseding_lightships(session: Session, ids: Iterable[str]) -> dict[str, str]:
    """Return, of some lightships, which were superseded and by which."""
    rows = session.execute(select(Lightship.supersedes, Lightship.id).where(Lightship.supersedes.in_(list(ids))))
    return {old: new for old, new in rows if old is not None}


def correcting_alterations(session: Session, ids: Iterable[str]) -> dict[str, str]:
    """Return, of some alterations, which were corrected and by which."""
    rows = session.execute(select(Alteration.corrects, Alteration.id).where(Alteration.corrects.in_(list(ids))))
    return {old: new for old, new in rows if old is not None}


def standing_lightships(session: Session, vessel_ids: Sequence[str]) -> Sequence[Lightship]:
    """Return the lightships of some vessels that nothing supersedes, by vessel and date."""
    later = aliased(Lightship)
    rows = (
        select(Lightship)
        .where(Lightship.vessel_id.in_(vessel_ids))
        .where(~select(later.id).where(later.supersedes == Lightship.id).exists())
        .order_by(Lightship.vessel_id, Lightship.date, Lightship.id)
    )
    return session.scalars(rows).all()


def standing_alterations(session: Session, vessel_ids: Sequence[str]) -> Sequence[Alteration]:
    """Return the alterations of some vessels that stand: neither corrected nor withdrawn, by vessel and date."""
    later = aliased(Alteration)
    rows = (
        select(Alteration)
        .where(Alteration.vessel_id.in_(vessel_ids), Alteration.withdrawn.is_(False))
        .where(~select(later.id).where(later.corrects == Alteration.id).exists())
        .order_by(Alteration.vessel_id, Alteration.date, Alteration.id)
    )
    return session.scalars(rows).all()


def state_of_history(session: Session) -> tuple[object, ...]:
    """Return numbers that change whenever a vessel, a lightship or an alteration does.

    Histories are only appended to, and a vessel's version rises with every change of her; the time of the last change
    tells a database that was restored, and changed in another way since, from what it had become before.
    """
    changed = select(func.count(Vessel.id), func.sum(Vessel.version), func.max(Vessel.id), func.max(Vessel.updated_at))
    appended = [select(func.count(table.id), func.max(table.id)) for table in (Lightship, Alteration)]
    return tuple(number for question in (changed, *appended) for number in session.execute(question).one())


def _dated(values: list[str | int]) -> Sequence[object]:
    try:
        return [datetime.date.fromisoformat(str(values[0])), str(values[1])]
    except ValueError as error:
        raise CursorError("not a cursor of this list; take next_cursor from the page before") from error
