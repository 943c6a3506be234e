"""The unit of work: one transaction, its events numbered as the last thing before it commits."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import Engine, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session
from sqlalchemy.orm.exc import StaleDataError

from heelwright_service.store.base import utc_now
from heelwright_service.store.constraints import conflict_of
from heelwright_service.store.engine import LONGEST_WAIT_S, READ_ONLY
from heelwright_service.store.errors import StaleError
from heelwright_service.store.tables.feed import Event, EventCounter


class UnitOfWork:
    """Opens transactions; one inside another joins it, and the outermost commits.

    Parameters
    ----------
    engine : Engine
        From :func:`heelwright_service.store.engine.make_engine`.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._session: Session | None = None
        self._read_only = False
        self._events: list[Event] = []

    @contextmanager
    def transaction(self, *, read_only: bool = False) -> Iterator[Session]:
        """Run a block in a transaction; it commits when the outermost block ends and rolls back when one raises.

        Parameters
        ----------
        read_only : bool
            Do not take the write lock; every question sees the same moment.

        Yields
        ------
        Session
            For the store's queries.

        Raises
        ------
        ConflictError
            When the database refuses the change.
        StaleError
            When another transaction changed the same row meanwhile.
        """
        if self._session is not None:
            if self._read_only and not read_only:
                raise RuntimeError("a writing use case cannot join a reading transaction")
            with _translated():
                yield self._session
                self._session.flush()
            return
        queue = nullcontext() if read_only else _in_line(self._engine)
        with _translated(), queue, Session(self._engine, expire_on_commit=False) as session:
            self._session, self._read_only, self._events = session, read_only, []
            try:
                session.connection(execution_options=self._options(read_only=read_only))
                yield session
                self._number_events(session)
                session.commit()
            finally:
                self._session = None

    def _options(self, *, read_only: bool) -> dict[str, Any]:
        """SQLite's transactions see one moment by themselves."""
        if not read_only or self._engine.dialect.name != "postgresql":
            return {READ_ONLY: read_only}
        return {READ_ONLY: True, "isolation_level": "REPEATABLE READ", "postgresql_readonly": True}

    def emit(
        self,
        kind: str,
        subject: str,
        *,
        actor: str,
        vessel_id: str | None,
        data: dict[str, Any],
        fleet_left: str | None = None,
    ) -> None:
        """Tell the feed that something happened; it is numbered when the transaction commits.

        Parameters
        ----------
        kind : str
            The type of event, such as ``vessel.created``.
        subject : str
            The path of the resource it happened to.
        actor : str
            Who did it.
        vessel_id : str or None
            The vessel it belongs to, which decides who may read it.
        data : dict
            What a consumer needs to know.
        fleet_left : str or None
            The fleet that the vessel leaves by this, or is removed from: those who see that fleet alone are told too.
        """
        facts = {"type": kind, "subject": subject, "actor": actor, "vessel_id": vessel_id, "fleet_left": fleet_left}
        self._events.append(Event(**facts, data=data, time=utc_now()))

    def _number_events(self, session: Session) -> None:
        session.flush()
        if not self._events:
            return
        counted = (
            update(EventCounter)
            .where(EventCounter.id == 1)
            .values(last_sequence=EventCounter.last_sequence + len(self._events))
            .returning(EventCounter.last_sequence)
            .execution_options(synchronize_session=False)
        )
        last = session.execute(counted).scalar_one()
        for offset, event in enumerate(reversed(self._events)):
            event.sequence = last - offset
        session.add_all(self._events)


_lines: WeakKeyDictionary[Engine, threading.Lock] = WeakKeyDictionary()


@contextmanager
def _in_line(engine: Engine) -> Iterator[None]:
    """Let this process's writers to SQLite follow each other: its own lock goes to whoever asks at the right time.

    Who has waited as long as for that lock asks for it all the same, and is refused by it.
    """
    if engine.dialect.name != "sqlite":
        yield
        return
    line = _lines.setdefault(engine, threading.Lock())
    has_it = line.acquire(timeout=LONGEST_WAIT_S)
    try:
        yield
    finally:
        if has_it:
            line.release()


@contextmanager
def _translated() -> Iterator[None]:
    try:
        yield
    except IntegrityError as error:
        raise conflict_of(error) from error
    except StaleDataError as error:
        raise StaleError("stale", "somebody changed this meanwhile; read it again and repeat your change") from error
