"""Plan the weights of an inclining test from a request; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from heelwright_service.core import planning
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.uncertainty.plan_expectation import weigh_plan
from heelwright_service.usecases.computing import Turns


def plan_weights(turns: Turns, request: Mapping[str, Any]) -> dict[str, Any]:
    """Choose the weights, their shifts and their sequence.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    request : Mapping
        The weight-plan request, of checked shape.

    Returns
    -------
    dict
        The plan; where none keeps every limit, the nearest, with what stands in the way, or that alone. Its expected
        uncertainty is that of the measurement model, and ``levers`` say what would better it.

    Raises
    ------
    CoreError
        When the request makes no sense, naming the field.
    """
    asked = from_document(planning.PlanRequest, request)
    with turns.turn(long=True):
        found = weigh_plan(asked, planning.plan_weights(asked))
    return cast(dict[str, Any], to_document(found.plan)) | {"levers": to_document(found.levers)}
