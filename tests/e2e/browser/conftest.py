"""Debian's chromium before the front end, both served on loopback."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from flask import Flask
from heelwright_client.client import Client
from heelwright_client.demo.seed import seed
from heelwright_client.web.app import create_app
from heelwright_client.web.settings import WebSettings

from tests.client.web.conftest import staged
from tests.client.web.story import bring_to, open_campaign, read_states
from tests.support.app import engine_of, make_app, migrated_sqlite, new_token, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    """A fresh profile for each test, as wide as a desk's screen."""
    made = chromium.new_context(viewport={"width": 1440, "height": 900})
    made.set_default_timeout(10_000)
    yield made
    made.close()


@pytest.fixture(autouse=True)
def _nobody_stays(chromium: Browser) -> Iterator[None]:
    """Close the profiles of everybody who signed in, so that their pages cost the next test nothing."""
    yield
    for each in chromium.contexts:
        each.close()


@dataclass
class Quay:
    """The service and the front end, each served on a port of its own."""

    api: Flask
    service: str
    address: str
    admin: str
    tests: dict[str, str] = field(default_factory=dict)

    @property
    def client(self) -> Client:
        """The Python client with the administrator's token."""
        return Client(self.service, self.admin)

    def token(self, role: str, **scope: Any) -> str:
        """The text of a new token."""
        return new_token(self.api, role, **scope)

    def sign_in(self, context: BrowserContext, token: str | None = None) -> Page:
        """A page of a signed-in visitor; anything that a script or the content policy complains of is kept."""
        page = context.new_page()
        page.goto(f"{self.address}/sign-in")
        page.get_by_label("Token").fill(token or self.admin)
        with page.expect_navigation():
            page.get_by_role("button", name="Use the token").click()
        return page


@pytest.fixture(scope="session")
def fleet_quay(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Quay]:
    """The invented fleet with tests at three stages, read by many tests and changed by none."""
    folder = tmp_path_factory.mktemp("quay")
    stage = staged(migrated_sqlite(folder))
    seed(stage.client, lambda line: None)
    vessel = stage.vessel("Merrowdale")
    tests = {
        name: bring_to(open_campaign(stage.client, vessel), name) for name in ("preparing", "test-day", "under-review")
    }
    read_states(tests["test-day"], 4)
    tests["test-day"].add("deviations", {"kind": "density-basis", "text": "the glass was read in air"})
    engine_of(stage.api).dispose()
    with ExitStack() as stack:
        made = quay_on(stack, f"sqlite:///{folder / 'heelwright.sqlite3'}", stage.admin)
        made.tests = {name: campaign.test_id for name, campaign in tests.items()}
        yield made


@pytest.fixture
def quay(tmp_path: Path) -> Iterator[Quay]:
    """A service of a test's own, with nothing stored."""
    with ExitStack() as stack:
        yield quay_on(stack, migrated_sqlite(tmp_path))


def quay_on(stack: ExitStack, database_url: str, admin: str | None = None) -> Quay:
    """Serve a database and the front end before it until the stack is closed."""
    api = make_app(database_url)
    stack.callback(lambda: engine_of(api).dispose())
    service = stack.enter_context(served(api))
    web = create_app(WebSettings(service, "a secret of the tests"))
    return Quay(api, service, stack.enter_context(served(web)), admin or new_token(api))
