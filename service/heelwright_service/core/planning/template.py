"""The fixed sequence of moves: every state is reached from the one before by one lift across the ship.

Weights are named by their part in the sequence. A, C (and E) start to port and go across to starboard, which gives
moments to starboard, positive; B, D (and F) start to starboard and give moments to port. One side's weights go across
one after the other, then come back in the same order; then the other side's:

    four weights    none, A, A+C, C, none, B, B+D, D, none                                       eight lifts
    six weights     none, A, A+C, A+C+E, C+E, E, none, B, B+D, B+D+F, D+F, F, none              twelve lifts

(The eight movements of the 2008 IS Code part B 8.4.1.2, each a single lift: common practice.) While one side's weights
go across, the other side's stand at home; so the most that ever stands on one side of a place on deck is everything
that has its home there, to port and to starboard together.
"""

from __future__ import annotations

from dataclasses import dataclass

LETTERS = "ABCDEF"


@dataclass(frozen=True)
class Template:
    """The sequence for a number of weights.

    Parameters
    ----------
    count : int
        Number of weights, even.
    states : tuple of frozenset of int
        For every state the weights (by number, A is 0) that stand across from their home.
    """

    count: int
    states: tuple[frozenset[int], ...]

    @property
    def per_side(self) -> int:
        """Weights that have their home on one side."""
        return self.count // 2

    @property
    def lifts(self) -> int:
        """Number of lifts: one for each state after the first."""
        return len(self.states) - 1

    @property
    def nonzero(self) -> int:
        """States with a weight across."""
        return sum(bool(state) for state in self.states)

    @property
    def returns(self) -> int:
        """Returns to the initial position."""
        return len(self.states) - self.nonzero - 1

    @property
    def distinct_per_side(self) -> int:
        """Moments on one side that cannot be equal: those of the states reached by adding a weight."""
        return self.per_side

    @property
    def complete(self) -> bool:
        """Whether it has six states off zero, two moments a side and two returns to zero at the least."""
        return self.nonzero >= 6 and self.distinct_per_side >= 2 and self.returns >= 2


def template(count: int) -> Template:
    """Return the sequence for a number of weights.

    Parameters
    ----------
    count : int
        2, 4 or 6; two weights never give enough states and serve to say so.

    Returns
    -------
    Template
        The sequence.

    Examples
    --------
    >>> ["+".join(LETTERS[w] for w in sorted(state)) or "none" for state in template(4).states]
    ['none', 'A', 'A+C', 'C', 'none', 'B', 'B+D', 'D', 'none']
    >>> template(6).lifts
    12
    """
    states: list[frozenset[int]] = [frozenset()]
    for first in (0, 1):
        side = list(range(first, count, 2))
        states += [frozenset(side[:n]) for n in range(1, len(side) + 1)]
        states += [frozenset(side[n:]) for n in range(1, len(side) + 1)]
    return Template(count, tuple(states))


def moments(which: Template, across_t_m: tuple[float, ...]) -> tuple[float, ...]:
    """Moment of every state as the change from the initial one, positive to starboard.

    Parameters
    ----------
    which : Template
        The sequence.
    across_t_m : tuple of float
        Mass times shift of each weight [t·m], A first.

    Returns
    -------
    tuple of float
        One moment for each state [t·m].

    Examples
    --------
    >>> moments(template(4), (30.0, 30.0, 30.0, 30.0))
    (0.0, 30.0, 60.0, 30.0, 0.0, -30.0, -60.0, -30.0, 0.0)
    """
    return tuple(
        float(sum(across_t_m[w] if w % 2 == 0 else -across_t_m[w] for w in sorted(state))) for state in which.states
    )
