"""Reading JSON documents from files and writing files that were asked for."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from heelwright_client.errors import EntryError

_LARGEST_BYTES = 50_000_000


def read_document(path: str) -> dict[str, Any]:
    """Read one JSON object.

    Parameters
    ----------
    path : str
        A file, or ``-`` for standard input.

    Returns
    -------
    dict
        The object.

    Raises
    ------
    EntryError
        When the file cannot be read, is not a JSON object, or names a field twice.
    """
    name = "standard input" if path == "-" else path
    try:
        document = json.loads(
            _read(path), object_pairs_hook=_unrepeated, parse_constant=_not_finite, parse_float=_finite
        )
    except EntryError as error:
        raise EntryError(f"{name}: {error}") from error
    except ValueError as error:
        raise EntryError(f"{name} is not JSON: {error}.") from error
    except RecursionError as error:
        raise EntryError(f"{name} is nested too deeply to be a document of this service.") from error
    if not isinstance(document, dict):
        raise EntryError(f"{name} must hold one JSON object.")
    return document


def write_file(path: str, content: str | bytes) -> None:
    """Write a file whole or not at all.

    Parameters
    ----------
    path : str
        Where.
    content : str or bytes
        What; text is written as UTF-8.

    Raises
    ------
    EntryError
        When it cannot be written.
    """
    target = Path(path)
    draft = target.with_name(f".{target.name}.part")
    try:
        draft.write_bytes(content if isinstance(content, bytes) else content.encode())
        draft.replace(target)
    except OSError as error:
        raise EntryError(f"{path} cannot be written: {error.strerror}.") from error


def _read(path: str) -> str:
    try:
        raw = sys.stdin.buffer.read(_LARGEST_BYTES + 1) if path == "-" else Path(path).read_bytes()
    except OSError as error:
        raise EntryError(f"cannot be read: {error.strerror}.") from error
    if len(raw) > _LARGEST_BYTES:
        raise EntryError(f"is larger than {_LARGEST_BYTES // 1_000_000} MB.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise EntryError("is not text in UTF-8.") from error


def _unrepeated(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    document: dict[str, Any] = {}
    for name, value in pairs:
        if name in document:
            raise EntryError(f"the field {name!r} stands twice in one object; keep one.")
        document[name] = value
    return document


def _not_finite(text: str) -> float:
    raise EntryError(f"{text} is not a number; leave the field out where a value is not known.")


def _finite(text: str) -> float:
    value = float(text)
    return _not_finite(text) if value in (float("inf"), float("-inf")) else value
