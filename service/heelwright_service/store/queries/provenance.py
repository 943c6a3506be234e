"""Append and read the rows that say where stored answers come from."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.tables import Computation


def get_computation(session: Session, computation_id: str) -> Computation:
    """Return a stored answer.

    Raises
    ------
    NotFoundError
        When there is none.
    """
    found = session.get(Computation, computation_id)
    if found is None:
        raise NotFoundError("computation-not-found", f"there is no computation {computation_id}")
    return found


def standing_computation(session: Session, vessel_id: str, kind: str) -> Computation | None:
    """Return a vessel's newest answer of a kind that nothing supersedes, or None."""
    later = aliased(Computation)
    rows = (
        select(Computation)
        .where(Computation.vessel_id == vessel_id, Computation.kind == kind)
        .where(~select(later.id).where(later.supersedes == Computation.id).exists())
        .order_by(Computation.id.desc())
        .limit(1)
    )
    return session.scalars(rows).first()
