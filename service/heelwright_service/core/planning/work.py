"""A bound on the work of one plan, counted and not timed, so that the same request always gets the same answer."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.request import PlanRequest

MOST_WORK = 80_000_000
"""Combinations that one search may look at: 7 s to 12 s on one core of the year 2026 (measured)."""

BESIDE_WORK = MOST_WORK // 4
"""The same for what is looked for beside the plan: alternatives, or changes where there is none."""

PAIR_WORK = 3
"""One pair of kinds looked at takes as long as so many combinations of places."""

STEP_WORK = 100
"""The same of one step of free mass."""

TRIAL_WORK = 4_000
"""One pair of kinds opened, or one arrangement solved for its shifts, takes as long as so many combinations."""

TOO_LARGE = "plan-too-large"


@dataclass
class _Budget:
    request: PlanRequest
    left: int


_BUDGET: ContextVar[_Budget | None] = ContextVar("planning_budget", default=None)


@contextmanager
def counted(request: PlanRequest, most: int = MOST_WORK) -> Iterator[None]:
    """Allow the searches within it so much work together.

    Parameters
    ----------
    request : PlanRequest
        What the refusal speaks of.
    most : int
        Combinations allowed.

    Returns
    -------
    context manager
        Searches within it are counted.
    """
    token = _BUDGET.set(_Budget(request, most))
    try:
        yield
    finally:
        _BUDGET.reset(token)


def spend(combinations: int) -> None:
    """Count combinations before they are looked at.

    Parameters
    ----------
    combinations : int
        How many.

    Raises
    ------
    CoreError
        ``plan-too-large`` when the bound is passed.
    """
    budget = _BUDGET.get()
    if budget is None:
        return
    budget.left -= combinations
    if budget.left < 0:
        raise _too_large(budget.request)


def _too_large(request: PlanRequest) -> CoreError:
    places, kinds = len(request.positions), len(request.stock)
    counts = " or ".join(str(count) for count in request.counts)
    what = f"{kinds} kinds in stock" if kinds else f"equal weights in steps of {request.weight_step_t:g} t"
    return CoreError(
        TOO_LARGE,
        f"The best of all plans cannot be proven within the work allowed: {places} places (positions), {what} (stock), "
        f"{counts} weights (weights_count) and shifts in steps of {request.shift_step_m:g} m (shift_step_m); give "
        "fewer positions, fewer kinds, fewer weights or a coarser step.",
        "/stock" if kinds > places else "/positions",
    )
