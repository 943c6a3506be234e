"""Read the rows that say where stored answers come from."""

from __future__ import annotations

from sqlalchemy.orm import Session

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
