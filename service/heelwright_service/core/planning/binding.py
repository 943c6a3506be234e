"""What stands in the way of a plan, in words and numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence

from heelwright_service.core.planning.instrument_checks import too_few_instruments
from heelwright_service.core.planning.limits import Limits, deflection_tangent
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.solving import Solution
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted

CHECKED_BY = {
    "instruments": ("H-01",),
    "target": ("target-uncertainty",),
    "trim": ("P-19",),
    "stability": ("P-22",),
    "crane": ("P-30",),
    "deck": ("P-23",),
    "capacity": ("capacity",),
    "several": ("P-19", "P-22", "P-23", "P-30", "capacity", "band", "P-18"),
}
"""The checks that say by how much a limit is missed."""


def binding(solution: Solution, outcome: Outcome, limits: Limits, checks: Sequence[Check]) -> str | None:
    """Name what no plan could keep.

    Parameters
    ----------
    solution : Solution
        The solution.
    outcome : Outcome
        The nearest plan.
    limits : Limits
        The limits as they were asked for.
    checks : sequence of Check
        Of the nearest plan.

    Returns
    -------
    str or None
        Identifier and sentence; None for a feasible plan.
    """
    if solution.lacking == "nothing":
        return None
    found = [_lacking(solution, outcome, limits, checks)]
    if solution.lacking != "instruments" and too_few_instruments(outcome.request):
        found.append(_failed(checks, CHECKED_BY["instruments"]))
    return "; ".join(found)


def _lacking(solution: Solution, outcome: Outcome, limits: Limits, checks: Sequence[Check]) -> str:
    if not outcome.which.complete:
        return _too_few_states(outcome)
    if solution.lacking == "angles":
        return _worst_angle(outcome, limits)
    if solution.lacking == "deflection":
        return _deflection(outcome)
    return _limits_missed(solution.lacking, checks)


def _limits_missed(lacking: str, checks: Sequence[Check]) -> str:
    """The checks of what was given up for the nearest plan; where it keeps those, whatever else it misses.

    It may keep them where the ship is floated although the search, which estimates them, found that none does.
    """
    ids = CHECKED_BY[lacking]
    missed = _failed(checks, ids) or _failed(checks, [check.id for check in checks])
    if missed:
        return missed
    kept = "; ".join(f"{check.id}: {check.text.removesuffix('.')}" for check in checks if check.id in ids)
    return f"{lacking}: no plan keeps every limit; the nearest lies at the edge of this one: {kept or 'not assessed'}"


def _failed(checks: Sequence[Check], ids: Sequence[str]) -> str:
    named = [check for check in checks if check.id in ids and check.status == "fail"]
    return "; ".join(f"{check.id}: {check.text.removesuffix('.')}" for check in named)


def _too_few_states(outcome: Outcome) -> str:
    which = outcome.which
    return (
        f"C-01: with {counted(which.count, 'weight')} there are {which.nonzero} states off zero, "
        f"{counted(which.distinct_per_side, 'moment')} a side; six states and two moments a side are needed"
    )


def _worst_angle(outcome: Outcome, limits: Limits) -> str:
    excess = outcome.excess_deg(limits)
    low, high = excess["low"], excess["high"]
    if low > 1e-6 and high > 1e-6:
        return (
            f"band: the range of GM is too wide for the band: the heel is {outcome.least_change_deg:.2f}° at its upper "
            f"end (at least {limits.low_deg:g}°) and {outcome.most_change_deg:.2f}° at its lower "
            f"(at most {limits.high_deg:g}°)"
        )
    if low > 0.0 and outcome.deck_edge_deg < limits.low_deg:
        return (
            f"deck-edge: at {outcome.deck_edge_deg:.2f}° the deck edge goes under, and a heel of at least "
            f"{limits.low_deg:g}° is wanted"
        )
    texts = {
        "low": f"band: the weights heel the ship by {outcome.least_change_deg:.2f}° at the upper end of GM, at least "
        f"{limits.low_deg:g}° is wanted",
        "high": f"band: the weights heel the ship by {outcome.most_change_deg:.2f}° at the lower end of GM, at most "
        f"{limits.high_deg:g}° is wanted",
        "list": f"P-18: the initial list is {outcome.list_deg:.2f}°, at most {limits.list_deg:g}° is allowed",
        "heel": f"W-01: the heel with the list is {outcome.heel_deg:.2f}°, at most {limits.heel_deg:g}° is allowed",
        "deck-edge": f"deck-edge: at {outcome.deck_edge_deg:.2f}° the deck edge goes under, the largest heel is "
        f"{outcome.heel_deg:.2f}°",
        "deflection": _deflection(outcome),
        "trim": f"P-19: the weights trim the ship by {100.0 * abs(outcome.trim_slope or 0.0):.2f} % of her length "
        f"between perpendiculars, at most {100.0 * limits.trim_slope:g} % is allowed",
    }
    angles = {name: value for name, value in excess.items() if name != "deflection"}
    worst = max(angles, key=lambda name: (angles[name], name))
    return texts[worst if angles[worst] > 0.0 else "deflection"]


def _deflection(outcome: Outcome) -> str:
    request = outcome.request
    worst = max(request.instruments, key=lambda each: deflection_tangent(each, request.rule_set))
    needed = deflection_tangent(worst, request.rule_set)
    length = worst.length_m or 0.0
    found = 1000.0 * length * math.tan(math.radians(min(outcome.sides_deg(outcome.stiff))))
    rule = "H-04" if worst.kind == "pendulum" else "H-12"
    return (
        f"{rule}: within the heel allowed, {worst.id} ({length:g} m) shows {found:.0f} mm at the upper end of GM; "
        f"{1000.0 * length * needed:g} mm are needed"
    )
