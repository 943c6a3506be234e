"""The 95 % intervals hold the truth as often as they say, and the stand-in for the hull is as good as it says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import work_out
from heelwright_service.core.uncertainty.assess import prepare_run
from heelwright_service.core.uncertainty.propagation import QUANTITIES
from scipy import stats

from tests.bench.coverage import one_ship
from tests.support.simulator import FAMILIES, Noise, Options, simulate

EVALUATIONS = ("linear", "monte-carlo")
READINGS = 14
LIGHT = Options(stations=61, refine=2)
CHANCE = 0.001
"""A true 95 % passes in 999 of 1 000 runs, all quantities and both evaluations together (Bonferroni)."""


@pytest.fixture(scope="module")
def held():
    """By evaluation and quantity, over all families: whether each interval held the truth."""
    pooled = {name: {quantity: [] for quantity in QUANTITIES} for name in EVALUATIONS}
    for number, family in enumerate(sorted(FAMILIES)):
        for name, hits in one_ship(family, 2000 + number, READINGS, EVALUATIONS, 4_000, LIGHT).items():
            for quantity, each in hits.items():
                pooled[name][quantity] += each
    return pooled


@pytest.mark.parametrize("name", EVALUATIONS)
@pytest.mark.parametrize("quantity", QUANTITIES)
def test_intervals_hold_the_truth_as_often_as_they_say(held, name, quantity):
    found = held[name][quantity]
    share = CHANCE / (2 * len(QUANTITIES) * len(EVALUATIONS))
    low, high = stats.binom.ppf([share, 1.0 - share], len(found), 0.95)
    assert len(found) == READINGS * len(FAMILIES)
    assert low <= sum(found) <= high


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_the_stand_in_for_a_hull_is_better_than_a_hundred_thousandth(family):
    """Measured at surfaces that took no part in its fit; the results it gives are those of the hull to 0.05 mm."""
    test = simulate(family, 31, options=LIGHT)
    record = from_document(TestRecord, test.noisy(np.random.default_rng(1), Noise.usual()).record)
    reduced = work_out(record)
    run, _ = prepare_run(reduced.test, reduced.outcome, reduced.source, reduced.best, None)
    assert run.source.largest_error_relative < 1e-5
    sizes = np.array([part.standard for part in run.parts])
    amounts = np.random.default_rng(2).standard_normal((6, len(sizes))) * sizes
    near, exact = run.values(amounts), replace(run, source=reduced.source).values(amounts)
    assert near[:, 0] == pytest.approx(exact[:, 0], rel=1e-6)
    assert near[:, 1:3] == pytest.approx(exact[:, 1:3], abs=5e-5)
    assert near[:, 4:] == pytest.approx(exact[:, 4:], abs=5e-5)
