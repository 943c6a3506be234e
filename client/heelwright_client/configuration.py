"""Where the service is and by which token: options, then the environment, then the user's configuration file."""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from heelwright_client.errors import ConfigurationError

DEFAULT_URL = "http://127.0.0.1:8377"
_OPEN_TO_OTHERS = stat.S_IRWXG | stat.S_IRWXO


@dataclass(frozen=True)
class Configuration:
    """The address of the service and the token; the token is never printed."""

    url: str
    token: str | None = field(default=None, repr=False)


def configuration_path() -> Path:
    """Tell where the configuration file of this user is.

    Returns
    -------
    pathlib.Path
        ``client.json`` in the user's configuration folder.
    """
    from platformdirs import user_config_path

    return user_config_path("heelwright") / "client.json"


def read_configuration(
    url: str | None = None,
    token: str | None = None,
    *,
    environment: Mapping[str, str] | None = None,
    path: Path | None = None,
) -> Configuration:
    """Find the address and the token: what is given, then the environment, then the file, then the default address.

    The file's token belongs to the file's address: it is not sent anywhere else.

    Parameters
    ----------
    url, token : str or None
        As given by the caller.
    environment : Mapping or None
        Environment variables; the process's own where None.
    path : pathlib.Path or None
        The configuration file; the user's own where None.

    Returns
    -------
    Configuration
        Address and token.

    Raises
    ------
    ConfigurationError
        When the file can be read by others, or is not what this client writes.
    """
    variables = os.environ if environment is None else environment
    url = url or variables.get("HEELWRIGHT_URL") or None
    token = token or variables.get("HEELWRIGHT_TOKEN") or None
    if url and token:
        return Configuration(url, token)
    filed = _read_file(path or configuration_path())
    if filed is None:
        return Configuration(url or DEFAULT_URL, token)
    if token is None and url in (None, filed.url):
        token = filed.token
    return Configuration(url or filed.url, token)


def write_configuration(configuration: Configuration, path: Path | None = None) -> Path:
    """Write the configuration file so that only its owner can read it.

    Parameters
    ----------
    configuration : Configuration
        Address and token.
    path : pathlib.Path or None
        Where; the user's own file where None.

    Returns
    -------
    pathlib.Path
        Where it was written.
    """
    target = path or configuration_path()
    target.parent.mkdir(parents=True, exist_ok=True)
    draft = target.with_name(f".{target.name}.{os.getpid()}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as file:
        json.dump({"url": configuration.url, "token": configuration.token}, file, indent=2)
    draft.replace(target)
    return target


def _read_file(path: Path) -> Configuration | None:
    try:
        with path.open(encoding="utf-8") as file:
            mode = os.fstat(file.fileno()).st_mode
            text = file.read()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise ConfigurationError(f"{path} cannot be read: {error.strerror}.") from error
    if os.name == "posix" and mode & _OPEN_TO_OTHERS:
        raise ConfigurationError(
            f"{path} holds a token and can be read by others (mode {stat.S_IMODE(mode):04o}); run: chmod 600 {path}"
        )
    return _parsed(text, path)


def _parsed(text: str, path: Path) -> Configuration:
    try:
        document = json.loads(text)
        url, token = document["url"], document.get("token")
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ConfigurationError(f'{path} must hold {{"url": ..., "token": ...}}; mend or delete it.') from error
    if not isinstance(url, str) or not isinstance(token, str | None):
        raise ConfigurationError(f"{path}: url and token must be texts; mend or delete it.")
    return Configuration(url, token)
