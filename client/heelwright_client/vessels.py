"""Vessels with their hull, hydrostatic table, marks and tanks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Literal
from urllib.parse import quote

from heelwright_client.errors import EntryError, NotFoundError
from heelwright_client.http import Connection, Document, Stored

Part = Literal["hull", "hydrostatic-table", "marks", "tanks"]


def vessel_path(vessel_id: str) -> str:
    """Return the path of a vessel.

    Parameters
    ----------
    vessel_id : str
        The vessel's id.

    Returns
    -------
    str
        The path below the service's address.
    """
    return f"/v1/vessels/{quote(vessel_id, safe='')}"


class Vessels:
    """The vessel calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def __iter__(self) -> Iterator[Document]:
        return self._connection.pages("/v1/vessels")

    def get(self, vessel_id: str) -> Stored:
        """Read a vessel.

        Parameters
        ----------
        vessel_id : str
            Its id.

        Returns
        -------
        Stored
            The vessel and its version.
        """
        return self._connection.get_stored(vessel_path(vessel_id))

    def find(self, text: str) -> Document:
        """Find a vessel by its id, IMO number or name.

        Parameters
        ----------
        text : str
            Id, IMO number (with or without the letters) or name (case does not matter).

        Returns
        -------
        dict
            The vessel.

        Raises
        ------
        NotFoundError
            When there is none.
        EntryError
            When two vessels bear the name; the message lists their ids.
        """
        found = self.among(self, text)
        if not found:
            detail = f"No vessel has the id, IMO number or name {text!r}; `heelwright vessels list` shows them."
            raise NotFoundError(404, {"code": "not-found", "detail": detail})
        if len(found) > 1:
            ids = ", ".join(str(vessel["id"]) for vessel in found)
            raise EntryError(f"{len(found)} vessels answer to {text!r}; name one by its id: {ids}.")
        return found[0]

    @staticmethod
    def among(vessels: Iterable[Document], text: str) -> list[Document]:
        """Choose those of some vessels that answer to a text; an id beats a name.

        Parameters
        ----------
        vessels : iterable of dict
            Vessels as the service gives them.
        text : str
            Id, IMO number or name.

        Returns
        -------
        list of dict
            None, one, or several of one name.
        """
        found = [vessel for vessel in vessels if _answers_to(vessel, text)]
        exact = [vessel for vessel in found if vessel["id"] == text]
        return exact or found

    def create(self, vessel: Mapping[str, Any]) -> Stored:
        """Store a vessel.

        Parameters
        ----------
        vessel : Mapping
            Name, kind, dimensions.

        Returns
        -------
        Stored
            The vessel with its id, and its version.
        """
        return self._connection.create("/v1/vessels", dict(vessel))

    def amend(self, vessel_id: str, changes: Mapping[str, Any], *, etag: str) -> Stored:
        """Change fields of a vessel.

        Parameters
        ----------
        vessel_id : str
            Its id.
        changes : Mapping
            The fields that change.
        etag : str
            The version that was read.

        Returns
        -------
        Stored
            The vessel and its new version.
        """
        return self._connection.change("PATCH", vessel_path(vessel_id), dict(changes), etag=etag)

    def remove(self, vessel_id: str, *, etag: str) -> None:
        """Remove a vessel.

        Parameters
        ----------
        vessel_id : str
            Its id.
        etag : str
            The version that was read.
        """
        self._connection.delete(vessel_path(vessel_id), etag=etag)

    def part(self, vessel_id: str, part: Part) -> Stored:
        """Read a versioned part of a vessel.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        part : str
            ``hull``, ``hydrostatic-table``, ``marks`` or ``tanks``.

        Returns
        -------
        Stored
            The part and its version.
        """
        return self._connection.get_stored(f"{vessel_path(vessel_id)}/{part}")

    def put_part(self, vessel_id: str, part: Part, content: object, *, etag: str | None = None) -> Stored:
        """Store a new version of a part; tests keep the version that they were reduced with.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        part : str
            ``hull``, ``hydrostatic-table``, ``marks`` or ``tanks``.
        content : Mapping or list
            The part.
        etag : str or None
            The version that was read; None for the first.

        Returns
        -------
        Stored
            The part and its new version.
        """
        return self._connection.change("PUT", f"{vessel_path(vessel_id)}/{part}", content, etag=etag)

    def drift(self, vessel_id: str) -> Document:
        """Read the drift of a vessel's stored history.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.

        Returns
        -------
        dict
            The drift.
        """
        return self._connection.get(f"{vessel_path(vessel_id)}/drift")


def _answers_to(vessel: Document, text: str) -> bool:
    wanted = text.strip().casefold()
    imo = str(vessel.get("imo_number") or "")
    names = {str(vessel["id"]).casefold(), str(vessel.get("name") or "").casefold(), imo, f"imo {imo}", f"imo{imo}"}
    return bool(wanted) and wanted in names - {""}
