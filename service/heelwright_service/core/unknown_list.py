"""The list of a ship whose draughts were not read on both sides and whose instruments do not know her upright."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.small_angle import knows_upright

UNKNOWN_LIST_DEG = 0.5
"""Half-width of the list of a ship that nothing told it of (office default, rectangular): the list that a test asks her
to be brought within."""


def unknown_list_standard(test: PreparedTest) -> float:
    """Standard uncertainty of the tangent of a list that neither the waterline nor an instrument tells.

    Parameters
    ----------
    test : PreparedTest
        The record made ready.

    Returns
    -------
    float
        0 where one of them tells it.
    """
    if test.fit.determined[2] or knows_upright(test):
        return 0.0
    return float(np.tan(np.radians(UNKNOWN_LIST_DEG)) / np.sqrt(3.0))
