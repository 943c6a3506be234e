"""Other plans worth a thought: more mass for more precision, or another number of weights."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.outcome import DIGITS, Outcome
from heelwright_service.core.planning.plan import ExpectedUncertainty, PlanSummary
from heelwright_service.core.planning.search import Choice, Search
from heelwright_service.core.planning.solving import full_counts

HEAVIER = (1.1, 1.25)
WORTH_RELATIVE = 0.005
"""A heavier plan is shown when it lowers the expected uncertainty of GM by this share at least (office default)."""


def alternatives(outcome: Outcome, limits: Limits) -> list[PlanSummary]:
    """Find heavier and sharper plans, and the best for the other numbers of weights asked for.

    Parameters
    ----------
    outcome : Outcome
        The chosen plan, a feasible one.
    limits : Limits
        The limits.

    Returns
    -------
    list of PlanSummary
        The chosen plan's rivals by rising mass: the trade-off of mass against uncertainty.
    """
    request, ship = outcome.request, outcome.ship
    counts = full_counts(request)
    search = Search(Deck.of(request), ship, counts, limits.every)
    found: list[PlanSummary] = []
    finest = outcome.choice.gm_uncertainty_m
    for share in HEAVIER:
        choice = search.lightest(limits, share * outcome.choice.mass_t)
        if choice is not None and choice.gm_uncertainty_m < finest * (1.0 - WORTH_RELATIVE):
            finest = choice.gm_uncertainty_m
            found.append(_summary(outcome, choice, "more mass, sharper result"))
    for count in counts:
        if count != outcome.which.count:
            other = Search(Deck.of(request), ship, (count,), limits.every).lightest(limits)
            if other is not None:
                found.append(_summary(outcome, other, f"{count} weights"))
    return sorted(found, key=lambda each: each.total_mass_t)


def expected_uncertainty(outcome: Outcome) -> ExpectedUncertainty:
    """Expected expanded uncertainty of GM and KG of a plan.

    Parameters
    ----------
    outcome : Outcome
        The plan.

    Returns
    -------
    ExpectedUncertainty
        Both [m].
    """
    precision = outcome.ship.precision
    gm, kg = precision.gm_m(outcome.design), precision.kg_m(outcome.design)
    return ExpectedUncertainty(float(np.asarray(gm)), float(np.asarray(kg)))


def _summary(chosen: Outcome, choice: Choice, text: str) -> PlanSummary:
    return summary(Outcome(chosen.request, chosen.ship, choice), text)


def summary(other: Outcome, text: str) -> PlanSummary:
    """Say in short what a plan comes to.

    Parameters
    ----------
    other : Outcome
        The plan.
    text : str
        What it is.

    Returns
    -------
    PlanSummary
        Its weights, lifts, heel and expected uncertainty.
    """
    heel = float(np.degrees(np.arctan(np.abs(other.expected).max())))
    return PlanSummary(
        text,
        other.which.count,
        list(other.masses_t),
        round(other.loading.mass_t, DIGITS),
        other.which.lifts,
        heel,
        expected_uncertainty(other),
    )
