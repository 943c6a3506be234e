"""Plans of inclining weights; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from heelwright_client.http import Connection
from heelwright_client.models import WeightPlan


class WeightPlans:
    """The weight-plan calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def compute(self, request: Mapping[str, Any]) -> WeightPlan:
        """Find the least weights, their places and the order of lifts.

        Parameters
        ----------
        request : Mapping
            The weight-plan request.

        Returns
        -------
        WeightPlan
            The plan; ``feasible`` tells whether it keeps all limits. Where there is none to show, ``weights`` is empty
            and ``first_needed`` says what has to be known or changed first.
        """
        return cast(WeightPlan, self._connection.compute("/v1/weight-plans", request))
