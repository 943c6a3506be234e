"""Compute hydrostatics at given planes, of a hull form or from a hydrostatic table; nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.hydrostatics_answer import HydrostaticsRequest, answer_hydrostatics
from heelwright_service.usecases.computing import Turns


def compute_hydrostatics(turns: Turns, request: Mapping[str, Any]) -> dict[str, Any]:
    """Compute volume, centre of buoyancy, waterplane and metacentres at each plane.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    request : Mapping
        ``length_bp_m``, ``hull`` or ``hydrostatic_table``, ``planes``, ``density_t_per_m3``, of checked shape.

    Returns
    -------
    dict
        ``items``, one a plane.

    Raises
    ------
    CoreError
        When the form is unsound, or a plane lies outside the table or leaves no waterplane.
    """
    with turns.turn():
        return cast(dict[str, Any], to_document(answer_hydrostatics(from_document(HydrostaticsRequest, request))))
