"""One stored test as the pages ask for it: its parts, its entries, and acts that can be repeated without harm."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from functools import cached_property
from typing import Any

from heelwright_client.client import Client
from heelwright_client.errors import ConflictError, InvalidRequestError, NotFoundError
from heelwright_client.http import Document, Stored

_COUNTS_NO_MORE = ("corrected_by", "withdrawn", "set_aside")
_KEYS = uuid.UUID("7c0b8f5e-7a0e-4a8e-9d36-3a1f3c3f9b11")


class StoredTest:
    """A stored test.

    Parameters
    ----------
    client : Client
        Speaks with the visitor's token.
    test_id : str
        The test's id.
    """

    def __init__(self, client: Client, test_id: str) -> None:
        self._client = client
        self.id = test_id
        self._entries: dict[str, list[Document]] = {}

    @cached_property
    def stored(self) -> Stored:
        """The test and its version."""
        return self._client.tests.get(self.id)

    @property
    def document(self) -> Document:
        """The test."""
        return self.stored.document

    @cached_property
    def vessel(self) -> Document:
        """The vessel that is tested."""
        return self._client.vessels.get(self.document["vessel_id"]).document

    @cached_property
    def tanks(self) -> list[Document]:
        """The vessel's tanks; none where none are stored."""
        return self._part_of_vessel("tanks")

    @cached_property
    def marks(self) -> list[Document]:
        """The vessel's draught marks; none where none are stored."""
        return self._part_of_vessel("marks")

    @cached_property
    def plan(self) -> Document:
        """The plan; empty where there is none yet."""
        return self.part("plan") or {}

    def part(self, name: str) -> Document | None:
        """Read a part of the test.

        Parameters
        ----------
        name : str
            Such as ``tank-plan/standing``.

        Returns
        -------
        dict or None
            None where there is none yet.
        """
        found = self.stored_part(name)
        return found.document if found else None

    def stored_part(self, name: str) -> Stored | None:
        """Read a part of the test with its version.

        Parameters
        ----------
        name : str
            Such as ``plan``.

        Returns
        -------
        Stored or None
            None where there is none yet, or the service says that it cannot be told yet.
        """
        try:
            return self._client.tests.part(self.id, name)
        except (NotFoundError, InvalidRequestError, ConflictError):
            return None

    def standing(self, part: str) -> list[Document]:
        """Read the entries that count: neither corrected nor withdrawn, nor of a day that was broken off.

        Parameters
        ----------
        part : str
            Such as ``readings``.

        Returns
        -------
        list of dict
            In the order of their recording.
        """
        return [each for each in self._all(part) if not any(each[name] for name in _COUNTS_NO_MORE)]

    def set_aside(self, part: str) -> list[Document]:
        """Read the entries of a day that was broken off, as they stood when it was.

        Parameters
        ----------
        part : str
            Such as ``readings``.

        Returns
        -------
        list of dict
            In the order of their recording.
        """
        stood = [each for each in self._all(part) if not (each["corrected_by"] or each["withdrawn"])]
        return [each for each in stood if each["set_aside"]]

    def _all(self, part: str) -> list[Document]:
        if part not in self._entries:
            self._entries[part] = list(self._client.tests.entries(self.id, part, limit=1000))
        return self._entries[part]

    def entry(self, part: str, entry_id: str) -> Document:
        """Read one entry.

        Parameters
        ----------
        part : str
            Such as ``readings``.
        entry_id : str
            Its id.

        Returns
        -------
        dict
            The entry.
        """
        return self._client.tests.entry(self.id, part, entry_id)

    def add(self, part: str, body: Mapping[str, Any], key: str) -> Document:
        """Enter something; the same form sent again enters nothing again.

        Parameters
        ----------
        part : str
            Such as ``readings``.
        body : Mapping
            The entry.
        key : str
            Names this one sending of a form.

        Returns
        -------
        dict
            The entry as stored.
        """
        text = json.dumps([self.id, part, key, body], sort_keys=True)
        return self._client.tests.add(self.id, part, body, idempotency_key=str(uuid.uuid5(_KEYS, text)))

    def put(self, part: str, body: Mapping[str, Any], etag: str | None) -> Stored:
        """Store a part.

        Parameters
        ----------
        part : str
            Such as ``plan``.
        body : Mapping
            The part.
        etag : str or None
            The version that was read; None for the first.

        Returns
        -------
        Stored
            What was stored.
        """
        return self._client.tests.store(self.id, part, body, etag=etag)

    def _part_of_vessel(self, part: Any) -> list[Document]:  # noqa: ANN401 (one of two names)
        try:
            found: list[Document] = self._client.vessels.part(self.document["vessel_id"], part).document[part]
        except NotFoundError:
            return []
        return found
