"""A record carried from page to page in the page itself, since this program stores nothing."""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from collections.abc import Mapping
from typing import Any

from heelwright_client.errors import EntryError

_LARGEST_BYTES = 64 * 1024 * 1024


def packed(document: Mapping[str, Any]) -> str:
    """Pack a document into a short text.

    Parameters
    ----------
    document : Mapping
        What JSON can hold.

    Returns
    -------
    str
        Letters and digits.

    Examples
    --------
    >>> unpacked(packed({"a": [1.5]}))
    {'a': [1.5]}
    """
    text = json.dumps(document, separators=(",", ":"))
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode()


def unpacked(text: str) -> dict[str, Any]:
    """Unpack what `packed` made.

    Parameters
    ----------
    text : str
        As it came back.

    Returns
    -------
    dict
        The document.

    Raises
    ------
    EntryError
        When it is not what was sent out, or unpacks to more than any record has.
    """
    try:
        opener = zlib.decompressobj()
        content = opener.decompress(base64.urlsafe_b64decode(text.encode()), _LARGEST_BYTES)
        document = json.loads(content) if opener.eof else None
    except (ValueError, binascii.Error, zlib.error, RecursionError):
        document = None
    if not isinstance(document, dict):
        raise EntryError("The record that this page carried has been damaged; give the record again.")
    return document


def read_record(text: str) -> dict[str, Any]:
    """Read a record that a person pasted or chose as a file.

    Parameters
    ----------
    text : str
        JSON.

    Returns
    -------
    dict
        The record.

    Raises
    ------
    EntryError
        With the line where it stops being JSON.
    """
    if not text.strip():
        raise EntryError("Choose a file or paste a record.")
    try:
        document = json.loads(text)
    except json.JSONDecodeError as error:
        raise EntryError(f"This is not JSON: {error.msg} in line {error.lineno}, column {error.colno}.") from error
    except RecursionError as error:
        raise EntryError("This is not a record: it is nested too deeply.") from error
    if not isinstance(document, dict):
        raise EntryError("A record is a JSON object: it starts with a brace.")
    return document
