"""Reduction of a test record to a lightship, and its report; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, cast

from heelwright_client.http import Connection, Document
from heelwright_client.models import Reduction

Method = Literal["small-angle", "heeled-equilibrium", "both"]
Uncertainty = Literal["none", "linear", "monte-carlo"]


class Reductions:
    """The reduction calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def compute(
        self,
        record: Mapping[str, Any],
        *,
        method: Method | None = None,
        uncertainty: Uncertainty | None = None,
        draws: int | None = None,
        seed: int | None = None,
    ) -> Reduction:
        """Reduce a test record.

        Parameters
        ----------
        record : Mapping
            The test record.
        method : str or None
            Reduction method; the service's choice where None (both with a hull form, else small-angle).
        uncertainty : str or None
            How the uncertainty is evaluated; the service's choice where None (linear).
        draws : int or None
            Monte Carlo draws.
        seed : int or None
            Seed of the Monte Carlo.

        Returns
        -------
        Reduction
            The test result.
        """
        answer = self._connection.compute(
            "/v1/reductions", record, method=method, uncertainty=uncertainty, draws=draws, seed=seed
        )
        return cast(Reduction, answer)

    def report(self, record: Mapping[str, Any]) -> bytes:
        """Typeset the report of a test record.

        Parameters
        ----------
        record : Mapping
            The test record.

        Returns
        -------
        bytes
            The PDF.
        """
        return self._connection.compute_bytes("/v1/reports", record)

    def deviations(self, request: Mapping[str, Any]) -> list[Document]:
        """Price departures from the procedure: mass, height of the centre, safe or unsafe side.

        Parameters
        ----------
        request : Mapping
            ``record`` (or ``plan`` and ``vessel``) and ``deviations``.

        Returns
        -------
        list of dict
            One item a deviation.
        """
        items: list[Document] = self._connection.compute("/v1/deviations", request)["items"]
        return items
