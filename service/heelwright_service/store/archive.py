"""A whole database as one file that either kind of database can be restored from: rows as JSON lines in a zip."""

from __future__ import annotations

import base64
import datetime
import hashlib
import json
import os
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import JSON, Connection, Date, DateTime, Engine, LargeBinary, MetaData, Table, insert, select, update

from heelwright_service.store.base import utc_now
from heelwright_service.store.engine import READ_ONLY
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.migrate import current_revision

FORMAT = 1
_NOT_KEPT = "alembic_version"
_MADE_BY_MIGRATION = "event_counter"
_BATCH = 500


class ArchiveError(Exception):
    """A file that is no archive, or one that was changed or cut short."""


@dataclass(frozen=True)
class TableEntry:
    """How many rows of a table an archive has, and the SHA-256 of their lines."""

    rows: int
    sha256: str


@dataclass(frozen=True)
class Manifest:
    """What an archive holds."""

    format: int
    revision: str
    made_at: str
    tables: Mapping[str, TableEntry]


def write_archive(engine: Engine, path: Path) -> Manifest:
    """Write every row of a database to a file that only its owner can read, as of one moment.

    Parameters
    ----------
    engine : Engine
        The database.
    path : Path
        The file; it appears whole or not at all.

    Returns
    -------
    Manifest
        What was written.

    Raises
    ------
    ArchiveError
        When the database has no tables yet.
    """
    revision = current_revision(engine)
    if revision is None:
        raise ArchiveError("the database is empty: there is nothing to write")
    partial = path.with_name(path.name + ".partial")
    try:
        manifest = _written_to(partial, engine, revision)
        os.replace(partial, path)
    except BaseException:  # also when the process is told to stop: half a database is left nowhere
        partial.unlink(missing_ok=True)
        raise
    return manifest


def _written_to(path: Path, engine: Engine, revision: str) -> Manifest:
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "w+b") as file:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive, _snapshot(engine) as connection:
            tables = {table.name: _write_table(archive, connection, table) for table in _tables(connection)}
            manifest = Manifest(FORMAT, revision, utc_now().isoformat(), tables)
            archive.writestr("manifest.json", json.dumps(asdict(manifest), indent=2))
        file.flush()
        os.fsync(file.fileno())
    return manifest


def check_archive(path: Path) -> Manifest:
    """Read an archive through and compare it with its own manifest.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Manifest
        What it holds.

    Raises
    ------
    ArchiveError
        When it is no archive, or was changed or cut short.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = _manifest(archive)
            for name, entry in manifest.tables.items():
                content = archive.read(f"tables/{name}.jsonl")
                if hashlib.sha256(content).hexdigest() != entry.sha256 or content.count(b"\n") != entry.rows:
                    raise ArchiveError(f"{path}: the rows of {name} are not those that were written")
            return manifest
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError) as error:
        raise ArchiveError(f"{path} is no whole archive of this service: {error}") from error


def load_archive(engine: Engine, path: Path) -> Manifest:
    """Load an archive into a database that has its tables and no rows yet, in one transaction.

    Parameters
    ----------
    engine : Engine
        The database, at the archive's revision.
    path : Path
        The file.

    Returns
    -------
    Manifest
        What was loaded.

    Raises
    ------
    ArchiveError
        When it is no whole archive.
    ConflictError
        When the database already has rows.
    """
    manifest = check_archive(path)
    with zipfile.ZipFile(path) as archive, engine.begin() as connection:
        tables = _tables(connection)
        for table in tables:
            if table.name != _MADE_BY_MIGRATION and connection.execute(select(table).limit(1)).first() is not None:
                raise ConflictError("database-not-empty", f"{table.name} has rows already; restore into a new database")
        for table in tables:
            if table.name == _MADE_BY_MIGRATION:
                connection.execute(table.delete())
            lines = archive.read(f"tables/{table.name}.jsonl").splitlines()
            _insert(connection, table, [_decoded(table, json.loads(line), connection) for line in lines])
    return manifest


def _snapshot(engine: Engine) -> Connection:
    """A connection whose every question sees the same moment."""
    connection = engine.connect()
    connection = connection.execution_options(**{READ_ONLY: True})  # writers do not wait for it
    if connection.dialect.name == "postgresql":
        connection = connection.execution_options(isolation_level="REPEATABLE READ")
    connection.begin()
    return connection


def _tables(connection: Connection) -> list[Table]:
    """The tables that are there, parents first: an archive may be of an older revision than the code."""
    metadata = MetaData()
    metadata.reflect(connection)
    for column in (each for table in metadata.tables.values() for each in table.columns):
        if isinstance(column.type, JSON):
            column.type.none_as_null = True  # as the tables are declared: nothing there is NULL, not the JSON null
    return [table for table in metadata.sorted_tables if table.name != _NOT_KEPT]


def _write_table(archive: zipfile.ZipFile, connection: Connection, table: Table) -> TableEntry:
    digest, count = hashlib.sha256(), 0
    with archive.open(f"tables/{table.name}.jsonl", "w") as file:
        for row in connection.execute(select(table).order_by(*table.primary_key.columns)).mappings():
            line = json.dumps(_encoded(row), ensure_ascii=False, allow_nan=False).encode() + b"\n"
            file.write(line)
            digest.update(line)
            count += 1
    return TableEntry(count, digest.hexdigest())


def _encoded(row: Mapping[Any, Any]) -> dict[str, Any]:
    return {str(name): _written(value) for name, value in row.items()}


def _written(value: object) -> object:
    if isinstance(value, datetime.datetime):
        aware = value.replace(tzinfo=datetime.UTC) if value.tzinfo is None else value.astimezone(datetime.UTC)
        return aware.isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode()
    return value


def _decoded(table: Table, row: dict[str, Any], connection: Connection) -> dict[str, Any]:
    for column in table.columns:
        value = row.get(column.name)
        if value is None:
            continue
        if isinstance(column.type, DateTime):
            moment = datetime.datetime.fromisoformat(value)
            row[column.name] = moment if connection.dialect.name == "postgresql" else moment.replace(tzinfo=None)
        elif isinstance(column.type, Date):
            row[column.name] = datetime.date.fromisoformat(value)
        elif isinstance(column.type, LargeBinary):
            row[column.name] = base64.b64decode(value)
    return row


def _insert(connection: Connection, table: Table, rows: Sequence[dict[str, Any]]) -> None:
    """Insert rows; those that point at others of their own table come after these."""
    pointers = [key.parent.name for key in table.foreign_keys if key.column.table is table]
    if not pointers:
        for start in range(0, len(rows), _BATCH):
            connection.execute(insert(table), rows[start : start + _BATCH])
        return
    (pointer,) = pointers
    circular = []
    for row, parent_is_there in _parents_first(rows, pointer):
        if not parent_is_there:
            circular.append(row)
        connection.execute(insert(table), row if parent_is_there else {**row, pointer: None})
    for row in circular:
        connection.execute(update(table).where(table.c.id == row["id"]).values({pointer: row[pointer]}))


def _parents_first(rows: Sequence[dict[str, Any]], pointer: str) -> Iterator[tuple[dict[str, Any], bool]]:
    """Rows in an order in which parents precede; in a circle the first has its parent still to come."""
    waiting = {row["id"]: row for row in rows}
    while waiting:
        ready = [key for key, row in waiting.items() if row[pointer] not in waiting]
        for key in ready or [next(iter(waiting))]:
            yield waiting.pop(key), bool(ready)


def _manifest(archive: zipfile.ZipFile) -> Manifest:
    found = json.loads(archive.read("manifest.json"))
    if found["format"] != FORMAT:
        raise ArchiveError(f"the archive has the format {found['format']}, this version reads {FORMAT}")
    tables = {name: TableEntry(**entry) for name, entry in found["tables"].items()}
    return Manifest(found["format"], found["revision"], found["made_at"], tables)
