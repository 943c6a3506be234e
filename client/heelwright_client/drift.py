"""Drift of a lightship against its approved baseline, from a history that is given; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from heelwright_client.http import Connection
from heelwright_client.models import Drift


class Drifts:
    """The drift calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def compute(self, request: Mapping[str, Any]) -> Drift:
        """Follow the drift of a history.

        Parameters
        ----------
        request : Mapping
            ``vessel``, ``lightships``, ``alterations``, ``rule_set``, ``as_of``; of a sister without a test of her own,
            ``lead``: the lead ship's approved inclining test.

        Returns
        -------
        Drift
            Differences, verdicts, growth and what is due next.
        """
        return cast(Drift, self._connection.compute("/v1/drift", request))
