"""Read the feed: what happened, in order, from any point on."""

from __future__ import annotations

from typing import Any

from heelwright_service.store.paging import Page, decode_number, encode_cursor
from heelwright_service.store.queries import feed
from heelwright_service.store.tables import Event
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller


def read_events(
    work: UnitOfWork, caller: Caller, *, after: int, limit: int, cursor: str | None = None
) -> Page[dict[str, Any]]:
    """Return one page of the events after a number in the CloudEvents JSON form.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who reads; one limited to some vessels sees only theirs, so to him the numbers have gaps.
    after : int
        The last number that the caller has; 0 for the beginning.
    limit : int
        The most events to return.
    cursor : str or None
        Where the page before ended; overrides ``after``.

    Returns
    -------
    Page of dict
        In ascending order of ``sequence``, without gaps for an unlimited caller.
    """
    if cursor is not None:
        after = decode_number(cursor)
    with work.transaction(read_only=True) as session:
        found = feed.events_after(session, caller.scope, after, limit + 1)
    items = [event_view(event) for event in found[:limit]]
    return Page(items, encode_cursor([items[-1]["sequence"]]) if len(found) > limit else None)


def event_view(event: Event) -> dict[str, Any]:
    """Return an event in the JSON form of CloudEvents 1.0; ``sequence`` and ``actor`` are extensions."""
    return {
        "specversion": "1.0",
        "id": str(event.sequence),
        "source": "/v1/events",
        "type": f"heelwright.{event.type}",
        "subject": event.subject,
        "time": event.time,
        "datacontenttype": "application/json",
        "sequence": event.sequence,
        "actor": event.actor,
        "data": event.data,
    }
