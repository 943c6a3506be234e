"""Fixtures that every test may use: the application, callers of it, and the served application."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings

from tests.support.app import Api, engine_of, make_app, migrated_sqlite, new_token, served
from tests.support.browser import chromium
from tests.support.postgres import Cluster, binaries, cluster

__all__ = ["chromium"]

settings.register_profile("continuous-integration", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("continuous-integration")  # the same examples for the same code, so that a failure repeats


@pytest.fixture(scope="session")
def postgres_cluster() -> Iterator[Cluster]:
    """A PostgreSQL server for this run; where its programs are missing, only CI insists on it."""
    programs = binaries()
    if programs is None:
        if os.environ.get("CI"):
            pytest.fail("the PostgreSQL server programs are missing: install postgresql-15")
        pytest.skip("the PostgreSQL server programs are not installed on this machine")
    with cluster(programs) as running:
        yield running


@pytest.fixture
def app(tmp_path: Path) -> Iterator[Flask]:
    """The real application on a migrated SQLite database of its own."""
    made = make_app(migrated_sqlite(tmp_path))
    yield made
    engine_of(made).dispose()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """Flask's test client, without a token."""
    return app.test_client()


@pytest.fixture
def admin_token(app: Flask) -> str:
    """The text of an administrator's token."""
    return new_token(app, "admin", name="administrator")


@pytest.fixture
def api(client: FlaskClient, admin_token: str) -> Api:
    """A caller with an administrator's token."""
    return Api(client, admin_token)


@pytest.fixture
def live_server(app: Flask) -> Iterator[str]:
    """The address of the application served by the real server on loopback."""
    with served(app) as url:
        yield url
