"""Deciding with uncertainty: within, exceeded or undecided, and the chance that the true value is over the limit.

Source: JCGM 106:2012 clause 7 (conformance probability); coverage factor 2 for about 95 % by JCGM 100:2008, 6.3.3.
"""

from __future__ import annotations

import math
from typing import Literal

from heelwright_service.core.rules.definitions import Comparison, Direction

COVERAGE_FACTOR = 2.0
RELATIVE_TOLERANCE = 1e-9

Measured = Literal["within", "exceeded", "undecided"]


def size(value: float, direction: Direction) -> float:
    """Return how far a signed deviation goes in the direction that counts.

    Parameters
    ----------
    value : float
        Signed deviation, in any unit.
    direction : {"absolute", "rise", "fall"}
        Which deviations count.

    Returns
    -------
    float
        Its size in the same unit; negative when it goes the way that does not count.
    """
    return {"absolute": abs(value), "rise": value, "fall": -value}[direction]


def passes(found: float, limit: float, comparison: Comparison = "exceeds") -> bool:
    """Tell whether a size keeps a limit, to a relative tolerance of 1e-9.

    Parameters
    ----------
    found : float
        Size of the deviation, in the unit of the limit.
    limit : float
        What is allowed.
    comparison : {"exceeds", "reaches"}
        "exceeds": equal still passes; "reaches": equal fails.

    Returns
    -------
    bool
        True when the limit is kept.

    Examples
    --------
    >>> passes(80.0, 0.02 * 4000.0), passes(80.001, 80.0), passes(80.0, 80.0, "reaches")
    (True, False, False)
    """
    slack = RELATIVE_TOLERANCE * abs(limit)
    return found <= limit + slack if comparison == "exceeds" else found < limit - slack


def probability_exceeded(
    value: float,
    standard: float,
    limit: float,
    direction: Direction = "absolute",
    comparison: Comparison = "exceeds",
) -> float:
    """Return the probability that the true deviation is beyond the limit, for a normal error.

    Parameters
    ----------
    value : float
        Measured signed deviation, in the unit of the limit.
    standard : float
        Its standard uncertainty; 0 makes the answer 0 or 1.
    limit : float
        What is allowed.
    direction : {"absolute", "rise", "fall"}
        Which deviations count; "absolute" adds both tails.
    comparison : {"exceeds", "reaches"}
        Decides only the case without uncertainty.

    Returns
    -------
    float
        Probability between 0 and 1: ``1 - F((limit - d)/u) + F((-limit - d)/u)``, F the normal distribution.

    Examples
    --------
    Two surveys of 0.4 % each: a measured deviation of 1.5 % has a chance of 18.8 % to be over 2 % in truth.

    >>> round(probability_exceeded(1.5, 0.4 * 2**0.5, 2.0), 3)
    0.188
    """
    if standard == 0.0:
        return 0.0 if passes(size(value, direction), limit, comparison) else 1.0
    above = _upper_tail((limit - size(value, "fall" if direction == "fall" else "rise")) / standard)
    below = _upper_tail((limit + value) / standard) if direction == "absolute" else 0.0
    return min(above + below, 1.0)


def decide(
    value: float,
    standard: float,
    limit: float,
    direction: Direction = "absolute",
    comparison: Comparison = "exceeds",
) -> Measured:
    """Say whether a measured deviation is within a limit, beyond it, or too close to tell.

    Parameters
    ----------
    value, standard, limit : float
        Signed deviation, its standard uncertainty and the limit, in one unit.
    direction : {"absolute", "rise", "fall"}
        Which deviations count.
    comparison : {"exceeds", "reaches"}
        Whether equal passes or fails.

    Returns
    -------
    {"within", "exceeded", "undecided"}
        "within" when the deviation plus its expanded uncertainty (factor 2) keeps the limit, "exceeded" when the
        deviation less its expanded uncertainty does not, otherwise "undecided".

    Examples
    --------
    >>> decide(70.0, 4.0, 80.0), decide(79.0, 4.0, 80.0), decide(-95.0, 4.0, 80.0)
    ('within', 'undecided', 'exceeded')
    """
    found, expanded = size(value, direction), COVERAGE_FACTOR * standard
    if passes(found + expanded, limit, comparison):
        return "within"
    return "undecided" if passes(found - expanded, limit, comparison) else "exceeded"


def _upper_tail(z: float) -> float:
    return 0.5 * math.erfc(z / math.sqrt(2.0))
