"""What a list that the draughts cannot tell does to the displacement."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.hog import displacement_at_t
from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.words import side_name, tonnes

LEAST_SHARE = 1e-3
"""A smaller share of the displacement for a degree is not worth a sentence (office default)."""


def price_of_a_degree_t(given: CheckInput) -> float | None:
    """How much the displacement changes when a degree more of list to starboard is taken with the same draughts.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    float or None
        Change [t], where the draughts cannot tell the list and it matters; else None.
    """
    fit = given.test.fit
    if fit.determined[2]:
        return None
    listed = given.outcome.planes.slope_y
    more = np.tan(np.arctan(listed) + np.radians(1.0))
    there = displacement_at_t(given, fit.planes(given.test.points.z_m[None], more))
    change = None if there is None else there - given.displacement_t
    return None if change is None or abs(change) < LEAST_SHARE * given.displacement_t else change


def price_sentence(given: CheckInput) -> str:
    """Say what the displacement is wrong by for each degree of list.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    str
        A sentence with a space before it; empty where the draughts tell the list or are read on the centreline.
    """
    change = price_of_a_degree_t(given)
    if change is None:
        return ""
    price = tonnes(abs(change))
    known = "instruments that know the upright ship tell it" if given.knows_list else "nothing tells it"
    return (
        f" Draughts on one side cannot tell the list ({known}): the displacement is {price} wrong for each degree of "
        f"list that is not known, and found too large where she lists more to {side_name(-change)} than assumed."
    )
