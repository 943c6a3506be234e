"""What the planning front end is told when it starts."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from requests.adapters import BaseAdapter

LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")


@dataclass(frozen=True)
class WebSettings:
    """Settings of the front end.

    Parameters
    ----------
    api_url : str
        Address of the service.
    secret : str
        Signs and seals the session cookie; whoever has it can read a token out of a stolen cookie.
    trusted_hosts : tuple of str
        Host names that requests may carry; any where empty.
    proxies : int
        How many proxies in front of it are trusted to say the address and scheme of the visitor.
    own_token : str or None
        Token of the user who started it, handed over once to the visitor who knows `ticket`.
    ticket : str or None
        Text of the one-time address.
    transport : requests.adapters.BaseAdapter or None
        Stands in for the network between front end and service.
    """

    api_url: str
    secret: str = field(repr=False)
    trusted_hosts: tuple[str, ...] = ()
    proxies: int = 0
    own_token: str | None = field(default=None, repr=False)
    ticket: str | None = field(default=None, repr=False)
    transport: BaseAdapter | None = None


def kept_secret(folder: Path) -> str:
    """Read the secret of this user's front end, made when there is none, so that a restart signs nobody out.

    Parameters
    ----------
    folder : pathlib.Path
        The user's configuration folder.

    Returns
    -------
    str
        From ``HEELWRIGHT_WEB_SECRET``, else from the file ``web-secret`` that only its owner can read.
    """
    given = os.environ.get("HEELWRIGHT_WEB_SECRET", "").strip()
    return given or _filed_secret(folder / "web-secret")


def _filed_secret(path: Path) -> str:
    made = secrets.token_urlsafe(32)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if path.exists():
            return path.read_text(encoding="utf-8").strip() or made
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except OSError:
        return made  # it holds until this program stops; then everybody signs in again
    with os.fdopen(descriptor, "w", encoding="utf-8") as file:
        file.write(made)
    return made
