"""The database engine: SQLite with the settings that make it safe for several writers, or PostgreSQL."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import platformdirs
from sqlalchemy import Connection, Engine, create_engine, event, make_url

READ_ONLY = "heelwright_read_only"

LONGEST_WAIT_S = 10.0
"""How long a writer to SQLite waits for the one before it, and anybody for a connection."""

CONNECTIONS = 16
"""How many may be at work at once: the server has as many threads, and a request holds one connection at most."""

SPARE_CONNECTIONS = 4
"""Opened beyond those for what is no request of the server's, and closed again after use."""

_POOL = {"pool_size": CONNECTIONS, "max_overflow": SPARE_CONNECTIONS, "pool_timeout": LONGEST_WAIT_S}
_PRAGMAS = ("journal_mode=WAL", "foreign_keys=ON", "synchronous=FULL", f"busy_timeout={LONGEST_WAIT_S * 1000:.0f}")


def database_url() -> str:
    """Return the database's address: ``HEELWRIGHT_DATABASE_URL``, or SQLite in the user's data folder.

    Returns
    -------
    str
        An SQLAlchemy URL; ``postgresql://`` is read as PostgreSQL by psycopg.
    """
    given = os.environ.get("HEELWRIGHT_DATABASE_URL", "").strip()
    if given:
        return given
    return f"sqlite:///{platformdirs.user_data_path('heelwright') / 'heelwright.sqlite3'}"


def embedded_path(url: str) -> Path | None:
    """Return the file of an SQLite address, or None for a database server.

    Parameters
    ----------
    url : str
        An SQLAlchemy URL.

    Returns
    -------
    Path or None
        The database file.

    Examples
    --------
    >>> embedded_path("sqlite:////var/lib/heelwright/fleet.sqlite3").name
    'fleet.sqlite3'
    >>> embedded_path("postgresql+psycopg://localhost/heelwright") is None
    True
    """
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite" or not parsed.database or parsed.database == ":memory:":
        return None
    return Path(parsed.database)


def make_engine(url: str) -> Engine:
    """Make the engine for an address; the embedded database's folder is made when it is missing.

    Parameters
    ----------
    url : str
        An SQLAlchemy URL of SQLite (a file) or PostgreSQL.

    Returns
    -------
    Engine
        With transactions that cannot lose updates: immediate on SQLite, checked versions on both.

    Raises
    ------
    ValueError
        When the address is of another database, or of SQLite in memory.
    """
    parsed = make_url(url)
    if parsed.get_backend_name() == "postgresql":
        return create_engine(parsed.set(drivername="postgresql+psycopg"), pool_pre_ping=True, **_POOL)
    path = embedded_path(url)
    if path is None:
        raise ValueError("HEELWRIGHT_DATABASE_URL must be of PostgreSQL or of an SQLite file, as in sqlite:////data/x")
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    path.touch(mode=0o600)  # a new file is its owner's alone; the journal beside it takes after it
    engine = create_engine(parsed, **_POOL)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, record: object) -> None:
    connection.isolation_level = None  # the driver must not begin transactions of its own: they lose updates
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    """Writers take the lock when they begin: a lock asked for later fails at once, whatever the timeout."""
    read_only = connection.get_execution_options().get(READ_ONLY, False)
    connection.exec_driver_sql("BEGIN" if read_only else "BEGIN IMMEDIATE")
