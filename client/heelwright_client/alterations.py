"""The alterations of a vessel: an append-only history."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from heelwright_client.http import Connection, Document, Stored
from heelwright_client.vessels import vessel_path


class Alterations:
    """The alteration calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, vessel_id: str) -> Iterator[Document]:
        """Read the alterations of a vessel.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.

        Yields
        ------
        dict
            One alteration at a time.
        """
        yield from self._connection.pages(f"{vessel_path(vessel_id)}/alterations")

    def get(self, vessel_id: str, alteration_id: str) -> Document:
        """Read one alteration.

        Parameters
        ----------
        vessel_id, alteration_id : str
            Whose, and which.

        Returns
        -------
        dict
            The alteration, and what has taken its place.
        """
        return self._connection.get(f"{vessel_path(vessel_id)}/alterations/{quote(alteration_id, safe='')}")

    def add(self, vessel_id: str, alteration: Mapping[str, Any]) -> Stored:
        """Append one alteration.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        alteration : Mapping
            The alteration.

        Returns
        -------
        Stored
            What was stored, with its id.
        """
        return self._connection.create(f"{vessel_path(vessel_id)}/alterations", dict(alteration))
