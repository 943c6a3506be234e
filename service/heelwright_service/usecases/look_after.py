"""Look after the database: back it up, restore it, and verify that everything in it hangs together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from heelwright_service.store.archive import Manifest, check_archive, load_archive, write_archive
from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.migrate import current_revision, head_revision, migrate
from heelwright_service.store.tables import Computation, Event, EventCounter, VesselDocument
from heelwright_service.store.unit_of_work import UnitOfWork


@dataclass(frozen=True)
class Finding:
    """One thing that was verified: what, whether it holds, and what was found."""

    name: str
    holds: bool
    detail: str


def back_up(engine: Engine, path: Path) -> Manifest:
    """Write the database to a file, as of one moment; see :func:`heelwright_service.store.archive.write_archive`."""
    return write_archive(engine, path)


def restore(engine: Engine, path: Path) -> Manifest:
    """Restore a file into an empty database, and bring it to the newest revision.

    Parameters
    ----------
    engine : Engine
        An empty database of either kind.
    path : Path
        From :func:`back_up`, also of an older version.

    Returns
    -------
    Manifest
        What was restored.

    Raises
    ------
    ArchiveError
        When the file is no whole archive.
    ConflictError
        When the database already has rows.
    """
    manifest = check_archive(path)
    migrate(engine, manifest.revision)
    load_archive(engine, path)
    migrate(engine)
    return manifest


def verify(engine: Engine) -> list[Finding]:
    """Verify a database: revision, integrity, digests of documents and inputs, and the feed without gaps.

    Parameters
    ----------
    engine : Engine
        The database.

    Returns
    -------
    list of Finding
        One of each check; those after the revision only when it is right.
    """
    found, needed = current_revision(engine), head_revision()
    revision = Finding("revision", found == needed, f"the database is at {found}, this version needs {needed}")
    if not revision.holds:
        return [revision]
    with UnitOfWork(engine).transaction(read_only=True) as session:
        return [revision, *(check(session) for check in _CHECKS)]


def _integrity(session: Session) -> Finding:
    if session.get_bind().dialect.name != "sqlite":
        return Finding("integrity", True, "the database server keeps its own integrity")
    connection = session.connection()
    told = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check")]
    astray = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    return Finding("integrity", told == ["ok"] and not astray, f"{'; '.join(told)}; {len(astray)} rows point nowhere")


def _documents(session: Session) -> Finding:
    rows = session.scalars(select(VesselDocument).execution_options(yield_per=50))
    return _digests("documents", ((row.id, row.sha256, row.document) for row in rows))


def _inputs(session: Session) -> Finding:
    rows = session.scalars(select(Computation).execution_options(yield_per=50))
    return _digests("inputs of results", ((row.id, row.inputs_sha256, row.inputs) for row in rows))


def _digests(name: str, rows: Iterator[tuple[str, str, object]]) -> Finding:
    wrong, count = [], 0
    for row_id, digest, document in rows:
        count += 1
        if sha256_of(document) != digest:
            wrong.append(row_id)
    return Finding(name, not wrong, f"{count} read, {len(wrong)} with another digest {wrong[:5] or ''}".rstrip())


def _feed(session: Session) -> Finding:
    count, first, last = session.execute(
        select(func.count(), func.min(Event.sequence), func.max(Event.sequence)).select_from(Event)
    ).one()
    counter = session.scalar(select(EventCounter.last_sequence).where(EventCounter.id == 1))
    whole = count == (last or 0) == counter and (count == 0 or first == 1)
    return Finding("feed", whole, f"{count} events from {first or 0} to {last or 0}, counter at {counter}")


_CHECKS: tuple[Callable[[Session], Finding], ...] = (_integrity, _documents, _inputs, _feed)
