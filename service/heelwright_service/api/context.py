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
from heelwright_service.usecases.fleet_rankings import Rankings

_EXTENSION = "heelwright"


@dataclass(frozen=True)
class Service:
    """What lives as long as the application: settings, engine, the queue of computations, the order of fleets."""

    settings: Settings
    engine: Engine
    turns: Turns
    rankings: Rankings


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


def rankings() -> Rankings:
    """Return the orders of fleets that were worked out before."""
    return service().rankings


def caller() -> Caller:
    """Return who asks; only within a path that needs a token."""
    return cast(Caller, g.caller)
