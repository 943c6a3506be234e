"""What would have to change about the weights: more of them, another number of them, others in their place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import PlanRequest, StockUnit
from heelwright_service.core.planning.solving import full_counts
from heelwright_service.core.planning.trials import Change, Trials

NUMBERS = {2: "two", 4: "four", 6: "six"}
COARSEST_RELATIVE, FINEST_RELATIVE = 2e-4, 2e-5
"""Equal weights are looked for in steps between these shares of the displacement."""

HALVINGS = 20
"""Free mass is looked for in steps halved so often at most, and not much finer than `fine_step_t`."""


def shortage(request: PlanRequest) -> int:
    """Say how many weights are missing for the least number that the sequence needs.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    int
        0 where the stock holds enough, or with free mass.
    """
    if not request.stock:
        return 0
    return max(0, min(full_counts(request)) - sum(unit.count for unit in request.stock))


def more_weights(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """More weights of a kind that is at hand: the fewest, then the lightest.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        One at most.
    """
    first = max(1, shortage(base))
    for more in (first, first + 1):
        for mass in sorted({unit.mass_t for unit in base.stock}):
            changed = _with_more(base, mass, more)
            if changed is not None and trials.has_plan(changed):
                what = f"one more {mass:g} t weight" if more == 1 else f"{more} more {mass:g} t weights"
                yield Change(what, changed)
                return


def _with_more(request: PlanRequest, mass_t: float, more: int) -> PlanRequest | None:
    first = next(i for i, unit in enumerate(request.stock) if unit.mass_t == mass_t)
    if request.stock[first].count + more > max(request.counts):
        return None
    stock = [replace(each, count=each.count + more) if i == first else each for i, each in enumerate(request.stock)]
    return replace(request, stock=stock)


def other_count(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Another number of weights.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        Four and six, where the stock holds so many.
    """
    for count in (4, 6):
        available = sum(unit.count for unit in base.stock) if base.stock else count
        if count in base.counts or available < count:
            continue
        changed = replace(base, weights_count=count)
        if trials.has_plan(changed):
            yield Change(f"{NUMBERS[count]} weights instead of {NUMBERS[base.counts[-1]]}", changed)


def other_weights(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Equal weights of another mass in place of the stock, or finer steps of free mass.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The lightest.
    """
    counts = tuple(count for count in base.counts if count >= 4) or (4, 6)
    if not base.stock:
        yield from _finer_step(trials, replace(base, weights_count=counts))
        return
    found = trials.best(replace(base, stock=(), weight_step_t=fine_step_t(base), weights_count=counts))
    if found is not None:
        mass, count = found.masses_t[0], found.which.count
        changed = replace(base, stock=[StockUnit(mass, count)], weights_count=count)
        if trials.has_plan(changed):
            text = f"{NUMBERS[count]} equal weights of {mass:g} t, shifted {_shifts(found)}, in place of the stock"
            yield Change(text, changed)


def _shifts(found: Outcome) -> str:
    low, high = min(found.shifts_m), max(found.shifts_m)
    return f"{low:g} m" if low == high else f"{low:g} m to {high:g} m"


def fine_step_t(request: PlanRequest) -> float:
    """A round step of mass fine enough for the ship.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    float
        A power of ten times 1, 2 or 5, if possible at most a tenth of the lightest weight at hand [t].
    """
    own = [0.1 * unit.mass_t for unit in request.stock] + [request.weight_step_t or math.inf]
    coarsest, finest = (share * request.displacement_t for share in (COARSEST_RELATIVE, FINEST_RELATIVE))
    most = max(min(coarsest, *own), finest)
    power = 10.0 ** math.floor(math.log10(most))
    return max(1e-6, power * max(digit for digit in (1, 2, 5) if digit * power <= most * (1.0 + 1e-9)))


def _finer_step(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    step = base.weight_step_t or 0.0
    for halving in range(1, HALVINGS + 1):
        changed = replace(base, weight_step_t=step / 2**halving)
        if step / 2**halving < 0.5 * fine_step_t(base):
            return
        if trials.has_plan(changed):
            yield Change(f"weights in steps of {changed.weight_step_t:g} t instead of {step:g} t", changed)
            return
