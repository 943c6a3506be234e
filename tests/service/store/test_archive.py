"""Backups: whole, checked, and good for either kind of database."""

from __future__ import annotations

import datetime
import errno
import stat
import zipfile
from pathlib import Path
from typing import Any

import pytest
from heelwright_service.store import archive
from heelwright_service.store.archive import ArchiveError, check_archive, load_archive, write_archive
from heelwright_service.store.base import new_id
from heelwright_service.store.engine import make_engine
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.tables import IdempotencyKey, Lightship, Token, Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.look_after import back_up, restore, verify
from sqlalchemy import Engine, select


def fill(engine: Engine) -> None:
    """Rows with every kind of column, two vessels that name each other, and a chain of corrections."""
    work = UnitOfWork(engine)
    with work.transaction() as session:
        first, second = Vessel(name="Alder ÆØ", keel_laid=datetime.date(1999, 2, 3)), Vessel(name="Birch", depth_m=0.1)
        session.add_all([first, second])
        session.flush()
        first.sister_of, second.sister_of = second.id, first.id
        old = Lightship(**facts(first), mass_t=1200.0, uncertainties={"mass_t": 3.5})
        session.add(old)
        session.flush()
        newer = Lightship(**facts(first), mass_t=1210.0, supersedes=old.id, reason="scale read wrongly")
        session.add(newer)
        token = Token(name="t", token_sha256="0" * 64, role="reader", created_by="a test", vessel_ids=[first.id])
        of_fleet = Token(name="f", token_sha256="1" * 64, role="reader", created_by="a test", fleet="North")
        session.add_all([token, of_fleet])
        session.flush()
        session.add(
            IdempotencyKey(token_id=token.id, key="k", fingerprint="f", status=201, body=b"\x00\xff", headers={})
        )
        work.emit("vessel.created", "/v1/vessels/x", actor="a test", vessel_id=first.id, data={"name": "Alder"})


def facts(vessel: Vessel) -> dict[str, object]:
    day = datetime.date(2020, 1, 1)
    return {"vessel_id": vessel.id, "date": day, "basis": "weighed", "lcg_m": 20.0, "recorded_by": "a test"}


def rows(engine: Engine) -> dict[str, list[dict[str, object]]]:
    found = {}
    with UnitOfWork(engine).transaction(read_only=True) as session:
        for table in (Vessel, Lightship, Token, IdempotencyKey):
            order = list(table.__table__.primary_key.columns)
            found[table.__name__] = [
                {column.key: getattr(row, column.key) for column in table.__table__.columns}
                for row in session.scalars(select(table).order_by(*order))
            ]
    return found


def test_a_backup_is_restored_row_by_row_into_a_new_database(
    engine: Engine, empty_database_url: str, tmp_path: Path
) -> None:
    fill(engine)
    manifest = back_up(engine, tmp_path / "backup.zip")
    assert stat.S_IMODE((tmp_path / "backup.zip").stat().st_mode) == 0o600
    other = make_engine(empty_database_url)
    assert restore(other, tmp_path / "backup.zip") == manifest
    assert rows(other) == rows(engine)
    assert [finding for finding in verify(other) if not finding.holds] == []
    with UnitOfWork(other).transaction() as session:
        session.add(Vessel(name="Cedar"))
    other.dispose()


def test_what_has_no_value_has_none_after_a_restore_either(
    engine: Engine, empty_database_url: str, tmp_path: Path
) -> None:
    """A JSON null is a value: a token limited to a fleet would have vessels too, which no database here takes."""
    fill(engine)
    back_up(engine, tmp_path / "backup.zip")
    other = make_engine(empty_database_url)
    restore(other, tmp_path / "backup.zip")
    with UnitOfWork(other).transaction(read_only=True) as session:
        assert session.scalars(select(Token.name).where(Token.vessel_ids.is_(None))).all() == ["f"]
        assert len(session.scalars(select(Lightship).where(Lightship.uncertainties.is_(None))).all()) == 1
    other.dispose()


def test_writers_do_not_wait_for_a_backup(engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(engine)
    write_table = archive._write_table

    def while_somebody_writes(*arguments: Any) -> archive.TableEntry:
        with UnitOfWork(engine).transaction() as session:
            session.add(Vessel(name="Cedar"))
        return write_table(*arguments)

    monkeypatch.setattr(archive, "_write_table", while_somebody_writes)
    assert write_archive(engine, tmp_path / "backup.zip").tables["vessels"].rows == 2


def test_a_backup_that_fails_leaves_the_one_before_it_and_nothing_else(
    engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(engine)
    folder = tmp_path / "backups"
    folder.mkdir()
    write_archive(engine, folder / "backup.zip")
    before = (folder / "backup.zip").read_bytes()
    write_table = archive._write_table

    def until_the_disk_is_full(*arguments: Any) -> archive.TableEntry:
        if arguments[2].name == "vessels":
            raise OSError(errno.ENOSPC, "no space left on device")
        return write_table(*arguments)

    monkeypatch.setattr(archive, "_write_table", until_the_disk_is_full)
    with pytest.raises(OSError, match="no space left"):
        write_archive(engine, folder / "backup.zip")
    assert [file.name for file in folder.iterdir()] == ["backup.zip"]
    assert (folder / "backup.zip").read_bytes() == before


def test_a_database_with_rows_is_not_restored_into(engine: Engine, tmp_path: Path) -> None:
    fill(engine)
    write_archive(engine, tmp_path / "backup.zip")
    before = rows(engine)
    with pytest.raises(ConflictError, match="has rows already"):
        load_archive(engine, tmp_path / "backup.zip")
    assert rows(engine) == before


def test_a_file_that_was_cut_short_or_changed_is_refused(engine: Engine, tmp_path: Path) -> None:
    fill(engine)
    path = tmp_path / "backup.zip"
    write_archive(engine, path)
    (tmp_path / "short.zip").write_bytes(path.read_bytes()[:-200])
    with pytest.raises(ArchiveError):
        check_archive(tmp_path / "short.zip")
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(tmp_path / "changed.zip", "w") as target:
        for name in source.namelist():
            target.writestr(name, source.read(name).replace(b"1210.0", b"1310.0"))
    with pytest.raises(ArchiveError, match="lightships"):
        check_archive(tmp_path / "changed.zip")


def test_verifying_finds_a_document_that_was_tampered_with(engine: Engine) -> None:
    with UnitOfWork(engine).transaction() as session:
        vessel = Vessel(name="Alder")
        session.add(vessel)
    with engine.begin() as connection:
        connection.exec_driver_sql(
            "INSERT INTO vessel_documents (id, vessel_id, kind, version, sha256, document, recorded_at, recorded_by)"
            f" VALUES ('{new_id()}', '{vessel.id}', 'hull', 1, '{'0' * 64}', '{{}}', '2024-01-01 00:00:00', 'nobody')"
        )
    assert [finding.name for finding in verify(engine) if not finding.holds] == ["documents"]


def test_verifying_finds_a_gap_in_the_feed(engine: Engine) -> None:
    fill(engine)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE events SET sequence = 7")
    assert [finding.name for finding in verify(engine) if not finding.holds] == ["feed"]
