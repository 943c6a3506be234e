"""The list of the ship as the draughts show it, before anything is reduced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from heelwright_service.core.documents import from_document
from heelwright_service.core.record import DraughtReading, FreeboardReading, Mark
from heelwright_service.core.waterline import water_points, waterline_fit


def list_by_draughts_deg(
    marks: Sequence[Mark],
    length_bp_m: float,
    draughts: Sequence[Mapping[str, Any]],
    freeboards: Sequence[Mapping[str, Any]],
) -> float | None:
    """Return the list of the fitted water surface.

    Parameters
    ----------
    marks : sequence of Mark
        The vessel's draught marks.
    length_bp_m : float
        Length between perpendiculars [m].
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
    >>> marks = [Mark("AP", 0.0, -5.0, 0.0), Mark("AS", 0.0, 5.0, 0.0), Mark("FP", 50.0, -5.0, 0.0)]
    >>> read = [{"mark": "AP", "reading_m": 3.0}, {"mark": "AS", "reading_m": 3.1}, {"mark": "FP", "reading_m": 3.0}]
    >>> round(list_by_draughts_deg(marks, 50.0, read, []), 3)
    0.573
    """
    if not draughts and not freeboards:
        return None
    read = [from_document(DraughtReading, each) for each in draughts]
    boards = [from_document(FreeboardReading, each) for each in freeboards]
    points = water_points(marks, read, boards)
    fit = waterline_fit(points, np.ones(len(points.z_m)), length_bp_m)
    if not fit.determined[2]:
        return None
    return float(fit.planes(points.z_m[None]).heel_deg[0])
