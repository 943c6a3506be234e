"""From a request to the best choice: all limits kept, or the nearest where that cannot be."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.search import Choice, Search

Lacking = Literal[
    "nothing", "states", "target", "deflection", "angles", "trim", "stability", "crane", "deck", "capacity", "several",
    "instruments",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class Solution:
    """The best choice and which limit, if any, no plan could keep.

    Parameters
    ----------
    choice : Choice
        The plan.
    lacking : str
        ``nothing`` when all limits are kept; ``instruments`` is found when the plan is confirmed.
    widened_deg : float
        Least widening of the angles [deg]; 0 unless ``angles`` lack.
    """

    choice: Choice
    lacking: Lacking
    widened_deg: float = 0.0


def full_counts(request: PlanRequest) -> tuple[int, ...]:
    """Numbers of weights that give enough states, or all asked for where none does.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    tuple of int
        4 and 6 as asked for; 2 only by itself.
    """
    return tuple(count for count in request.counts if count >= 4) or request.counts


def best_choice(request: PlanRequest, ship: Ship, limits: Limits, at_least_t: float = 0.0) -> Choice | None:
    """Best plan that keeps all limits.

    Parameters
    ----------
    request : PlanRequest
        The request.
    ship : Ship
        The ship.
    limits : Limits
        The limits.
    at_least_t : float
        Least mass of all weights [t].

    Returns
    -------
    Choice or None
        None where there is none.
    """
    return Search(Deck.of(request), ship, full_counts(request), limits.every).lightest(limits, at_least_t)


def solve(request: PlanRequest, ship: Ship, limits: Limits) -> Solution | None:
    """Find the best plan, or the nearest to one that keeps the limits.

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
    Solution or None
        Where no plan keeps all limits, the first of these that has one: without the target of uncertainty; without the
        limit of trim too; without the deflection too; with the angles widened by the least that will do; without the
        least GM; without the crane; without the decks' loads; without the places' capacities; without any of the last
        four.
        None where even that leaves none.
    """
    no_crane = replace(request, crane=None)
    bare = _positions(no_crane, deck_load=False, capacity=False)
    lacking: tuple[tuple[Lacking, PlanRequest, Limits], ...] = (
        ("nothing", request, limits),
        ("stability", request, limits.without_gm()),
        ("crane", no_crane, limits),
        ("deck", _positions(request, deck_load=False, capacity=True), limits),
        ("capacity", _positions(request, deck_load=True, capacity=False), limits),
        ("several", bare, limits.without_gm()),
    )
    tried: list[tuple[PlanRequest, Limits]] = []
    for name, relaxed, kept in lacking:
        if (relaxed, kept) in tried:
            continue
        tried.append((relaxed, kept))
        found = _solve_placed(Search(Deck.of(relaxed), ship, full_counts(relaxed), limits.every), kept)
        if found is not None:
            short = "states" if found.lacking == "nothing" and not found.choice.which.complete else found.lacking
            return replace(found, lacking=short if name == "nothing" else name)
    return None


def _positions(request: PlanRequest, deck_load: bool, capacity: bool) -> PlanRequest:
    """The request with some limits of its positions left out."""
    return replace(
        request,
        positions=[
            replace(
                each,
                deck_load_t_per_m2=each.deck_load_t_per_m2 if deck_load else None,
                units_per_side=each.units_per_side if capacity else None,
                max_mass_t=each.max_mass_t if capacity else None,
            )
            for each in request.positions
        ],
    )


def _solve_placed(search: Search, limits: Limits) -> Solution | None:
    stages: tuple[tuple[Lacking, Limits], ...] = (
        ("nothing", limits),
        ("target", limits.without_target()),
        ("trim", limits.without_target().without_trim()),
        ("deflection", limits.angles_only()),
    )
    for i, (lacking, stage) in enumerate(stages):
        found = search.lightest(stage) if i == 0 or stage != stages[i - 1][1] else None
        if found is not None:
            return Solution(found, lacking)
    widening = search.least_widening_deg(limits.angles_only())
    if not math.isfinite(widening):
        return None
    nearest = search.lightest(limits.angles_only().widened(widening))
    return None if nearest is None else Solution(nearest, "angles", widening)
