"""Hydrostatics of a hull form or table at given planes; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.http import Connection, Document


class Hydrostatics:
    """The hydrostatics calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def compute(self, request: Mapping[str, Any]) -> list[Document]:
        """Compute hydrostatics at planes.

        Parameters
        ----------
        request : Mapping
            ``length_bp_m``, ``hull`` or ``hydrostatic_table``, ``planes``, ``density_t_per_m3``.

        Returns
        -------
        list of dict
            One item a plane.
        """
        items: list[Document] = self._connection.compute("/v1/hydrostatics", request)["items"]
        return items
