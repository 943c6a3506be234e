"""Solving and confirming: on a hull form the plan found is floated, and the search tightened if need be.

The search treats the hull's part beyond the straight line as that of the ship without the weights and without list. The
heels of the plan are floated without that; where one is then beyond a limit by some thousandths of a degree, the search
is repeated with its limits drawn in by as much.
"""

from __future__ import annotations

import math
from dataclasses import replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.heel_model import StraightLine
from heelwright_service.core.planning.instrument_checks import too_few_instruments
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.solving import Solution, best_choice, solve

ROUNDS = 6
CLOSE_DEG = 1e-7
MARGIN_DEG = 1e-4
ESTIMATED = ("trim", "deflection", "angles")
"""What the search estimates on a hull form and the floated plan tells."""


def confirmed(request: PlanRequest, ship: Ship, limits: Limits) -> tuple[Solution, Outcome] | None:
    """Find the best plan and work it out.

    Parameters
    ----------
    request : PlanRequest
        A checked request.
    ship : Ship
        The ship.
    limits : Limits
        The limits.

    Returns
    -------
    tuple of Solution and Outcome, or None
        A feasible plan keeps every limit at its floated heels and has instruments enough. None where there is not even
        a nearest plan, or where that one capsizes.

    Raises
    ------
    CoreError
        What hull or table refuses, but for a ship that capsizes.
    """
    solution = solve(request, ship, limits)
    if solution is None:
        return None
    try:
        found, outcome = _floated(request, ship, limits, solution)
    except CoreError as error:
        if error.code != "no-equilibrium":
            raise
        return None
    if found.lacking == "nothing" and too_few_instruments(request):
        found = replace(found, lacking="instruments")
    return found, outcome


def _floated(request: PlanRequest, ship: Ship, limits: Limits, solution: Solution) -> tuple[Solution, Outcome]:
    outcome = Outcome(request, ship, solution.choice)
    if solution.lacking in ESTIMATED and _keeps_every_limit(outcome, limits):
        return replace(solution, lacking="nothing", widened_deg=0.0), outcome
    drawn_deg = 0.0
    for _ in range(ROUNDS):
        over = 0.0 if isinstance(ship.model, StraightLine) else max(outcome.excess_deg(limits).values())
        if solution.lacking != "nothing" or over <= CLOSE_DEG:
            return solution, outcome
        drawn_deg += over + MARGIN_DEG
        tighter = best_choice(request, ship, drawn_in(limits, drawn_deg))
        if tighter is None:
            return replace(solution, lacking="angles", widened_deg=over), outcome
        solution, outcome = replace(solution, choice=tighter), Outcome(request, ship, tighter)
    return replace(solution, lacking="angles", widened_deg=max(outcome.excess_deg(limits).values())), outcome


def _keeps_every_limit(outcome: Outcome, limits: Limits) -> bool:
    """Whether a plan that the search held to miss a limit keeps them all once it is floated."""
    if isinstance(outcome.ship.model, StraightLine) or not outcome.which.complete:
        return False
    return keeps(outcome, limits) and outcome.choice.gm_uncertainty_m <= limits.target_m


def keeps(outcome: Outcome, limits: Limits) -> bool:
    """Say whether a plan keeps the limits of angles at its heels afloat.

    Parameters
    ----------
    outcome : Outcome
        The plan, found within the limits by the search.
    limits : Limits
        The limits.

    Returns
    -------
    bool
        True without looking where the line of heel is straight: the search is exact there.
    """
    if isinstance(outcome.ship.model, StraightLine):
        return True
    return max(outcome.excess_deg(limits).values()) <= CLOSE_DEG


def drawn_in(limits: Limits, degrees: float) -> Limits:
    """The same limits, tighter.

    Parameters
    ----------
    limits : Limits
        The limits.
    degrees : float
        By how much each angle is drawn in [deg].

    Returns
    -------
    Limits
        With the deflection and the trim drawn in alike.
    """
    deflection = math.tan(math.atan(limits.deflection_tangent) + math.radians(degrees))
    needed = limits.deflection_tangent > 0.0
    return replace(
        limits,
        widened_deg=-degrees,
        deflection_tangent=deflection if needed else 0.0,
        trim_slope=limits.trim_slope - math.radians(degrees),
    )
