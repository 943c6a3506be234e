"""Acceptance sheets: a vessel's model against her approved hydrostatics, capacity plan, marks and spaces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from heelwright_client.http import Connection, Document
from heelwright_client.vessels import vessel_path


class ModelAcceptances:
    """The calls of one connection on acceptance sheets."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, vessel_id: str) -> Iterator[Document]:
        """Read the acceptance sheets of a vessel's model.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.

        Yields
        ------
        dict
            One sheet at a time, oldest first; the newest of a model's version counts.
        """
        yield from self._connection.pages(_path(vessel_id))

    def get(self, vessel_id: str, sheet_id: str) -> Document:
        """Read one sheet.

        Parameters
        ----------
        vessel_id, sheet_id : str
            Whose sheet, and which.

        Returns
        -------
        dict
            The sheet, and whether it is of the model that stands now.
        """
        return self._connection.get(f"{_path(vessel_id)}/{quote(sheet_id, safe='')}")

    def add(self, vessel_id: str, facts: Mapping[str, Any], *, idempotency_key: str | None = None) -> Document:
        """Compare the model that stands now with approved documents, and keep the sheet.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        facts : Mapping
            ``checker``, ``date``, ``approved_hydrostatics`` and optionally ``capacity_plan``, ``mark_plan``,
            ``spaces``, ``limits`` and ``reasons``.
        idempotency_key : str or None
            The same key sent again gives the first answer again; a new one where None.

        Returns
        -------
        dict
            The sheet as stored, accepted or not.
        """
        return self._connection.create(_path(vessel_id), dict(facts), idempotency_key=idempotency_key).document


def _path(vessel_id: str) -> str:
    return f"{vessel_path(vessel_id)}/model-acceptance"
