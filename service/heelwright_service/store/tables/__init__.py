"""The tables, one module a domain; importing this package makes the metadata complete."""

from heelwright_service.store.tables.access import IdempotencyKey, Person, SignInAttempt, Token
from heelwright_service.store.tables.feed import Event, EventCounter
from heelwright_service.store.tables.history import Alteration, Lightship
from heelwright_service.store.tables.provenance import Computation
from heelwright_service.store.tables.tests import BoundaryDecision, FollowUp, StabilityTest, TestDocument, TestEntry
from heelwright_service.store.tables.vessels import Vessel, VesselDocument

__all__ = [
    "Alteration",
    "BoundaryDecision",
    "Computation",
    "Event",
    "EventCounter",
    "FollowUp",
    "IdempotencyKey",
    "Lightship",
    "Person",
    "SignInAttempt",
    "StabilityTest",
    "TestDocument",
    "TestEntry",
    "Token",
    "Vessel",
    "VesselDocument",
]
