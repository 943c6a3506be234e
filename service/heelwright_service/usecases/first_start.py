"""The first start on a user's own machine: a migrated database, and a token where the command line finds it."""

from __future__ import annotations

import getpass
import json
import os
from pathlib import Path
from urllib.parse import urlsplit

import platformdirs
from sqlalchemy import Engine

from heelwright_service.store.migrate import current_revision, migrate
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import TokenWanted, authenticate, issue_token
from heelwright_service.usecases.errors import UnknownCallerError

_LOOPBACK = ("127.0.0.1", "localhost", "::1")


def client_file() -> Path:
    """Return the file in which the command line of this user keeps the service's address and token."""
    return platformdirs.user_config_path("heelwright") / "client.json"


def migrate_when_new(engine: Engine) -> bool:
    """Migrate a database that has no tables yet.

    Returns
    -------
    bool
        Whether it was new.
    """
    if current_revision(engine) is not None:
        return False
    migrate(engine)
    return True


def leave_token(engine: Engine, url: str, path: Path) -> bool:
    """See to it that the command line of this user reaches this service with a token that it knows.

    A file that names a service on another machine is left alone, and so is a token that is still good.

    Parameters
    ----------
    engine : Engine
        The service's own, embedded database.
    url : str
        Where the service answers.
    path : Path
        The file; it is written with access for its owner alone.

    Returns
    -------
    bool
        Whether the file was written.
    """
    kept = _read(path)
    if kept and urlsplit(kept.get("url", "")).hostname not in _LOOPBACK:
        return False
    token = kept.get("token", "")
    if not _is_good(engine, token):
        wanted = TokenWanted(f"command line of {_user()}", "admin")
        token = str(issue_token(UnitOfWork(engine), "heelwrightd serve", wanted)["token"])
    content = {"url": url, "token": token}
    if content == kept:
        return False
    write_private(path, json.dumps(content, indent=2) + "\n")
    return True


def write_private(path: Path, content: str) -> None:
    """Write a file that only its owner can read; it appears whole or not at all.

    Parameters
    ----------
    path : Path
        The file; its folder is made when it is missing.
    content : str
        What it is to hold.
    """
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    partial = path.with_name(f".{path.name}.{os.getpid()}")
    partial.unlink(missing_ok=True)
    with os.fdopen(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        file.write(content)
    os.replace(partial, path)


def _read(path: Path) -> dict[str, str]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _is_good(engine: Engine, token: str) -> bool:
    try:
        return bool(token) and authenticate(UnitOfWork(engine), token) is not None
    except UnknownCallerError:
        return False


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return f"user {os.getuid()}"
