"""The tables, one module a domain; importing this package makes the metadata complete."""

from heelwright_service.store.tables.access import IdempotencyKey, Token
from heelwright_service.store.tables.feed import Event, EventCounter
from heelwright_service.store.tables.history import Alteration, Lightship
from heelwright_service.store.tables.provenance import Computation
from heelwright_service.store.tables.vessels import Vessel, VesselDocument

__all__ = [
    "Alteration",
    "Computation",
    "Event",
    "EventCounter",
    "IdempotencyKey",
    "Lightship",
    "Token",
    "Vessel",
    "VesselDocument",
]
