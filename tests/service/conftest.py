"""The tests of the service run on both kinds of database wherever they ask for the application or a database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask

from tests.support.app import engine_of, make_app, migrated_sqlite
from tests.support.postgres import Cluster

BOTH = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]


@pytest.fixture(params=BOTH)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a migrated database without rows."""
    if request.param == "sqlite":
        yield migrated_sqlite(tmp_path)
        return
    running: Cluster = request.getfixturevalue("postgres_cluster")
    yield running.migrated()


@pytest.fixture(params=BOTH)
def empty_database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a database without tables."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'empty.sqlite3'}"
        return
    running: Cluster = request.getfixturevalue("postgres_cluster")
    with running.new() as url:
        yield url


@pytest.fixture
def app(database_url: str) -> Iterator[Flask]:
    """The real application on a migrated database of its own."""
    made = make_app(database_url)
    yield made
    engine_of(made).dispose()
