"""A PostgreSQL server of its own for a test run: a socket in a temporary folder, run by a user who is not root."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import psycopg
from heelwright_service.store import tables  # noqa: F401  (completes the metadata)
from heelwright_service.store.base import Base
from heelwright_service.store.engine import make_engine
from heelwright_service.store.migrate import migrate
from psycopg import sql

_MIGRATED = "migrated"
_SETTINGS = "-c fsync=off -c full_page_writes=off -c listen_addresses='' -c max_connections=60"


def binaries() -> Path | None:
    """Return the folder of the server's programs, or None where it is not installed."""
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    installed = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return installed[-1].parent if installed else None


class Cluster:
    """A running server with one migrated database, which is emptied for every test, and new ones without tables."""

    def __init__(self, folder: Path, user: str) -> None:
        self._folder = folder
        self._user = user
        self._numbers = count(1)
        self._execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(_MIGRATED)))
        self._engine = make_engine(self.url(_MIGRATED))
        migrate(self._engine)

    def url(self, database: str) -> str:
        """Return the address of a database."""
        return f"postgresql+psycopg://{self._user}@/{database}?host={self._folder}"

    def migrated(self) -> str:
        """Empty the migrated database and return its address; making a new one each time takes ten times as long."""
        names = ", ".join(sorted(set(Base.metadata.tables) - {"event_counter"}))
        with self._engine.begin() as connection:
            connection.exec_driver_sql("SET LOCAL lock_timeout = '10s'")
            connection.exec_driver_sql(f"TRUNCATE {names}")
            connection.exec_driver_sql("UPDATE event_counter SET last_sequence = 0")
        return self.url(_MIGRATED)

    @contextmanager
    def new(self) -> Iterator[str]:
        """Make a database without tables, yield its address, and drop it."""
        name = f"test_{next(self._numbers)}"
        self._execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        try:
            yield self.url(name)
        finally:
            self._execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))

    def stop(self) -> None:
        """Let go of the migrated database."""
        self._engine.dispose()

    def _execute(self, statement: sql.Composed) -> None:
        with psycopg.connect(host=str(self._folder), user=self._user, dbname="postgres", autocommit=True) as connection:
            connection.execute(statement)


@contextmanager
def cluster(programs: Path) -> Iterator[Cluster]:
    """Start a server, and stop it at the end.

    Parameters
    ----------
    programs : Path
        Folder of the server's programs.

    Yields
    ------
    Cluster
        The running server.
    """
    user = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
    folder = Path(tempfile.mkdtemp(prefix="heelwright-pg-"))
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, user)
        data = folder / "data"
        _run(user, programs / "initdb", "-D", data, "-U", user, "--auth=trust", "--no-sync", "-E", "UTF8")
        options = f"{_SETTINGS} -c unix_socket_directories='{folder}'"
        _run(user, programs / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", options, "start")
        running = Cluster(folder, user)
        try:
            yield running
        finally:
            running.stop()
            _run(user, programs / "pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder)


def _run(user: str, *command: object) -> None:
    """Run a program as a user: the server refuses to run as root."""
    words = [str(word) for word in command]
    who = user if os.geteuid() == 0 else None
    subprocess.run(words, user=who, group=who, cwd="/", check=True, stdout=subprocess.DEVNULL, timeout=60)
