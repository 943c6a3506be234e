"""A simulated inclining test: floated once, and read as often as wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from .families import hull_of
from .loading import draw_ship
from .noise import Noise, noisy_record
from .testday import TestDay, draw_instruments, draw_marks, float_states, lift_sequence, record_of
from .truth import truth_of


@dataclass(frozen=True)
class Options:
    """How a test is made.

    Parameters
    ----------
    hog_m : float
        Hog of the hull (sag negative): hull, marks, tanks, pipes and masses all rise with it, the lightship as a mass
        spread along the length, everything else as points.
    coarse : int
        Every `coarse`-th of the stations is handed out; the ship that floats is always the fine one.
    stations, refine : int
        Stations of an uncoarsened record, and mesh intervals to each of its intervals.
    weights : int, optional
        4 or 6 inclining weights; absent, drawn.
    instruments : sequence of str, optional
        Kinds; absent, two or three pendulums.
    height_change_m : float
        How much higher the weights stand on the starboard spots.
    tank_geometry : bool
        Whether the record carries the tanks' shapes beside their tables.
    """

    hog_m: float = 0.0
    coarse: int = 1
    stations: int = 121
    refine: int = 4
    weights: int | None = None
    instruments: Sequence[str] | None = None
    height_change_m: float = 0.0
    tank_geometry: bool = False


@dataclass(frozen=True, eq=False)
class Simulated:
    """A test record with the truth behind it.

    Parameters
    ----------
    record : dict
        The record, with measurement error if any was asked for.
    truth : dict
        Lightship, as-inclined condition and heels.
    exact : dict
        The record before any error.
    day : TestDay
        Ship, states and equilibria, for tests that want more.
    noise : Noise, optional
        The errors' sizes.
    """

    record: dict[str, Any]
    truth: dict[str, Any]
    exact: dict[str, Any]
    day: TestDay
    noise: Noise | None = None

    def noisy(self, rng: np.random.Generator, noise: Noise | None = None) -> Simulated:
        """The same test read again with fresh errors; nothing is floated again."""
        sizes = noise or self.noise or Noise.usual()
        return replace(self, record=noisy_record(self.exact, sizes, rng), noise=sizes)


def simulate(family: str, seed: int, noise: Noise | None = None, options: Options | None = None) -> Simulated:
    """Simulate an inclining test of a drawn ship.

    Parameters
    ----------
    family : str
        A key of `FAMILIES`.
    seed : int
        The same seed gives the same ship, test and errors.
    noise : Noise, optional
        Errors to put on the record; absent, it is exact and states no uncertainties.
    options : Options, optional
        How the test is made.

    Returns
    -------
    Simulated
        Record and truth.
    """
    chosen = options or Options()
    rng = np.random.default_rng(seed)
    shape = hull_of(family, rng)
    count = chosen.weights or int(rng.choice([4, 6]))
    ship = draw_ship(shape, shape.mesh(chosen.stations, chosen.refine), count, chosen.height_change_m, rng)
    spots = lift_sequence(ship.home_spots, rng)
    kinds = chosen.instruments or ["pendulum"] * int(rng.integers(2, 4))
    marks, instruments = draw_marks(shape, rng), draw_instruments(kinds, shape, rng)
    day = TestDay(ship, spots, float_states(ship, spots, chosen.hog_m), chosen.hog_m, marks, instruments)
    exact = record_of(day, chosen.stations, chosen.coarse, chosen.tank_geometry)
    found = Simulated(exact, truth_of(day), exact, day)
    return found if noise is None else found.noisy(np.random.default_rng([seed, 1]), noise)
