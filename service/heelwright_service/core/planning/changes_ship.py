"""What would have to change about the ship, what is known of her, and what is asked of the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.trials import Change, Trials
from heelwright_service.core.rules import conduct_rule

GM_PARTS = 100
GM_STEP_M = 0.01
GM_RATIO = 1.06
LARGEST_GM_M = 10.0
TARGET_STEP_M = 0.001
BAND_STEP_DEG = 0.1
WIDEST_DEG = 3.0


def better_gm(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """GM known better.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The largest uncertainty that will do, to a hundredth of GM.
    """
    if base.gm_m <= 0.0:
        return
    step = base.gm_m / GM_PARTS
    most = math.floor(base.gm_expanded_m / step * (1.0 - 1e-9))

    def changed(steps: int) -> PlanRequest:
        return replace(base, gm_uncertainty_m=round((most + 1 - steps) * step, 6))

    found = trials.least(most, changed)
    if found is not None:
        left = found.gm_expanded_m
        percent = 100.0 * left / base.gm_m
        text = f"GM known to within {left:.3f} m ({percent:.0f} %) instead of {base.gm_expanded_m:.3f} m"
        yield Change(text, found)


def higher_gm(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """More stability, where there is none or too little for a test.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The least GM with a plan, to a hundredth of a metre; nothing where GM is ample as it is.
    """
    least = conduct_rule("P-22", base.rule_set)["minimum_gm_m"]
    if base.gm_range_m[0] > 0.0 and base.gm_m > 2.0 * least:
        return
    low = max(0, math.floor(base.gm_m / GM_STEP_M + 1e-9))
    high = max(low + 1, math.ceil(least / GM_STEP_M))
    while not trials.has_plan(_with_gm(base, high)):
        if high * GM_STEP_M > LARGEST_GM_M:
            return
        low, high = high, max(high + 1, math.ceil(high * GM_RATIO))
    first = low
    found = trials.least(high - first, lambda n: _with_gm(base, first + n))
    if found is not None:
        moment = base.displacement_t * (found.gm_m - base.gm_m)
        text = (
            f"the ship made stiffer before the test, to a GM of {found.gm_m:.2f} m instead of {base.gm_m:g} m: "
            f"{moment:.0f} t·m less moment above the keel (weights down or out, ballast low, free surfaces pressed up)"
        )
        yield Change(text, found)


def _with_gm(request: PlanRequest, steps: int) -> PlanRequest:
    return replace(request, gm_m=round(steps * GM_STEP_M, 2))


def less_list(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Less list before the test.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The largest list that will do, to a tenth of a degree.
    """
    steps = math.ceil(abs(base.initial_heel_deg) / BAND_STEP_DEG - 1e-9)

    def changed(n: int) -> PlanRequest:
        left = round(max(0.0, (steps - n) * BAND_STEP_DEG), 6)
        return replace(base, initial_heel_deg=math.copysign(left, base.initial_heel_deg))

    found = trials.least(steps, changed)
    if found is not None:
        side = "starboard" if base.initial_heel_deg > 0.0 else "port"
        left = abs(found.initial_heel_deg)
        yield Change(f"the ship brought to {left:.1f}° or less to {side} before the test", found)


def wider_band(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """A wider band of heel.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The narrowest that will do, to a tenth of a degree; at one end where that is enough.
    """
    low, high = base.heel_band_deg

    def changed(steps: int) -> PlanRequest:
        return replace(base, heel_band_deg=widened(base, steps * BAND_STEP_DEG))

    both = trials.least(round(WIDEST_DEG / BAND_STEP_DEG), changed)
    if both is not None:
        new = both.heel_band_deg
        one_end = [replace(base, heel_band_deg=band) for band in ((new[0], high), (low, new[1]))]
        found = next((each for each in one_end if trials.serves(each)), both)
        new = found.heel_band_deg
        yield Change(f"a heel band of {new[0]:g}° to {new[1]:g}° instead of {low:g}° to {high:g}°", found)


def widened(request: PlanRequest, degrees: float) -> tuple[float, float]:
    """The band of a request, wider at both ends but never down to nothing.

    Parameters
    ----------
    request : PlanRequest
        The request.
    degrees : float
        By how much [deg].

    Returns
    -------
    tuple of float
        Least and largest change of heel [deg].
    """
    low, high = request.heel_band_deg
    return round(max(low - degrees, min(low, BAND_STEP_DEG)), 6), round(min(high + degrees, 44.0), 6)


def easier_target(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """An easier target for the uncertainty of GM.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The smallest that will do, to a millimetre.
    """
    target = base.target_gm_uncertainty_m
    if target is None or base.gm_m <= 0.0:
        return
    first = math.floor(target / TARGET_STEP_M + 1e-9)

    def changed(n: int) -> PlanRequest:
        return replace(base, target_gm_uncertainty_m=round((first + n) * TARGET_STEP_M, 6))

    found = trials.least(math.ceil(base.gm_m / TARGET_STEP_M), changed)
    if found is not None:
        easier = 1000.0 * (found.target_gm_uncertainty_m or 0.0)
        yield Change(f"a target for the uncertainty of GM of {easier:g} mm instead of {1000.0 * target:g} mm", found)
