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

    def part(self, test_id: str, name: str) -> Stored:
        """Read a part of a test by its name in the path.

        Parameters
        ----------
        test_id : str
            The test's id.
        name : str
            Such as ``plan`` or ``tank-plan/standing``.

        Returns
        -------
        Stored
            The part, and its version where it has one.
        """
        return self._connection.get_stored(f"{path_of_test(test_id)}/{name}")

    def store(self, test_id: str, name: str, body: Mapping[str, Any], *, etag: str | None) -> Stored:
        """Store a new version of a part.

        Parameters
        ----------
        test_id : str
            The test's id.
        name : str
            Such as ``plan``.
        body : Mapping
            The part.
        etag : str or None
            The version that was read; None for the first.

        Returns
        -------
        Stored
            The part and its new version.
        """
        return self._connection.change("PUT", f"{path_of_test(test_id)}/{name}", dict(body), etag=etag)

    def add(self, test_id: str, name: str, body: Mapping[str, Any], *, idempotency_key: str | None = None) -> Document:
        """Add to a part that is a list.

        Parameters
        ----------
        test_id : str
            The test's id.
        name : str
            Such as ``readings`` or ``review/answers``.
        body : Mapping
            What is added.
        idempotency_key : str or None
            The same key sent again gives the first answer again; a new one where None.

        Returns
        -------
        dict
            What was stored.
        """
        path = f"{path_of_test(test_id)}/{name}"
        return self._connection.create(path, dict(body), idempotency_key=idempotency_key).document

    def _part(self, test_id: str, part: str) -> Document:
        return self._connection.get(f"{path_of_test(test_id)}/{part}")

    def _change(self, test_id: str, part: str, body: Mapping[str, Any], etag: str | None) -> Stored:
        seen = self._connection.get_stored(path_of_test(test_id)).etag if etag is None else etag
        return self.store(test_id, part, body, etag=seen)
