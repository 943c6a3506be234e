"""GM from the natural period of roll: a rough cross-check that cannot show compliance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import CoreError

LABEL = "rough cross-check, cannot show compliance"
"""Stands beside every result of this module."""

DEFAULT_COEFFICIENT = 0.85
"""Small fishing vessels, France, arrêté of 23 November 1987, division 227, articles 227-2.04 and 2.06."""

COEFFICIENT_UNCERTAINTY_RELATIVE = 0.08
"""Office default: coefficients of 0.73 to 0.95 are published for one sort of craft or another (from memory)."""

FEWEST_OSCILLATIONS = 10
"""Free oscillations that a timing should cover (division 227, article 227-2.06)."""

USUAL_COEFFICIENTS = (0.6, 1.1)
"""Beyond these a coefficient of another equation is likelier than a rare craft (office default)."""

MOST_GM_OVER_BREADTH = 0.5
"""More GM for her breadth than a craft that is timed in roll has (office default)."""

MOST_APART = 0.1
"""Periods of two runs that differ by more of their mean do not agree (office default)."""


@dataclass(frozen=True)
class RollPeriodCheck:
    """GM from the roll period with its standard uncertainty; `label` is to be shown wherever the number is."""

    period_s: float
    gm_m: float
    standard_uncertainty_m: float
    label: str
    cautions: tuple[str, ...]


def gm_from_roll_period(
    breadth_m: float,
    durations_s: Sequence[float],
    oscillations: Sequence[int],
    coefficient: float = DEFAULT_COEFFICIENT,
    coefficient_uncertainty_relative: float = COEFFICIENT_UNCERTAINTY_RELATIVE,
) -> RollPeriodCheck:
    """Estimate GM from timed free rolling.

    Parameters
    ----------
    breadth_m : float
        Breadth at the waterline [m].
    durations_s : sequence of float, shape (n,)
        Duration of each timed run [s].
    oscillations : sequence of int, shape (n,)
        Full oscillations, port to starboard and back, in each run.
    coefficient : float
        Rolling coefficient of the kind of craft [s/√m].
    coefficient_uncertainty_relative : float
        Its relative standard uncertainty [-].

    Returns
    -------
    RollPeriodCheck
        Period, GM, uncertainty, and cautions where the timing falls short.

    Raises
    ------
    CoreError
        ``not-positive``, ``no-timing``, ``unequal-length``.

    Notes
    -----
    `GM = (f·B/T)²`: a roll gyradius of about 0.42·B is built into f = 0.85. The scatter between runs and the doubt
    about f make the uncertainty, `u(GM)/GM = 2·√((u_f/f)² + (u_T/T)²)`; the doubt about f outweighs everything.

    Examples
    --------
    >>> check = gm_from_roll_period(4.0, [40.0], [10])
    >>> round(check.gm_m, 4), check.label
    (0.7225, 'rough cross-check, cannot show compliance')
    """
    periods = _periods(durations_s, oscillations)
    for name, value in (("breadth_m", breadth_m), ("coefficient", coefficient)):
        if not value > 0.0:
            raise CoreError("not-positive", f"{name} is {value}; it must be above zero.", f"/{name}")
    period = sum(durations_s) / sum(oscillations)
    scatter = 0.0
    if len(periods) > 1:
        mean = sum(periods) / len(periods)
        scatter = math.sqrt(sum((p - mean) ** 2 for p in periods) / (len(periods) - 1) / len(periods))
    gm = (coefficient * breadth_m / period) ** 2
    relative = 2.0 * math.hypot(coefficient_uncertainty_relative, scatter / period)
    cautions = (*_cautions(oscillations), *_slips(breadth_m, gm, coefficient, periods))
    return RollPeriodCheck(period, gm, gm * relative, LABEL, cautions)


def meets_minimum_gm(gm_m: float, minimum_gm_m: float = 0.70) -> bool:
    """Say whether a GM reaches a minimum within a millimetre.

    Parameters
    ----------
    gm_m : float
        GM [m].
    minimum_gm_m : float
        Least GM [m].

    Returns
    -------
    bool
        True from 1 mm below the minimum upwards.

    Notes
    -----
    Division 227 states the same limit twice, GM ≥ 0.70 m and T ≤ 1.016·B; at T = 1.016·B the GM is 0.69992 m, so the
    two agree only within a millimetre.

    Examples
    --------
    >>> meets_minimum_gm(0.69992), meets_minimum_gm(0.698)
    (True, False)
    """
    return gm_m >= minimum_gm_m - 0.001


def _periods(durations_s: Sequence[float], oscillations: Sequence[int]) -> list[float]:
    if len(durations_s) != len(oscillations):
        raise CoreError(
            "unequal-length",
            f"{len(durations_s)} durations and {len(oscillations)} counts of oscillations; give one for the other.",
            "/oscillations",
        )
    if not durations_s:
        raise CoreError("no-timing", "At least one timed run is needed.", "/durations_s")
    if any(not d > 0.0 for d in durations_s) or any(n < 1 for n in oscillations):
        raise CoreError("not-positive", "Every run needs a duration above zero and an oscillation.", "/durations_s")
    return [d / n for d, n in zip(durations_s, oscillations, strict=True)]


def _cautions(oscillations: Sequence[int]) -> tuple[str, ...]:
    cautions = ["A roll period never shows compliance and never moves an approved lightship."]
    if sum(oscillations) < FEWEST_OSCILLATIONS:
        cautions.append(f"{sum(oscillations)} oscillations were timed; at least {FEWEST_OSCILLATIONS} are asked for.")
    return tuple(cautions)


def _slips(breadth_m: float, gm_m: float, coefficient: float, periods: Sequence[float]) -> list[str]:
    """What a miscounted run or a coefficient of another equation gives away."""
    found = []
    if gm_m > MOST_GM_OVER_BREADTH * breadth_m:
        found.append(
            f"Unsafe side: a GM of {gm_m:.2f} m is more than half the breadth. Count an oscillation from one side to "
            "the other and back (half ones counted whole make GM four times as large), and give the duration of all."
        )
    low, high = USUAL_COEFFICIENTS
    if not low <= coefficient <= high:
        found.append(
            f"The coefficient {coefficient:g} is unlike the 0.73 to 0.95 usual (from memory) in T = f·B/√GM in metres; "
            "that of T = 2·C·B/√GM is half as large, that for feet 0.55 times."
        )
    if max(periods) - min(periods) > MOST_APART * sum(periods) / len(periods):
        found.append(
            f"The runs give periods from {min(periods):.2f} to {max(periods):.2f} s; count the oscillations again."
        )
    return found
