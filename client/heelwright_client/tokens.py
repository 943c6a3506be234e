"""Tokens: who may do what, to which vessels."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from heelwright_client.http import Connection, Document, Stored


class Tokens:
    """The token calls of one connection; all but `own` need the role admin."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def __iter__(self) -> Iterator[Document]:
        return self._connection.pages("/v1/tokens")

    def own(self) -> Document:
        """Read the facts of the token that this connection speaks with.

        Returns
        -------
        dict
            Its ``name``, ``role``, scope (``fleet`` or ``vessel_ids``), ``expires_at``, and under ``may`` what the
            role includes, of read, record, plan, approve and administer.
        """
        return self._connection.get("/v1/tokens/self")

    def create(self, token: Mapping[str, Any]) -> Stored:
        """Make a token; its secret is shown once, in this answer.

        Parameters
        ----------
        token : Mapping
            Label, role and scope.

        Returns
        -------
        Stored
            The token with its secret.
        """
        return self._connection.create("/v1/tokens", dict(token))

    def revoke(self, token_id: str, *, etag: str) -> None:
        """Revoke a token.

        Parameters
        ----------
        token_id : str
            Its id.
        etag : str
            The version that was read.
        """
        self._connection.delete(f"/v1/tokens/{quote(token_id, safe='')}", etag=etag)
