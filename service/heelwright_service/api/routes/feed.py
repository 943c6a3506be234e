"""/v1/events: the ordered feed."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import caller, work
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.base import page_of
from heelwright_service.api.schemas.feed import EventAnswer, EventQuery
from heelwright_service.usecases import read_feed

blueprint = Blueprint("events", __name__, url_prefix="/v1", description="What happened, in order")


@endpoint(blueprint, "GET", "/events", role="reader", query=EventQuery(), answer=page_of(EventAnswer))
def read_events(query: dict[str, Any]) -> Answer:
    """Read what happened after a sequence, in order and without gaps; a limited token sees its own vessels' events.

    A token limited to a fleet also sees the event by which a vessel left that fleet, or was removed.
    """
    return Answer(read_feed.read_events(work(), caller(), **query))
