"""What would have to change about the instruments: how many they are and how long."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from heelwright_service.core.planning.instrument_checks import too_few_instruments
from heelwright_service.core.planning.limits import deflection_tangent
from heelwright_service.core.planning.request import PlanInstrument, PlanRequest
from heelwright_service.core.planning.trials import Change, Trials

LENGTH_STEP_M = 0.1
LONGEST_M = 15.0


def other_instruments(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """A second instrument where there is but one, and pendulums and U-tubes long enough for their deflection.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The second one like the first; the shortest lengths that will do, to a tenth of a metre.
    """
    enough = with_a_second(base)
    texts = [] if enough is base else [_second(enough.instruments[-1])]
    if texts and trials.has_plan(enough):
        yield Change(texts[0], enough)
        return
    longer = _longer(trials, enough)
    if longer is not None:
        pairs = zip(base.instruments, longer.instruments, strict=False)
        texts += [
            f"a {new.length_m:.1f} m {_what(old)} instead of {old.length_m:g} m ({old.id})"
            for old, new in pairs
            if old != new
        ]
        if enough is not base:
            texts[0] = _second(longer.instruments[-1])
        yield Change(" and ".join(texts), longer)


def with_a_second(request: PlanRequest) -> PlanRequest:
    """The request with a second instrument like the first, where the rules ask for two and there is one.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    PlanRequest
        The changed request, or the same.
    """
    if not too_few_instruments(request):
        return request
    first = request.instruments[0]
    return replace(request, instruments=[*request.instruments, replace(first, id=f"{first.id}-2")])


def with_lengths(request: PlanRequest, least_m: float) -> PlanRequest:
    """The request with every pendulum and U-tube at least so long.

    Parameters
    ----------
    request : PlanRequest
        The request.
    least_m : float
        Least length, or spacing of the legs [m].

    Returns
    -------
    PlanRequest
        The changed request.
    """
    longer = [
        each if each.length_m is None else replace(each, length_m=max(each.length_m, least_m))
        for each in request.instruments
    ]
    return replace(request, instruments=longer)


def _longer(trials: Trials, base: PlanRequest) -> PlanRequest | None:
    lengths = [each.length_m for each in base.instruments if each.length_m is not None]
    if not lengths or deflection_tangent(_shortest(base), base.rule_set) == 0.0:
        return None
    first = math.floor(min(lengths) / LENGTH_STEP_M + 1e-9)

    def changed(steps: int) -> PlanRequest:
        return with_lengths(base, round((first + steps) * LENGTH_STEP_M, 3))

    return trials.least(round(LONGEST_M / LENGTH_STEP_M) - first, changed)


def _second(instrument: PlanInstrument) -> str:
    kind = {"pendulum": "pendulum", "u-tube": "U-tube", "inclinometer": "inclinometer"}[instrument.kind]
    length = "" if instrument.length_m is None else f" of {instrument.length_m:g} m"
    return f"a second {kind}{length} ({instrument.id})"


def _what(instrument: PlanInstrument) -> str:
    return "pendulum" if instrument.kind == "pendulum" else "spacing of the U-tube's legs"


def _shortest(request: PlanRequest) -> PlanInstrument:
    return min(request.instruments, key=lambda each: math.inf if each.length_m is None else each.length_m)
