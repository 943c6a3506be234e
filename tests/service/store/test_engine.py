"""The engine: which addresses it takes, and the settings that make SQLite safe."""

from __future__ import annotations

import datetime
import stat
from pathlib import Path

import pytest
from heelwright_service.store.canonical import canonical_json, sha256_of
from heelwright_service.store.engine import database_url, embedded_path, make_engine
from heelwright_service.store.tables import Event, Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from sqlalchemy import insert, select
from sqlalchemy.exc import StatementError


def test_sqlite_keeps_foreign_keys_and_survives_a_crash(tmp_path: Path) -> None:
    engine = make_engine(f"sqlite:///{tmp_path / 'deep' / 'x.sqlite3'}")
    with engine.connect() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("foreign_keys", "journal_mode", "synchronous", "busy_timeout")
        }
    assert found == {"foreign_keys": 1, "journal_mode": "wal", "synchronous": 2, "busy_timeout": 10_000}
    modes = {stat.S_IMODE(file.stat().st_mode) for file in (tmp_path / "deep").iterdir()}
    assert modes == {0o600}
    engine.dispose()


@pytest.mark.parametrize("url", ["sqlite://", "sqlite:///:memory:", "mysql://localhost/x"])
def test_other_databases_are_refused(url: str) -> None:
    with pytest.raises(ValueError, match="HEELWRIGHT_DATABASE_URL"):
        make_engine(url)


def test_the_address_comes_from_the_environment_or_the_users_data_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEELWRIGHT_DATABASE_URL", "postgresql://host/name")
    assert database_url() == "postgresql://host/name"
    assert make_engine(database_url()).dialect.driver == "psycopg"
    monkeypatch.delenv("HEELWRIGHT_DATABASE_URL")
    path = embedded_path(database_url())
    assert path is not None
    assert path.name == "heelwright.sqlite3"


def test_times_come_back_in_utc_whatever_offset_they_had(work: UnitOfWork) -> None:
    east = datetime.timezone(datetime.timedelta(hours=9))
    moment = datetime.datetime(2024, 5, 17, 6, 30, tzinfo=east)
    with work.transaction() as session:
        session.add(Vessel(name="Alder", created_at=moment))
    with work.transaction(read_only=True) as session:
        found = session.scalars(select(Vessel.created_at)).one()
    assert found == moment
    assert found.utcoffset() == datetime.timedelta(0)


def test_a_time_without_an_offset_is_refused(work: UnitOfWork) -> None:
    naive = datetime.datetime(2024, 5, 17)
    with pytest.raises(StatementError, match="offset"), work.transaction() as session:
        session.execute(insert(Event).values(sequence=1, type="x", subject="x", actor="x", time=naive, data={}))


def test_a_digest_does_not_depend_on_the_order_of_keys_or_the_spelling_of_whole_numbers() -> None:
    assert sha256_of({"a": 1.0, "b": [2, 0.5]}) == sha256_of({"b": [2.0, 0.5], "a": 1})
    assert sha256_of({"a": 1.0}) != sha256_of({"a": 1.0000000000000002})


def test_a_digest_of_nan_is_refused() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical_json({"a": float("nan")})
