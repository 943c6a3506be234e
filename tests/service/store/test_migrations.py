"""Migrations: up, down, without drift, behind a lock, and without harm to children of a rebuilt table."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.util import CommandError
from heelwright_service.store import tables
from heelwright_service.store.base import Base
from heelwright_service.store.engine import make_engine
from heelwright_service.store.migrate import current_revision, downgrade, head_revision, migrate, migrations_folder
from sqlalchemy import Engine, inspect, text


def scratch_config(engine: Engine, folder: Path, *revisions: str) -> Config:
    """A migration folder with the project's own env.py and the revisions given."""
    shutil.copytree(migrations_folder(), folder, ignore=shutil.ignore_patterns("versions", "__pycache__"))
    (folder / "versions").mkdir()
    for number, body in enumerate(revisions, 1):
        before = f"'{number - 1:04d}'" if number > 1 else None
        lines = (
            f"import sqlalchemy as sa\nfrom alembic import op\nrevision = '{number:04d}'\ndown_revision = {before}\n"
        )
        (folder / "versions" / f"{number:04d}_scratch.py").write_text(f"{lines}\n\ndef upgrade():\n{body}\n")
    config = Config()
    config.set_main_option("script_location", str(folder))
    config.attributes["engine"] = engine
    return config


PARENT_AND_CHILDREN = """
    op.create_table("parent", sa.Column("id", sa.Integer, primary_key=True))
    op.create_table(
        "child",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("parent_id", sa.Integer, sa.ForeignKey("parent.id", ondelete="CASCADE", name="fk_child_parent")),
    )
    op.execute("INSERT INTO parent (id) VALUES (1)")
    op.execute("INSERT INTO child (id, parent_id) VALUES (1, 1), (2, 1)")
"""
REBUILT_PARENT = """
    with op.batch_alter_table("parent", recreate="auto") as batch:
        batch.add_column(sa.Column("name", sa.Text))
        batch.create_unique_constraint("uq_parent_name", ["name"])
"""
FAILING = """
    op.create_table("half", sa.Column("id", sa.Integer, primary_key=True))
    raise RuntimeError("this migration fails")
"""


def test_up_makes_every_table_and_down_removes_them(empty_database_url: str) -> None:
    engine = make_engine(empty_database_url)
    migrate(engine)
    assert current_revision(engine) == head_revision()
    assert set(Base.metadata.tables) <= set(inspect(engine).get_table_names())
    downgrade(engine, "base")
    assert set(inspect(engine).get_table_names()) <= {"alembic_version"}
    migrate(engine)
    assert current_revision(engine) == head_revision()
    engine.dispose()


def test_a_migrated_database_has_the_tables_that_the_code_declares(engine: Engine) -> None:
    assert tables.Vessel.metadata is Base.metadata
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []


def test_two_newest_revisions_are_refused(tmp_path: Path) -> None:
    engine = make_engine(f"sqlite:///{tmp_path / 'two.sqlite3'}")
    config = scratch_config(engine, tmp_path / "migrations", PARENT_AND_CHILDREN, REBUILT_PARENT)
    rival = (tmp_path / "migrations/versions/0002_scratch.py").read_text().replace("'0002'", "'0002b'")
    (tmp_path / "migrations/versions/0002b_rival.py").write_text(rival)
    with pytest.raises(CommandError, match="Multiple head"):
        command.upgrade(config, "head")
    engine.dispose()


def test_rebuilding_a_table_keeps_the_rows_that_point_at_it(empty_database_url: str, tmp_path: Path) -> None:
    engine = make_engine(empty_database_url)
    command.upgrade(scratch_config(engine, tmp_path / "migrations", PARENT_AND_CHILDREN, REBUILT_PARENT), "head")
    with engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM child")).scalar() == 2
    engine.dispose()


def test_a_migration_that_fails_changes_nothing(empty_database_url: str, tmp_path: Path) -> None:
    engine = make_engine(empty_database_url)
    config = scratch_config(engine, tmp_path / "migrations", PARENT_AND_CHILDREN, FAILING)
    command.upgrade(config, "0001")
    with pytest.raises(RuntimeError, match="this migration fails"):
        command.upgrade(config, "head")
    assert current_revision(engine) == "0001"
    assert "half" not in inspect(engine).get_table_names()
    engine.dispose()


def test_several_processes_may_migrate_at_once(empty_database_url: str) -> None:
    environment = os.environ | {"HEELWRIGHT_DATABASE_URL": empty_database_url}
    words = [sys.executable, "-m", "heelwright_service.cli", "migrate"]
    running = [subprocess.Popen(words, env=environment, stderr=subprocess.PIPE) for _ in range(3)]
    told = [process.communicate(timeout=60)[1].decode() for process in running]
    assert [process.returncode for process in running] == [0, 0, 0], told


def test_the_migrations_are_found_beside_the_source_or_in_the_wheel() -> None:
    assert (migrations_folder() / "versions").is_dir()
    assert head_revision() is not None
