"""The unit of work: one transaction, events numbered at its end, nothing half done."""

from __future__ import annotations

import threading
import time

import pytest
from heelwright_service.store.base import AppendOnlyError
from heelwright_service.store.errors import ConflictError, StaleError
from heelwright_service.store.migrate import current_revision, head_revision
from heelwright_service.store.queries import feed, vessels
from heelwright_service.store.queries.vessels import EVERYTHING
from heelwright_service.store.tables import Event, EventCounter, Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.look_after import verify
from sqlalchemy import Engine, func, select


def tell(work: UnitOfWork, number: int = 0) -> None:
    work.emit("vessel.created", "/v1/vessels/x", actor="a test", vessel_id=None, data={"number": number})


def test_an_error_undoes_everything_and_tells_nothing(work: UnitOfWork) -> None:
    def fail() -> None:
        with work.transaction() as session:
            session.add(Vessel(name="Alder"))
            tell(work)
            raise RuntimeError("something failed")

    with pytest.raises(RuntimeError):
        fail()
    with work.transaction(read_only=True) as session:
        assert session.scalar(select(func.count()).select_from(Vessel)) == 0
        assert feed.last_sequence(session) == 0


def test_a_transaction_inside_another_is_undone_with_it(work: UnitOfWork) -> None:
    def fail() -> None:
        with work.transaction():
            with work.transaction() as session:
                session.add(Vessel(name="Alder"))
            raise RuntimeError("the outer one failed")

    with pytest.raises(RuntimeError):
        fail()
    with work.transaction(read_only=True) as session:
        assert vessels.all_vessels(session, EVERYTHING, None) == []


def test_writing_inside_a_reading_transaction_is_a_defect(work: UnitOfWork) -> None:
    with work.transaction(read_only=True), pytest.raises(RuntimeError, match="cannot join"), work.transaction():
        pass


def test_a_reading_transaction_sees_one_moment_whatever_others_store_meanwhile(engine: Engine) -> None:
    with UnitOfWork(engine).transaction(read_only=True) as session:
        assert vessels.all_vessels(session, EVERYTHING, None) == []
        with UnitOfWork(engine).transaction() as other:
            other.add(Vessel(name="Alder"))
        assert session.scalar(select(func.count()).select_from(Vessel)) == 0
    with UnitOfWork(engine).transaction(read_only=True) as session:
        assert session.scalar(select(func.count()).select_from(Vessel)) == 1


def test_looking_at_the_revision_and_verifying_wait_for_no_writer(engine: Engine) -> None:
    with UnitOfWork(engine).transaction() as session:
        session.add(Vessel(name="Alder"))
        session.flush()
        began = time.monotonic()
        assert current_revision(engine) == head_revision()
        assert all(finding.holds for finding in verify(engine))
        assert time.monotonic() - began < 5.0  # a writer is waited for ten seconds


def test_events_of_an_undone_transaction_leave_no_gap(work: UnitOfWork) -> None:
    for fails in (False, True, False):
        try:
            with work.transaction():
                tell(work)
                tell(work)
                if fails:
                    raise ValueError("undone")
        except ValueError:
            pass
    with work.transaction(read_only=True) as session:
        assert [event.sequence for event in feed.events_after(session, EVERYTHING, 0, 10)] == [1, 2, 3, 4]
        assert session.scalar(select(EventCounter.last_sequence)) == 4


def test_events_of_many_writers_are_numbered_without_gap_in_order_of_commit(engine: Engine) -> None:
    seen: list[list[int]] = []

    def write(writer: int) -> None:
        for number in range(6):
            mine = UnitOfWork(engine)
            with mine.transaction() as session:
                session.add(Vessel(name=f"{writer}-{number}"))
                tell(mine, writer)

    def read() -> None:
        while len(seen) < 40 and (not seen or len(seen[-1]) < 48):
            with UnitOfWork(engine).transaction(read_only=True) as session:
                seen.append(list(session.scalars(select(Event.sequence).order_by(Event.sequence))))

    threads = [threading.Thread(target=write, args=(writer,)) for writer in range(8)]
    reader = threading.Thread(target=read)
    for thread in [*threads, reader]:
        thread.start()
    for thread in [*threads, reader]:
        thread.join()
    with UnitOfWork(engine).transaction(read_only=True) as session:
        assert list(session.scalars(select(Event.sequence).order_by(Event.sequence))) == list(range(1, 49))
    # at no moment does a reader see a number whose predecessor is still to come
    assert all(numbers == list(range(1, len(numbers) + 1)) for numbers in seen)


def test_no_update_of_many_writers_is_lost(engine: Engine) -> None:
    with UnitOfWork(engine).transaction() as session:
        vessel = Vessel(name="Alder", depth_m=1.0)
        session.add(vessel)

    def deepen() -> None:
        for _ in range(10):
            with UnitOfWork(engine).transaction() as session:
                row = vessels.get_vessel(session, vessel.id, EVERYTHING, lock=True)
                row.depth_m = (row.depth_m or 0.0) + 1.0

    threads = [threading.Thread(target=deepen) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with UnitOfWork(engine).transaction(read_only=True) as session:
        assert vessels.get_vessel(session, vessel.id, EVERYTHING).depth_m == 81.0


def test_a_row_that_was_read_before_another_changed_it_is_stale(engine: Engine) -> None:
    with UnitOfWork(engine).transaction() as session:
        vessel = Vessel(name="Alder")
        session.add(vessel)
    with UnitOfWork(engine).transaction(read_only=True) as session:
        old = vessels.get_vessel(session, vessel.id, EVERYTHING)
    with UnitOfWork(engine).transaction() as session:
        vessels.get_vessel(session, vessel.id, EVERYTHING).kind = "cargo"
    old.kind = "passenger"
    with pytest.raises(StaleError), UnitOfWork(engine).transaction() as session:
        session.add(old)


def test_a_broken_constraint_names_the_field(work: UnitOfWork) -> None:
    with work.transaction() as session:
        session.add(Vessel(name="Alder", imo_number="9074729"))
    with pytest.raises(ConflictError) as caught, work.transaction() as session:
        session.add(Vessel(name="Birch", imo_number="9074729"))
    assert (caught.value.code, caught.value.pointer) == ("imo-number-taken", "/imo_number")


def test_a_document_that_has_been_stored_cannot_be_changed(work: UnitOfWork) -> None:
    with work.transaction() as session:
        vessel = Vessel(name="Alder")
        session.add(vessel)
        session.flush()
        row = vessels.append_document(session, vessel.id, "hull", 1, {"stations": []}, "a test")
    row.recorded_by = "somebody else"
    with pytest.raises(AppendOnlyError), work.transaction() as session:
        session.add(row)
    with pytest.raises(AppendOnlyError), work.transaction() as session:
        session.delete(session.merge(row))
