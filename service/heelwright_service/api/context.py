"""What a request has at hand: the service it reached, its unit of work and its caller."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from flask import current_app, g
from sqlalchemy import Engine

from heelwright_service.api.settings import Settings
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.computing import Turns

_EXTENSION = "heelwright"


@dataclass(frozen=True)
class Service:
    """What lives as long as the application: settings, database engine, and the queue of computations."""

    settings: Settings
    engine: Engine
    turns: Turns


def service() -> Service:
    """Return the service of the current application."""
    return cast(Service, current_app.extensions[_EXTENSION])


def work() -> UnitOfWork:
    """Return the request's unit of work."""
    if "work" not in g:
        g.work = UnitOfWork(service().engine)
    return cast(UnitOfWork, g.work)


def turns() -> Turns:
    """Return the queue that keeps computations from slowing each other down."""
    return service().turns


def caller() -> Caller:
    """Return who asks; only within a path that needs a token."""
    return cast(Caller, g.caller)
