"""What can be set from outside, with its default and the environment variable that sets it."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass

from heelwright_service.store.engine import database_url


@dataclass(frozen=True)
class Settings:
    """The service's settings.

    Parameters
    ----------
    database_url : str
        Address of the database (``HEELWRIGHT_DATABASE_URL``).
    max_body_bytes : int
        The longest request body (``HEELWRIGHT_MAX_BODY_BYTES``); a longer one is refused with 413.
    computation_wait_s : float
        How long a computation waits for the one before it (``HEELWRIGHT_COMPUTATION_WAIT_S``); then 503.
    proxies : int
        How many proxies before it are trusted to say the address of the caller (``HEELWRIGHT_PROXIES``), against which
        attempts to sign in are counted; the planning front end is one.
    """

    database_url: str
    max_body_bytes: int = 16 * 1024 * 1024
    computation_wait_s: float = 120.0
    proxies: int = 0


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """Return the settings of an environment, by default of this process.

    Parameters
    ----------
    environment : Mapping or None
        Names and texts, as in ``os.environ``.

    Returns
    -------
    Settings
        With defaults where nothing is set.

    Raises
    ------
    ValueError
        When a number is not one.

    Examples
    --------
    >>> read_settings({"HEELWRIGHT_DATABASE_URL": "sqlite:////tmp/x", "HEELWRIGHT_MAX_BODY_BYTES": "1000"})
    Settings(database_url='sqlite:////tmp/x', max_body_bytes=1000, computation_wait_s=120.0, proxies=0)
    """
    given = os.environ if environment is None else environment
    return Settings(
        database_url=given.get("HEELWRIGHT_DATABASE_URL", "").strip() or database_url(),
        max_body_bytes=int(given.get("HEELWRIGHT_MAX_BODY_BYTES", Settings.max_body_bytes)),
        computation_wait_s=float(given.get("HEELWRIGHT_COMPUTATION_WAIT_S", Settings.computation_wait_s)),
        proxies=int(given.get("HEELWRIGHT_PROXIES", Settings.proxies)),
    )
