"""The price of departures from the procedure, and which survey items are too small to matter; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.http import Connection, Document


class Deviations:
    """The calls of one connection that price departures."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def price(self, request: Mapping[str, Any]) -> Document:
        """Price departures from the procedure on a record, or on a plan before the test.

        Parameters
        ----------
        request : Mapping
            ``deviations`` and either ``record``, or ``plan`` and ``vessel``.

        Returns
        -------
        dict
            ``items``, one price a deviation (mass, height of the centre, safe or unsafe side), and ``cautions``.
        """
        return self._connection.compute("/v1/deviations", request)

    def kinds(self) -> list[Document]:
        """List the kinds of departure that can be priced.

        Returns
        -------
        list of dict
            ``kind``, ``text``, the sizes that it ``needs`` and those that it ``may`` have.
        """
        items: list[Document] = self._connection.get("/v1/deviations/kinds")["items"]
        return items

    def materiality(self, request: Mapping[str, Any]) -> Document:
        """Ask below which size survey items need not be listed by themselves.

        Parameters
        ----------
        request : Mapping
            ``target_vcg_uncertainty_m`` and ``target_mass_uncertainty_t`` (95 %), ``lightship_mass_t``.

        Returns
        -------
        dict
            The limits, and what the unlisted remainder brings to the budget.
        """
        return self._connection.compute("/v1/materiality", request)
