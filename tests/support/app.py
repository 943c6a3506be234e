"""The real application on a migrated database of its own, through Flask's client or over loopback."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from heelwright_service.api.app import create_app
from heelwright_service.api.server import listen, make_server
from heelwright_service.api.settings import Settings
from heelwright_service.store.engine import make_engine
from heelwright_service.store.migrate import migrate
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import TokenWanted, issue_token
from sqlalchemy import Engine
from waitress.server import BaseWSGIServer  # type: ignore[import-untyped]
from werkzeug.test import TestResponse

Option = Any  # a setting, or a part of a token's scope


@cache
def _migrated_template() -> Path:
    """Migrate one SQLite file a test run; every test gets a copy of it."""
    path = Path(mkdtemp(prefix="heelwright-tests-")) / "template.sqlite3"
    engine = make_engine(f"sqlite:///{path}")
    migrate(engine)
    engine.dispose()
    return path


def migrated_sqlite(folder: Path) -> str:
    """Return the address of a migrated SQLite database in a folder."""
    path = folder / "heelwright.sqlite3"
    shutil.copy(_migrated_template(), path)
    return f"sqlite:///{path}"


def make_app(database_url: str, **settings: Option) -> Flask:
    """Return the application on a database; its defects answer 500 as in service."""
    app = create_app(Settings(database_url, **settings))
    app.config["PROPAGATE_EXCEPTIONS"] = False
    return app


def engine_of(app: Flask) -> Engine:
    """Return the engine of an application."""
    engine: Engine = app.extensions["heelwright"].engine
    return engine


def new_token(app: Flask, role: str = "admin", *, name: str = "a test", **scope: Option) -> str:
    """Return the text of a new token."""
    wanted = TokenWanted(name, role, **scope)
    return str(issue_token(UnitOfWork(engine_of(app)), "the tests", wanted)["token"])


@dataclass
class Api:
    """A caller of the application: the paths below ``/v1``, with a token."""

    client: FlaskClient
    token: str | None

    def call(self, method: str, path: str, body: object = None, **headers: str) -> TestResponse:
        """Send a request; header names are written with underscores."""
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.token is not None:
            sent.setdefault("Authorization", f"Bearer {self.token}")
        return self.client.open(f"/v1{path}", method=method, json=body, headers=sent)

    def get(self, path: str, **headers: str) -> TestResponse:
        """GET."""
        return self.call("GET", path, **headers)

    def post(self, path: str, body: object, **headers: str) -> TestResponse:
        """POST."""
        return self.call("POST", path, body, **headers)

    def put(self, path: str, body: object, **headers: str) -> TestResponse:
        """PUT."""
        return self.call("PUT", path, body, **headers)

    def patch(self, path: str, body: object, **headers: str) -> TestResponse:
        """PATCH."""
        return self.call("PATCH", path, body, **headers)

    def delete(self, path: str, **headers: str) -> TestResponse:
        """DELETE."""
        return self.call("DELETE", path, **headers)

    def with_token(self, token: str | None) -> Api:
        """Return another caller of the same application."""
        return Api(self.client.application.test_client(), token)


@contextmanager
def served(app: Flask) -> Iterator[str]:
    """Serve an application by the real server on a free port of loopback, and yield its address."""
    server = make_server(app, listen("127.0.0.1", 0))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:
        server.task_dispatcher.shutdown(cancel_pending=False)
        server.trigger.pull_trigger(lambda: _close(server))
        thread.join(5)


def _close(server: BaseWSGIServer) -> None:
    """Close everything in the thread of the loop, which would trip over what another thread closes under it."""
    for channel in list(server.active_channels.values()):
        channel.handle_close()
    server.close()
