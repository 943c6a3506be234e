"""Bring a database to the revision this version needs; the migrations are found in the wheel or the source tree."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

import heelwright_service
from heelwright_service.store.engine import READ_ONLY


def migrations_folder() -> Path:
    """Return the folder of the migrations: the source tree's when there is one, else the wheel's own copy.

    Returns
    -------
    Path
        A folder with ``env.py`` and ``versions``.

    Raises
    ------
    FileNotFoundError
        When neither is there, which means a broken installation.
    """
    package = Path(heelwright_service.__file__).parent
    for folder in (package / "migrations", package.parent.parent / "migrations"):
        if (folder / "env.py").is_file():
            return folder
    raise FileNotFoundError("the migrations are missing from this installation; install the wheel again")


def migration_config(engine: Engine) -> Config:
    """Return the migration tool's settings for an engine, made in code so that no file is needed.

    Parameters
    ----------
    engine : Engine
        The database to work on.

    Returns
    -------
    Config
        For :mod:`alembic.command`.
    """
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.attributes["engine"] = engine
    return config


def migrate(engine: Engine, revision: str = "head") -> None:
    """Upgrade a database, in one transaction and behind a lock.

    Parameters
    ----------
    engine : Engine
        The database to work on.
    revision : str
        Where to go; the newest by default.
    """
    command.upgrade(migration_config(engine), revision)


def downgrade(engine: Engine, revision: str) -> None:
    """Take a database back to an earlier revision.

    Parameters
    ----------
    engine : Engine
        The database to work on.
    revision : str
        Where to go; ``base`` removes every table.
    """
    command.downgrade(migration_config(engine), revision)


def current_revision(engine: Engine) -> str | None:
    """Return the revision a database is at, or None for an empty one."""
    with engine.connect().execution_options(**{READ_ONLY: True}) as connection:  # whoever writes is not waited for
        return MigrationContext.configure(connection).get_current_revision()


def head_revision() -> str | None:
    """Return the newest revision; raises when two revisions claim to be."""
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    return ScriptDirectory.from_config(config).get_current_head()
