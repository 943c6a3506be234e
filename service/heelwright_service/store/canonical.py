"""One way to write a document down, so that its digest means the same everywhere and for ever."""

from __future__ import annotations

import hashlib
import json


def canonical_json(document: object) -> bytes:
    """Write a document as JSON with sorted keys, no spaces and no NaN, in UTF-8.

    Parameters
    ----------
    document : object
        Dictionaries, lists, texts, numbers, booleans and None.

    Returns
    -------
    bytes
        The canonical form; whole-valued numbers are written alike whether they came as 3 or 3.0.

    Raises
    ------
    ValueError
        When a number is NaN or infinite.

    Examples
    --------
    >>> canonical_json({"b": 3.0, "a": [1, 2.5]})
    b'{"a":[1,2.5],"b":3}'
    """
    text = json.dumps(_plain(document), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.encode()


def sha256_of(document: object) -> str:
    """Return the SHA-256 of a document's canonical form, in hexadecimal.

    Parameters
    ----------
    document : object
        What :func:`canonical_json` takes.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    return hashlib.sha256(canonical_json(document)).hexdigest()


def _plain(value: object) -> object:
    """Databases may give 3 for a stored 3.0: whole numbers up to 2**53 become integers."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        return int(value)
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
