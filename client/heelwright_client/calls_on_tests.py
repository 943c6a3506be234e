"""What all calls on stored tests share: their path, and changing the version that was read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from heelwright_client.http import Connection, Document, Stored


def path_of_test(test_id: str) -> str:
    """Return the path of a test.

    Parameters
    ----------
    test_id : str
        The test's id.

    Returns
    -------
    str
        The path below the service's address.
    """
    return f"/v1/tests/{quote(test_id, safe='')}"


class CallsOnTests:
    """The connection, and how a part of a test is read or changed."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def _part(self, test_id: str, part: str) -> Document:
        return self._connection.get(f"{path_of_test(test_id)}/{part}")

    def _change(self, test_id: str, part: str, body: Mapping[str, Any], etag: str | None) -> Stored:
        seen = self._connection.get_stored(path_of_test(test_id)).etag if etag is None else etag
        return self._connection.change("PUT", f"{path_of_test(test_id)}/{part}", dict(body), etag=seen)
