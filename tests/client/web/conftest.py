"""The front end on the real application, empty, with the invented fleet, or with very many vessels."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from flask import Flask
from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.demo.seed import seed
from heelwright_client.web.app import create_app
from heelwright_client.web.settings import WebSettings
from requests.adapters import BaseAdapter
from sqlalchemy import event

from tests.client.web.story import Campaign, bring_to, open_campaign
from tests.client.web.visitor import TimedTransport, Visitor
from tests.support.app import engine_of, make_app, migrated_sqlite, new_token

URL = "http://service.test"


@dataclass
class Stage:
    """The service and the front end before it."""

    api: Flask
    web: Flask
    transport: TimedTransport
    admin: str

    def visitor(self, role: str | None = None, **scope: object) -> Visitor:
        """A visitor signed in as administrator, or with a new token of a role and scope."""
        token = self.admin if role is None else new_token(self.api, role, **scope)
        return Visitor(self.web).sign_in(token)

    @property
    def client(self) -> Client:
        """The Python client with the administrator's token."""
        return Client(URL, self.admin, transport=self.transport)

    def client_of(self, role: str, **scope: object) -> Client:
        """The Python client with a new token of a role and scope."""
        return Client(URL, new_token(self.api, role, **scope), transport=self.transport)

    def vessel(self, name: str) -> str:
        """The id of a vessel by her name."""
        return str(self.client.vessels.find(name)["id"])


def make_web(transport: BaseAdapter, **settings: object) -> Flask:
    """The front end before a service."""
    return create_app(WebSettings(URL, "a secret of the tests", transport=transport, **settings))  # type: ignore[arg-type]


def staged(database_url: str, admin: str | None = None) -> Stage:
    """The front end before the application on a database."""
    api = make_app(database_url)
    event.listen(engine_of(api), "connect", _hurried)
    transport = TimedTransport(api)
    return Stage(api, make_web(transport), transport, admin or new_token(api))


def _hurried(connection: sqlite3.Connection, record: object) -> None:
    """A database of a test need not outlive a power cut."""
    connection.execute("PRAGMA synchronous=OFF")


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Stage]:
    """Nothing is stored yet."""
    stage = staged(migrated_sqlite(tmp_path))
    yield stage
    engine_of(stage.api).dispose()


@pytest.fixture(scope="session")
def seeded(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A database with the invented fleet, made once, and its administrator's token."""
    folder = tmp_path_factory.mktemp("fleet")
    stage = staged(migrated_sqlite(folder))
    seed(stage.client, lambda line: None)
    engine_of(stage.api).dispose()
    return folder / "heelwright.sqlite3", stage.admin


@pytest.fixture
def fleet(tmp_path: Path, seeded: tuple[Path, str]) -> Iterator[Stage]:
    """The invented fleet, a copy for each test."""
    source, admin = seeded
    shutil.copy(source, tmp_path / "heelwright.sqlite3")
    stage = staged(f"sqlite:///{tmp_path / 'heelwright.sqlite3'}", admin)
    yield stage
    engine_of(stage.api).dispose()


STAGES = ("planned", "preparing", "survey-day", "test-day", "under-review")
OpenAt = Callable[[str], tuple[Stage, Campaign]]


@pytest.fixture(scope="session")
def campaigns(tmp_path_factory: pytest.TempPathFactory, seeded: tuple[Path, str]) -> dict[str, tuple[Path, str, str]]:
    """A database with a test of the Merrowdale at each of some stages: the file, her id, the test's id."""
    source, admin = seeded
    folder = tmp_path_factory.mktemp("campaigns")
    made: dict[str, tuple[Path, str, str]] = {}
    ids: tuple[str, str] | None = None
    for stage_name in STAGES:
        path = folder / f"{stage_name}.sqlite3"
        shutil.copy(made[STAGES[STAGES.index(stage_name) - 1]][0] if ids else source, path)
        stage = staged(f"sqlite:///{path}", admin)
        campaign = _campaign(stage, *ids) if ids else open_campaign(stage.client, stage.vessel("Merrowdale"))
        bring_to(_recorded(stage, campaign), stage_name)
        ids = (campaign.vessel_id, campaign.test_id)
        engine_of(stage.api).dispose()
        made[stage_name] = (path, *ids)
    return made


@pytest.fixture
def open_at(tmp_path: Path, seeded: tuple[Path, str], campaigns: dict[str, tuple[Path, str, str]]) -> Iterator[OpenAt]:
    """Opens a copy of the test at a stage."""
    opened: list[Stage] = []

    def open_copy(stage_name: str) -> tuple[Stage, Campaign]:
        path, *ids = campaigns[stage_name]
        shutil.copy(path, tmp_path / path.name)
        opened.append(staged(f"sqlite:///{tmp_path / path.name}", seeded[1]))
        return opened[-1], _recorded(opened[-1], _campaign(opened[-1], *ids))

    yield open_copy
    for stage in opened:
        engine_of(stage.api).dispose()


def _campaign(stage: Stage, vessel_id: str, test_id: str) -> Campaign:
    return Campaign(stage.client, vessel_id, test_id, carried(TEST_DAY), stage.client)


def _recorded(stage: Stage, campaign: Campaign) -> Campaign:
    """The same test, its data entered by somebody else than its planner."""
    token = new_token(stage.api, "recorder", name="Rolf Recorder")
    campaign.recorder = Client(URL, token, transport=stage.transport)
    return campaign


@pytest.fixture
def new_web() -> Callable[..., Flask]:
    """Makes a front end before any transport."""
    return make_web
