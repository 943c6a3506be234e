"""The first start: a token where the command line of the same user finds it, and nobody else."""

from __future__ import annotations

import json
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from heelwright_service.store.engine import make_engine
from heelwright_service.store.queries.vessels import EVERYTHING
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import authenticate, list_tokens
from heelwright_service.usecases.first_start import leave_token, migrate_when_new
from sqlalchemy import Engine

URL = "http://127.0.0.1:8377"


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    """An embedded database that was just made."""
    made = make_engine(f"sqlite:///{tmp_path / 'x.sqlite3'}")
    assert migrate_when_new(made)
    yield made
    made.dispose()


def count(engine: Engine) -> int:
    return len(list_tokens(UnitOfWork(engine), EVERYTHING, None, 100).items)


def test_a_database_is_migrated_once(engine: Engine) -> None:
    assert not migrate_when_new(engine)


def test_the_token_left_is_an_administrators_and_private(engine: Engine, tmp_path: Path) -> None:
    path = tmp_path / "config" / "client.json"
    assert leave_token(engine, URL, path)
    kept = json.loads(path.read_text())
    assert authenticate(UnitOfWork(engine), kept["token"]).role == "admin"
    assert kept["url"] == URL
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_token_that_is_good_is_kept_and_only_the_address_is_brought_up_to_date(
    engine: Engine, tmp_path: Path
) -> None:
    path = tmp_path / "client.json"
    leave_token(engine, URL, path)
    before = json.loads(path.read_text())
    assert not leave_token(engine, URL, path)
    assert leave_token(engine, "http://127.0.0.1:9000", path)
    assert json.loads(path.read_text()) == before | {"url": "http://127.0.0.1:9000"}
    assert count(engine) == 1


@pytest.mark.parametrize("content", ["", "{", "[]", '{"url": "http://localhost:1", "token": "hw_of_another_database"}'])
def test_what_is_no_good_is_replaced(engine: Engine, tmp_path: Path, content: str) -> None:
    path = tmp_path / "client.json"
    path.write_text(content)
    assert leave_token(engine, URL, path)
    assert authenticate(UnitOfWork(engine), json.loads(path.read_text())["token"]).role == "admin"


def test_what_a_user_set_up_for_a_service_elsewhere_is_left_alone(engine: Engine, tmp_path: Path) -> None:
    path = tmp_path / "client.json"
    path.write_text('{"url": "https://fleet.example", "token": "theirs"}')
    assert not leave_token(engine, URL, path)
    assert "theirs" in path.read_text()
    assert count(engine) == 0
