"""The lightships of a vessel: an append-only history."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from heelwright_client.http import Connection, Document, Stored
from heelwright_client.vessels import vessel_path


class Lightships:
    """The lightship calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, vessel_id: str) -> Iterator[Document]:
        """Read the lightships of a vessel.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.

        Yields
        ------
        dict
            One lightship at a time.
        """
        yield from self._connection.pages(f"{vessel_path(vessel_id)}/lightships")

    def get(self, vessel_id: str, lightship_id: str) -> Document:
        """Read one lightship.

        Parameters
        ----------
        vessel_id, lightship_id : str
            Whose, and which.

        Returns
        -------
        dict
            The lightship, and what has taken its place.
        """
        return self._connection.get(f"{vessel_path(vessel_id)}/lightships/{quote(lightship_id, safe='')}")

    def add(self, vessel_id: str, lightship: Mapping[str, Any]) -> Stored:
        """Append one lightship.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        lightship : Mapping
            The lightship.

        Returns
        -------
        Stored
            What was stored, with its id.
        """
        return self._connection.create(f"{vessel_path(vessel_id)}/lightships", dict(lightship))
