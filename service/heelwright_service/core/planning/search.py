"""The exact optimum over the discrete choices: which weights, which home side, which places, which shifts.

A plan is a kind of weight and a place for every part of the sequence, and a whole number of steps for every shift. The
search is a best-first branch and bound in three levels, and each level leaves out only what cannot win:

1. **Which kinds on which side.** Every pair of choices of kinds is listed with the ranges of stiffness, reach and
   list over all places (`bounds`). What breaks a necessary condition is dropped; the rest is taken by rising total
   mass, then by a lower bound of the uncertainty, and the search ends at the first pair that can no longer win.
2. **Which places.** For one pair all arrangements of the two sides are crossed at once. Stiffness and list are now
   exact, and only the shifts are open. Capacities are checked exactly: see `template` for why the most that stands on
   one side of a place is all that has its home there.
3. **Which shifts.** List and largest heel depend on the shifts through the largest moment of each side alone
   (`window`), and the expected uncertainty falls when either grows. So the best shifts are those of the largest total
   of each side below its limit (`totals`); where list or heel couple the sides, every total of one side is paired with
   the largest of the other that they leave room for.

Places that are alike but for x are as good as each other where the model takes no account of x: of them only as many
as there are weights are searched, the first, which win every tie. On a hull form x tells by the trim, and all are
searched: a far one may balance what trims the ship the other way.

Since every bound is on the right side and every rule for stopping is strict but for a relative tolerance of 1e-9, the
plan found is the best of all. Ties are broken by the kinds in the order of the sequence (the first in the stock first),
then the places, then the larger moment to starboard, then the most even shifts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.planning.bounds import Ship, finest_m, least_widening_deg, possible, possible_in_parts
from heelwright_service.core.planning.crossings import Crossing, cross
from heelwright_service.core.planning.deck import Deck
from heelwright_service.core.planning.limits import TOLERANCE, Limits
from heelwright_service.core.planning.pairs import PairBlock, pair_blocks
from heelwright_service.core.planning.sides import Arrangements, SideTable
from heelwright_service.core.planning.template import Template, template
from heelwright_service.core.planning.totals import SideTotals
from heelwright_service.core.planning.window import Window
from heelwright_service.core.planning.work import TRIAL_WORK, spend

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

LARGEST_WIDENING_DEG = 40.0
WIDENING_STEP_DEG = 0.01
"""Angles that no plan can keep are widened in steps of this: no heel is known better."""


MASS_POINTS = 301
SAMPLE = 1000
"""So many families give a first bound of the widening, which spares most of the others."""

FRONT = 200
"""So many of the arrangements of one pair of kinds are put in order first."""


@dataclass(frozen=True, eq=False)
class Choice:
    """A plan as the search finds it; weights in the order of the sequence.

    Parameters
    ----------
    which : Template
        Sequence of moves.
    kinds, spots : tuple of int
        Kind and place of each weight, A first.
    mass_t : float
        Mass of all weights [t].
    plus_t_m, minus_t_m : float
        Largest moment to starboard and to port, without sign [t·m].
    gm_uncertainty_m : float
        Expected expanded uncertainty of GM [m].
    sides : tuple of SideTotals
        What the weights that go to starboard and those that go to port can make up.
    floor_t_m : float
        Least moment of a weight that stands across alone [t·m].
    """

    which: Template
    kinds: tuple[int, ...]
    spots: tuple[int, ...]
    mass_t: float
    plus_t_m: float
    minus_t_m: float
    gm_uncertainty_m: float
    sides: tuple[SideTotals, SideTotals]
    floor_t_m: float

    @cached_property
    def steps(self) -> tuple[int, ...]:
        """Length of each shift in steps, A first: as even as can be."""
        largest = (self.plus_t_m, self.minus_t_m)
        parts = [side.split(total, self.floor_t_m) for side, total in zip(self.sides, largest, strict=True)]
        return tuple(steps for both in zip(*(part or () for part in parts), strict=True) for steps in both)

    def before(self, other: Choice | None) -> bool:
        """Whether this plan is better than another.

        Parameters
        ----------
        other : Choice or None
            The other; none is worse than any.

        Returns
        -------
        bool
            By mass, lifts, uncertainty, kinds, places.
        """
        if other is None:
            return True
        for mine, theirs in ((self.mass_t, other.mass_t), (self.which.lifts, other.which.lifts),
                             (self.gm_uncertainty_m, other.gm_uncertainty_m)):  # fmt: skip
            if abs(mine - theirs) > TOLERANCE * theirs:
                return mine < theirs
        return (self.kinds, self.spots) < (other.kinds, other.spots)


class Search:
    """The search over one deck and one ship; it may be asked with different limits.

    Parameters
    ----------
    deck : Deck
        Weights and places.
    ship : Ship
        The ship.
    counts : sequence of int
        Numbers of weights to choose from.
    every : bool
        Whether the band holds for every state, which makes the order of three weights matter.
    """

    def __init__(self, deck: Deck, ship: Ship, counts: Sequence[int], every: bool) -> None:
        self.ship, self.every = ship, every
        self.deck = deck.without_twins(max(counts)) if ship.model.centre_x_m is None else deck
        self.tables = {count: SideTable.of(self.deck, count // 2, every) for count in counts}
        self._arrangements: dict[tuple[int, ...], Arrangements] = {}

    def lightest(self, limits: Limits, at_least_t: float = 0.0) -> Choice | None:
        """Find the best plan within limits.

        Parameters
        ----------
        limits : Limits
            The limits.
        at_least_t : float
            Least mass of all weights [t].

        Returns
        -------
        Choice or None
            The plan; None where there is none.
        """
        best: Choice | None = None
        at_least_t = max(at_least_t, self._least_mass_t(limits))
        for count, table in self.tables.items():
            for block in pair_blocks(self.deck, self.ship.model, table, at_least_t):
                if best is not None and block.lightest_t > best.mass_t * (1.0 + TOLERANCE):
                    break
                best = self._best_in_block(template(count), block, limits, best)
        return best

    def has_plan(self, limits: Limits) -> bool:
        """Say whether any plan keeps limits.

        Parameters
        ----------
        limits : Limits
            The limits.

        Returns
        -------
        bool
            Found sooner than the best plan.
        """
        return any(
            self._best_in_block(template(count), block, limits, None, any_will_do=True) is not None
            for count, block in self._blocks(self._least_mass_t(limits))
        )

    def least_widening_deg(self, limits: Limits) -> float:
        """Find by how much the angles have to be widened for any plan to keep them.

        Parameters
        ----------
        limits : Limits
            Limits of angles only.

        Returns
        -------
        float
            The least multiple of 0.01° that will do [deg]; infinite where no arrangement floats upright and keeps the
            capacities.
        """
        failed = self._widening_bound(limits) - 1
        most = round(LARGEST_WIDENING_DEG / WIDENING_STEP_DEG)
        if failed >= most:
            return math.inf
        held, stride = failed + 1, 1
        while not self.has_plan(_widened(limits, held)):
            if held >= most:
                return math.inf
            failed, held, stride = held, min(held + stride, most), 2 * stride
        while held - failed > 1:
            middle = (held + failed) // 2
            failed, held = (failed, middle) if self.has_plan(_widened(limits, middle)) else (middle, held)
        return held * WIDENING_STEP_DEG

    def _widening_bound(self, limits: Limits) -> int:
        """Steps of widening below which no family can hold a plan."""
        most = LARGEST_WIDENING_DEG
        for _, block in self._blocks(0.0):
            for stride in (max(1, len(block.plus) // SAMPLE), 1):
                sample = block.families.part(np.arange(0, len(block.plus), stride))
                most = min(most, float(least_widening_deg(sample, self.ship, limits, most).min()))
        return max(0, math.ceil(most / WIDENING_STEP_DEG * (1.0 - TOLERANCE) - TOLERANCE))

    def _least_mass_t(self, limits: Limits) -> float:
        """Mass that all weights need at least, each at the widest and highest place, for the least moment of a side."""
        spots, kinds = self.deck.spots, self.deck.kinds
        mass = np.linspace(0.0, float(kinds.mass_t.max()) * max(self.tables), MASS_POINTS)
        fall = mass * float(spots.z_m.max()) - self.ship.model.gain_range_t_m(mass)[0]
        excess = float(self.ship.model.excess_t_m(limits.least_tangent))
        least = (self.ship.stiff_t_m - fall) * limits.least_tangent + excess
        enough = mass * float(self.deck.longest.max()) * spots.step_m >= 2.0 * least * (1.0 - TOLERANCE)
        return float(mass[max(0, int(np.argmax(enough)) - 1)]) if enough.any() else float(mass[-1])

    def _blocks(self, at_least_t: float) -> Iterator[tuple[int, PairBlock]]:
        for count, table in self.tables.items():
            for block in pair_blocks(self.deck, self.ship.model, table, at_least_t):
                yield count, block

    def _best_in_block(
        self, which: Template, block: PairBlock, limits: Limits, best: Choice | None, any_will_do: bool = False
    ) -> Choice | None:
        mass = block.families.mass_t
        worth = np.ones(len(mass), bool) if best is None else mass <= best.mass_t * (1.0 + TOLERANCE)
        chosen = np.flatnonzero(worth)
        chosen = chosen[possible_in_parts(block.families.part(chosen), self.ship, limits)]
        finest = finest_m(block.families.part(chosen), which, self.ship, limits)
        order = np.lexsort((finest, mass[chosen]))
        for n in order[finest[order] <= limits.target_m * (1.0 + TOLERANCE)]:
            pair = int(chosen[n])
            if best is not None and (any_will_do or mass[pair] > best.mass_t * (1.0 + TOLERANCE)):
                break
            if _may_win(mass[pair], which, finest[n], best):
                best = self._best_in_pair(which, block, pair, limits, best)
        return best

    def _best_in_pair(
        self, which: Template, block: PairBlock, pair: int, limits: Limits, best: Choice | None
    ) -> Choice | None:
        for crossing in self._crossings(block, pair, limits):
            chosen = np.flatnonzero(possible(crossing.families, self.ship, limits))
            finest = finest_m(crossing.families.part(chosen), which, self.ship, limits)
            useful = finest <= min(limits.target_m, _worth_m(crossing.mass_t, which, best)) * (1.0 + TOLERANCE)
            chosen, finest = chosen[useful], finest[useful]
            ends = self._ends(crossing, best)
            for n, code in _finest_first(crossing, chosen, finest):
                if not _may_win(crossing.mass_t, which, finest[n], best):
                    break
                if best is not None and ends is not None and self._only_ties(finest[n], best) and code >= ends:
                    continue
                found = self._solved(which, crossing, int(chosen[n]), limits)
                if found is not None and found.before(best):
                    best, ends = found, code
        return best

    def _ends(self, crossing: Crossing, best: Choice | None) -> float | None:
        """Place code from which on a mere tie cannot win: by the kinds' order all, none, or those after the best."""
        if best is None or abs(best.mass_t - crossing.mass_t) > TOLERANCE * best.mass_t:
            return None
        if crossing.kinds == best.kinds:
            return crossing.code_of(best.spots)
        return -math.inf if crossing.kinds > best.kinds else math.inf

    @staticmethod
    def _only_ties(finest: float, best: Choice) -> bool:
        return finest >= best.gm_uncertainty_m * (1.0 - TOLERANCE)

    def _solved(self, which: Template, crossing: Crossing, n: int, limits: Limits) -> Choice | None:
        spend(TRIAL_WORK)
        window = self._window(crossing, n, limits)
        plus, minus = crossing.totals(n)
        pair = window.best(which, plus, minus)
        if pair is None:
            return None
        fall, rss = float(crossing.families.fall_low_t_m[n]), float(crossing.families.side_mass_t[n])
        precision = self.ship.gm_uncertainty_m(which, crossing.mass_t, self.ship.expected_t_m - fall, *pair, rss)
        if precision > limits.target_m * (1.0 + TOLERANCE):
            return None
        return Choice(
            which,
            crossing.kinds,
            crossing.spots(n),
            crossing.mass_t,
            *pair,
            float(precision),
            (plus, minus),
            window.floor,
        )

    def _window(self, crossing: Crossing, n: int, limits: Limits) -> Window:
        families = crossing.families
        return Window.of(
            self.ship, limits, crossing.mass_t, float(families.fall_low_t_m[n]), float(families.middle_low_t_m[n])
        )

    def _crossings(self, block: PairBlock, pair: int, limits: Limits) -> Iterator[Crossing]:
        spend(TRIAL_WORK)
        sides = [self._arranged(tuple(int(k) for k in each)) for each in block.kinds(pair)]
        return cross(self.ship, limits, *sides)

    def _arranged(self, kinds: tuple[int, ...]) -> Arrangements:
        if kinds not in self._arrangements:
            self._arrangements[kinds] = Arrangements.of(self.deck, kinds, self.every)
        return self._arrangements[kinds]


def _may_win(mass_t: float, which: Template, finest_m: float, best: Choice | None) -> bool:
    if best is None or mass_t < best.mass_t * (1.0 - TOLERANCE):
        return True
    if mass_t > best.mass_t * (1.0 + TOLERANCE) or which.lifts != best.which.lifts:
        return mass_t <= best.mass_t * (1.0 + TOLERANCE) and which.lifts < best.which.lifts
    return finest_m <= best.gm_uncertainty_m * (1.0 + TOLERANCE)


def _worth_m(mass_t: float, which: Template, best: Choice | None) -> float:
    """Uncertainty above which a plan of this mass cannot win [m]."""
    if best is None or mass_t < best.mass_t * (1.0 - TOLERANCE) or which.lifts != best.which.lifts:
        return math.inf
    return best.gm_uncertainty_m


def _finest_first(crossing: Crossing, chosen: Indices, finest: Array) -> Iterator[tuple[int, float]]:
    """Number of the candidates by rising bound of uncertainty, then by place, with the place's code; the front first.

    Mostly one of the first wins and the others need no order.
    """
    if len(chosen) == 0:
        return
    rank = np.round(finest / finest.min(), 10)
    limit = rank.max() if len(rank) <= FRONT else np.partition(rank, FRONT)[FRONT]
    for part in (np.flatnonzero(rank <= limit), np.flatnonzero(rank > limit)):
        code = crossing.place_code(chosen[part])
        for i in np.lexsort((code, rank[part])):
            yield int(part[i]), float(code[i])


def _widened(limits: Limits, steps: int) -> Limits:
    return limits.widened(steps * WIDENING_STEP_DEG)
