"""Trying a changed request: whether it has a plan, and which."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.confirmed import confirmed
from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.hull_heel import HullHeel
from heelwright_service.core.planning.instrument_checks import too_few_instruments
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.modelling import model_of, ship_of
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.plausible import refuse_contradictions
from heelwright_service.core.planning.precision import SlopeUncertainty, UncertaintyModel
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.request_checks import check_request
from heelwright_service.core.planning.search import Choice, Search
from heelwright_service.core.planning.solving import full_counts
from heelwright_service.core.planning.work import TOO_LARGE

MOST_MORE = 4
"""So many steps beyond the first are tried where the floated plan breaks a limit that the search saw kept."""


@dataclass(frozen=True, eq=False)
class Change:
    """A change of the request, in words, and the changed request."""

    text: str
    request: PlanRequest


Finder = Callable[["Trials", PlanRequest], Iterator[Change]]
"""Finds what single thing of a request would have to change for it to have a plan."""


@dataclass(frozen=True, eq=False)
class Trials:
    """Requests tried in place of the one that has no plan.

    Parameters
    ----------
    asked : PlanRequest
        The request that has no plan.
    ship : Ship
        Her ship.
    """

    asked: PlanRequest
    ship: Ship
    _known: list[tuple[PlanRequest, Outcome | None]] = field(default_factory=list)

    def has_plan(self, request: PlanRequest) -> bool:
        """Say whether the search finds a plan; the model of the ship is that of the first request.

        Parameters
        ----------
        request : PlanRequest
            A changed request.

        Returns
        -------
        bool
            Quicker than `planned`, which confirms it.
        """
        if max(request.counts) < 4 or too_few_instruments(request) or self._too_stiff(request):
            return False
        limits = Limits.of(request)
        return self._search(request, limits).has_plan(limits)

    def best(self, request: PlanRequest) -> Outcome | None:
        """Find the best plan of a changed request, with the model of the first.

        Parameters
        ----------
        request : PlanRequest
            A changed request.

        Returns
        -------
        Outcome or None
            None where there is none.
        """
        limits = Limits.of(request)
        found: Choice | None = None if self._too_stiff(request) else self._search(request, limits).lightest(limits)
        if found is None or not found.which.complete:
            return None
        return Outcome(request, self._ship(request), found)

    def planned(self, request: PlanRequest) -> Outcome | None:
        """Plan a changed request as if it had been asked.

        Parameters
        ----------
        request : PlanRequest
            A changed request.

        Returns
        -------
        Outcome or None
            None where it has no plan that keeps every limit.

        Raises
        ------
        CoreError
            ``plan-too-large``.
        """
        for known, outcome in self._known:
            if known is request:
                return outcome
        outcome = self._planned(request)
        self._known.append((request, outcome))
        return outcome

    def least(self, count: int, changed: Callable[[int], PlanRequest]) -> PlanRequest | None:
        """Find the smallest of some changes with which there is a plan, taken to be one with all larger ones too.

        Parameters
        ----------
        count : int
            Number of changes.
        changed : callable
            The request after the change of that number, from 1.

        Returns
        -------
        PlanRequest or None
            On a hull form the plan is floated, and one of the next larger changes taken where that breaks a limit.
        """
        first = _smallest(count, lambda n: self.has_plan(changed(n)))
        if first is None:
            return None
        tried = (changed(n) for n in range(first, min(first + MOST_MORE, count) + 1))
        return next((request for request in tried if self.serves(request)), None)

    def serves(self, request: PlanRequest) -> bool:
        """Say whether a changed request has a plan, floated where there is a hull form.

        Parameters
        ----------
        request : PlanRequest
            A changed request.

        Returns
        -------
        bool
            The answer.
        """
        return self.planned(request) is not None if self.floats else self.has_plan(request)

    @property
    def floats(self) -> bool:
        """Whether plans are floated on a hull form, so that the search alone does not settle them."""
        return isinstance(self.ship.model, HullHeel)

    def _planned(self, request: PlanRequest) -> Outcome | None:
        try:
            check_request(request)
            refuse_contradictions(request)
            ship = ship_of(request, model_of(request), self._precision(request))
            found = confirmed(request, ship, Limits.of(request))
        except CoreError as error:
            if error.code == TOO_LARGE:
                raise
            return None
        return None if found is None or found[0].lacking != "nothing" else found[1]

    def _search(self, request: PlanRequest, limits: Limits) -> Search:
        return Search(Deck.of(request), self._ship(request), full_counts(request), limits.every)

    def _ship(self, request: PlanRequest) -> Ship:
        return ship_of(request, self.ship.model, self._precision(request))

    def _precision(self, request: PlanRequest) -> UncertaintyModel:
        own = self.ship.precision
        same = request.instruments == self.asked.instruments or not isinstance(own, SlopeUncertainty)
        return own if same else SlopeUncertainty.of(request)

    def _too_stiff(self, request: PlanRequest) -> bool:
        model = self.ship.model
        return isinstance(model, HullHeel) and request.gm_range_m[1] >= model.km_m


def _smallest(count: int, holds: Callable[[int], bool]) -> int | None:
    """Find the smallest number from 1 to a count for which a condition holds, taken to hold from there on.

    Parameters
    ----------
    count : int
        Largest number.
    holds : callable
        The condition.

    Returns
    -------
    int or None
        None where it does not hold for the largest.

    Examples
    --------
    >>> _smallest(100, lambda n: n * n > 50)
    8
    """
    if count < 1 or not holds(count):
        return None
    low, high = 0, count
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def with_positions(request: PlanRequest, **values: object) -> PlanRequest:
    """Give every position of a request the same values.

    Parameters
    ----------
    request : PlanRequest
        The request.
    **values
        Fields of a position.

    Returns
    -------
    PlanRequest
        The changed request.
    """
    return replace(request, positions=[replace(each, **values) for each in request.positions])  # type: ignore[arg-type]
