"""What the tests of the store share: an engine and a unit of work on either kind of database."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from heelwright_service.store.engine import make_engine
from heelwright_service.store.unit_of_work import UnitOfWork
from sqlalchemy import Engine


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """An engine on a migrated database."""
    made = make_engine(database_url)
    yield made
    made.dispose()


@pytest.fixture
def work(engine: Engine) -> UnitOfWork:
    """A unit of work on a migrated database."""
    return UnitOfWork(engine)
