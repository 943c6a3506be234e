"""The client against the real application in this process."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from heelwright_client.cli import run
from heelwright_client.client import Client
from heelwright_client.wsgi_transport import WsgiTransport

from tests.support.app import engine_of, make_app, migrated_sqlite, new_token

URL = "http://service.test"


@dataclass(frozen=True)
class Shell:
    """Runs command lines against one application and reads what they printed."""

    transport: WsgiTransport
    token: str
    capsys: pytest.CaptureFixture[str]

    def __call__(self, *arguments: str) -> tuple[int, str, str]:
        """Run one command line; exit status, standard output, standard error."""
        self.capsys.readouterr()
        status = run(["--url", URL, "--token", self.token, *arguments], self.transport)
        printed = self.capsys.readouterr()
        return status, printed.out, printed.err

    def json(self, *arguments: str) -> Any:
        """Run one command line that succeeds, and read its answer for machines."""
        status, out, err = self("--json", *arguments)
        assert status == 0, err
        return json.loads(out)


def application_of(transport: WsgiTransport) -> Flask:
    """The application behind a transport."""
    assert isinstance(transport.application, Flask)
    return transport.application


@pytest.fixture
def transport(tmp_path: Path) -> Iterator[WsgiTransport]:
    """The real application on a migrated database, behind the in-process transport."""
    app = make_app(migrated_sqlite(tmp_path))
    yield WsgiTransport(app)
    engine_of(app).dispose()


@pytest.fixture
def token(transport: WsgiTransport) -> str:
    """An administrator's token."""
    return new_token(application_of(transport), "admin")


@pytest.fixture
def heelwright(transport: WsgiTransport, token: str) -> Client:
    """The Python client."""
    return Client(URL, token, transport=transport)


@pytest.fixture
def shell(transport: WsgiTransport, token: str, capsys: pytest.CaptureFixture[str]) -> Shell:
    """The command line."""
    return Shell(transport, token, capsys)
