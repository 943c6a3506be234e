"""The list of the ship as the draughts show it, before anything is reduced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from heelwright_service.core.documents import from_document
from heelwright_service.core.record import DraughtReading, FreeboardReading, Vessel
from heelwright_service.core.waterline import water_points, waterline_fit


def list_by_draughts_deg(
    vessel: Vessel, draughts: Sequence[Mapping[str, Any]], freeboards: Sequence[Mapping[str, Any]]
) -> float | None:
    """Return the list of the fitted water surface.

    Parameters
    ----------
    vessel : Vessel
        Her marks and length.
    draughts, freeboards : sequence of Mapping
        Readings as they stand.

    Returns
    -------
    float or None
        To starboard positive [deg]; None where only one side or nothing was read.

    Raises
    ------
    CoreError
        As `water_points` and `waterline_fit`.

    Examples
    --------
    >>> from heelwright_service.core.record import Mark
    >>> marks = [Mark("AP", 0.0, -5.0, 0.0), Mark("AS", 0.0, 5.0, 0.0), Mark("FP", 50.0, -5.0, 0.0)]
    >>> read = [{"mark": "AP", "reading_m": 3.0}, {"mark": "AS", "reading_m": 3.1}, {"mark": "FP", "reading_m": 3.0}]
    >>> round(list_by_draughts_deg(Vessel(50.0, marks=marks), read, []), 3)
    0.573
    """
    if not draughts and not freeboards:
        return None
    marks = [from_document(DraughtReading, each) for each in draughts]
    boards = [from_document(FreeboardReading, each) for each in freeboards]
    points = water_points(vessel.marks, marks, boards)
    fit = waterline_fit(points, np.ones(len(points.z_m)), vessel.length_bp_m)
    if not fit.determined[2]:
        return None
    return float(fit.planes(points.z_m[None]).heel_deg[0])
