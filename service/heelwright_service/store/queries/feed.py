"""Read the feed of events in the order of their numbers."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session

from heelwright_service.store.queries.vessels import Scope
from heelwright_service.store.tables import Event, Vessel


def events_after(session: Session, scope: Scope, after: int, limit: int) -> Sequence[Event]:
    """Return the events after a number, in order, of the vessels within the scope.

    Of a vessel that left a fleet, or was removed, a scope of that fleet has the event by which she did, and no other.

    Parameters
    ----------
    session : Session
        An open session.
    scope : Scope
        What the caller may see; an unlimited scope sees every event, without a gap.
    after : int
        The last number that the caller has; 0 for the beginning.
    limit : int
        The most events to return.

    Returns
    -------
    sequence of Event
        In ascending order of their numbers.
    """
    events = select(Event).where(Event.sequence > after)
    if scope.limited:
        visible = scope.narrow(select(Vessel)).with_only_columns(Vessel.id)
        conditions: list[ColumnElement[bool]] = [Event.vessel_id.in_(visible)]
        if scope.vessel_ids is not None:
            conditions.append(Event.vessel_id.in_(scope.vessel_ids))
        if scope.fleet is not None:
            conditions.append(Event.fleet_left == scope.fleet)
        events = events.where(or_(*conditions))
    return session.scalars(events.order_by(Event.sequence).limit(limit)).all()


def last_sequence(session: Session) -> int:
    """Return the number of the newest event, 0 when nothing has happened yet."""
    return session.scalar(select(func.max(Event.sequence))) or 0
