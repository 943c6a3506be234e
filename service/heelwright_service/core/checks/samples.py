"""Records of inclinometers: whether a whole oscillation was recorded, and whether the ship had settled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution
from heelwright_service.core.readings import oscillation_ends
from heelwright_service.core.record import Reading
from heelwright_service.core.words import listed, number

Array = NDArray[np.float64]

MATTERS_SHARE = 0.01
"""What moves a reading by less than this share of the largest heel is left unsaid (office default, as C-05)."""


def cautions(given: CheckInput) -> list[Caution]:
    """Say which records are too short for the swing they show, and which still wander.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        None, one or two.
    """
    if given.is_survey:
        return []
    counted = [one for one in given.record.readings if one.samples_deg and one.withdrawn_reason is None]
    matters = MATTERS_SHARE * float(np.abs(given.heel_changes_deg).max())
    short, wandering = [], []
    for reading in counted:
        samples = np.asarray(reading.samples_deg, dtype=float)
        ends = oscillation_ends(samples, float(samples.mean()))
        if len(ends) < 2:
            swing = 0.5 * float(np.ptp(samples))
            short += [f"{_name(reading)} (swings of {number(swing, 2)}°)"] if swing > matters else []
        elif (drift := _wander_deg(samples, ends)) > matters:
            wandering.append(f"{_name(reading)} (by {number(drift, 3)}°)")
    found = []
    if short:
        found.append(
            f"no whole oscillation was recorded by {listed(short)}: the mean of a part of one is off by up to two "
            "thirds of the swing. Record ten oscillations, and read the state again at all stations."
        )
    if wandering:
        found.append(
            f"the mean still wandered within the record of {listed(wandering)}: the ship had not settled, or a moment "
            "came and went. Wait longer, and read the state again at all stations."
        )
    return [Caution(text) for text in found]


def _name(reading: Reading) -> str:
    return f"{reading.instrument} in state {reading.state}"


def _wander_deg(samples: Array, ends: Array) -> float:
    """How far the means of the first and the last whole oscillation are apart [deg]; zero with one alone."""
    if len(ends) < 3:
        return 0.0
    places = np.arange(len(samples))
    means = []
    for low, high in ((ends[0], ends[1]), (ends[-2], ends[-1])):
        grid = np.linspace(float(low), float(high), 200)
        means.append(float(np.interp(grid, places, samples).mean()))
    return abs(means[1] - means[0])
