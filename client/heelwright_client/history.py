"""Whole histories, stored in one act: everything or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.http import Connection, Document


class History:
    """The history calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, entries: Sequence[Mapping[str, Any]], *, idempotency_key: str | None = None) -> Document:
        """Append lightships and alterations of any number of vessels in one transaction.

        Parameters
        ----------
        entries : sequence of Mapping
            Each with ``vessel_id`` and either ``lightship`` or ``alteration``.
        idempotency_key : str or None
            Names this one act, so that the same file sent twice is stored once.

        Returns
        -------
        dict
            ``lightships`` and ``alterations``: how many were stored.
        """
        body = {"entries": [dict(entry) for entry in entries]}
        return self._connection.create("/v1/history", body, idempotency_key=idempotency_key).document
