"""Look after the service: can it work?"""

from __future__ import annotations

from sqlalchemy import Engine

from heelwright_service.store.errors import NotMigratedError
from heelwright_service.store.migrate import current_revision, head_revision


def check_ready(engine: Engine) -> str:
    """Return the database's revision when the service can work with it.

    Parameters
    ----------
    engine : Engine
        The database.

    Returns
    -------
    str
        The revision.

    Raises
    ------
    NotMigratedError
        When the database is at another revision than this version needs.
    """
    found, needed = current_revision(engine), head_revision()
    if found is None or found != needed:
        raise NotMigratedError(
            "not-migrated",
            f"the database is at revision {found}, this version needs {needed}; run heelwrightd migrate",
        )
    return found
