"""Searching all places of a request, or, where that is too much work on a hull form, some of those that are alike."""

from __future__ import annotations

from dataclasses import dataclass, replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.confirmed import confirmed
from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.solving import Solution
from heelwright_service.core.planning.work import MOST_WORK, TOO_LARGE, counted

WHOLE_WORK = MOST_WORK // 2
"""So much is allowed for all places where a search of fewer would follow."""


@dataclass(frozen=True, eq=False)
class Found:
    """The plan found, or none, and what was searched.

    Parameters
    ----------
    solution : Solution or None
        The solution; None where there is not even a nearest plan.
    outcome : Outcome or None
        Its plan, of the request as it was searched.
    cautions : tuple of str
        What was not searched.
    """

    solution: Solution | None
    outcome: Outcome | None
    cautions: tuple[str, ...] = ()


def searched(request: PlanRequest, ship: Ship, limits: Limits) -> Found:
    """Find the best plan over all places, or over fewer where all are too many.

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
    Found
        With a caution where fewer places were searched.

    Raises
    ------
    CoreError
        ``plan-too-large`` where those are too many too.
    """
    fewer = fewer_places(request, ship.model.centre_x_m)
    try:
        with counted(request, MOST_WORK if fewer is request else WHOLE_WORK):
            return _found(request, ship, limits)
    except CoreError as refusal:
        if refusal.code != TOO_LARGE or fewer is request:
            raise
    with counted(request):
        return replace(_found(fewer, ship, limits), cautions=(_left_out(request),))


def _found(request: PlanRequest, ship: Ship, limits: Limits) -> Found:
    solution, outcome = confirmed(request, ship, limits) or (None, None)
    return Found(solution, outcome)


def fewer_places(request: PlanRequest, centre_x_m: float | None) -> PlanRequest:
    """Leave out places that are alike but for x and far from the centre of flotation.

    Parameters
    ----------
    request : PlanRequest
        The request.
    centre_x_m : float or None
        Centre of flotation [m]; None where the model takes no account of x.

    Returns
    -------
    PlanRequest
        The same where no place is left out.
    """
    if centre_x_m is None:
        return request
    whole = Deck.of(request)
    fewer = whole.without_twins(max(request.counts), centre_x_m)
    if (fewer.spots.units == whole.spots.units).all():
        return request
    kept = zip(request.positions, fewer.spots.units, strict=True)
    return replace(request, positions=[p if units > 0.0 else replace(p, units_per_side=0) for p, units in kept])


def _left_out(request: PlanRequest) -> str:
    return (
        f"With so many places, of those alike but for x_m only the {max(request.counts)} nearest to the centre of "
        "flotation were searched: a lighter plan may exist in which a farther one balances the trim by other weights. "
        "Give fewer positions or kinds for proof."
    )
