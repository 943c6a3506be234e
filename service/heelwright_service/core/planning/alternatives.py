"""Other plans worth a thought: more mass for more precision, or another number of weights."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.planning.confirmed import drawn_in, keeps
from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.outcome import DIGITS, Outcome
from heelwright_service.core.planning.plan import ExpectedUncertainty, PlanSummary
from heelwright_service.core.planning.search import Search
from heelwright_service.core.planning.solving import full_counts
from heelwright_service.core.words import counted

HEAVIER = (1.1, 1.25)
TIGHTENED_DEG = 0.01
"""Where a rival breaks a limit afloat, one is looked for that keeps it by so much (the search errs by less)."""

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
        heavier = _afloat(outcome, search, limits, share * outcome.choice.mass_t)
        if heavier is not None and heavier.choice.gm_uncertainty_m < finest * (1.0 - WORTH_RELATIVE):
            finest = heavier.choice.gm_uncertainty_m
            found.append(summary(heavier, "more mass, sharper result"))
    for count in counts:
        if count != outcome.which.count:
            other = _afloat(outcome, Search(Deck.of(request), ship, (count,), limits.every), limits, 0.0)
            if other is not None:
                found.append(summary(other, counted(count, "weight")))
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


def _afloat(chosen: Outcome, search: Search, limits: Limits, at_least_t: float) -> Outcome | None:
    """The best plan of a search that keeps the limits at its floated heels too."""
    for tightened_deg in (0.0, TIGHTENED_DEG):
        choice = search.lightest(drawn_in(limits, tightened_deg) if tightened_deg else limits, at_least_t)
        if choice is None:
            return None
        other = Outcome(chosen.request, chosen.ship, choice)
        if keeps(other, limits):
            return other
    return None


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
