"""The planner's parts one by one: sequence, totals, crane, precision, search at its edges."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.planning.deck import Deck, safe_working_load
from heelwright_service.core.planning.precision import Design, SlopeUncertainty, spread, tangent_uncertainty
from heelwright_service.core.planning.request import Crane, PlanInstrument, PlanRequest
from heelwright_service.core.planning.template import moments, template
from heelwright_service.core.planning.totals import SideTotals

from tests.service.core.planning.test_weight_plans import request


@pytest.mark.parametrize("count", [2, 4, 6])
def test_every_state_is_reached_by_one_lift_and_the_sequence_ends_at_home(count: int) -> None:
    states = template(count).states
    assert all(len(before ^ after) == 1 for before, after in itertools.pairwise(states))
    assert states[0] == states[-1] == frozenset()
    assert all(len({weight % 2 for weight in state}) <= 1 for state in states)


@pytest.mark.parametrize(("count", "lifts", "nonzero", "returns"), [(4, 8, 6, 2), (6, 12, 10, 2)])
def test_four_and_six_weights_give_states_enough(count: int, lifts: int, nonzero: int, returns: int) -> None:
    which = template(count)
    assert (which.lifts, which.nonzero, which.returns, which.complete) == (lifts, nonzero, returns, True)
    values = moments(which, (3.0, 5.0) * (count // 2))
    for side in (1.0, -1.0):
        assert len({side * value for value in values if side * value > 0.0}) >= 2


def test_two_weights_do_not_give_states_enough() -> None:
    assert not template(2).complete


def test_the_most_on_one_side_of_a_place_is_all_that_has_its_home_there() -> None:
    for count in (4, 6):
        which = template(count)
        for there in itertools.chain.from_iterable(
            itertools.combinations(range(count), n) for n in range(1, count + 1)
        ):
            most = [0, 0]
            for state in which.states:
                port = sum((w % 2 == 0) != (w in state) for w in there)
                most = [max(most[0], port), max(most[1], len(there) - port)]
            assert most == [len(there), len(there)]


def side(seed: int) -> SideTotals:
    draw = random.Random(seed)
    weights = draw.choice([1, 2, 3])
    steps = tuple(np.array(sorted(draw.sample(range(1, 12), draw.randint(1, 8)))) for _ in range(weights))
    return SideTotals(tuple(round(draw.uniform(1.0, 4.0), 2) for _ in range(weights)), steps, 0.5)


@pytest.mark.parametrize("seed", range(60))
def test_totals_are_those_of_all_combinations(seed: int) -> None:
    one, draw = side(seed), random.Random(seed)
    floor = draw.choice([0.0, 0.0, 2.0])
    every = []
    for chosen in itertools.product(*one.steps):
        parts = [mass * 0.5 * n for mass, n in zip(one.mass_t, chosen, strict=True)]
        if min(parts[0], parts[-1]) >= floor:
            every.append((sum(parts), sum(part**2 for part in parts), chosen))
    limit = draw.uniform(2.0, 30.0)
    below = [total for total, *_ in every if total <= limit]
    found = one.largest(limit, floor)
    assert (found is None) == (not below)
    if found is None:
        return
    assert found == pytest.approx(max(below))
    least = 0.6 * max(below)
    inside = sorted({round(total, 9) for total in below if total >= least})
    assert sorted({round(float(total), 9) for total in one.totals(least, limit, floor)}) == pytest.approx(inside)
    alike = [(round(square, 9), chosen) for total, square, chosen in every if total == pytest.approx(found, rel=1e-9)]
    assert one.split(found, floor) == min(alike)[1]


def test_a_crane_lifts_by_straight_lines_between_the_points_of_its_curve_and_nothing_beyond() -> None:
    crane = Crane(10.0, 2.0, 15.0, [(4.0, 10.0), (10.0, 7.0), (18.0, 3.0)], False, 5.0)
    radii = np.array([3.9, 4.0, 7.0, 10.0, 14.0, 15.0, 15.1, 18.0])
    assert safe_working_load(crane, 10.0, 2.0 + radii) == pytest.approx([0.0, 10.0, 8.5, 7.0, 5.0, 4.5, 0.0, 0.0])


def test_shifts_end_at_the_limits_of_the_place_and_where_the_crane_lets_go() -> None:
    crane = {"x_m": 30.0, "y_m": 0.0, "radius_max_m": 20.0, "curve": [[1.0, 9.0], [5.0, 3.0], [20.0, 1.0]],
             "onboard": False, "minutes_per_lift": 5.0}  # fmt: skip
    free = Deck.of(from_document(PlanRequest, request()))
    held = Deck.of(from_document(PlanRequest, request(crane=crane)))
    assert free.steps(0, 0)[[0, -1]].tolist() == [1, 120]
    assert held.steps(0, 0)[[0, -1]].tolist() == [20, 100]


def test_a_pendulum_read_to_a_millimetre_counts_reading_and_resolution() -> None:
    """Resolution of 1 mm as a rectangle of full width: 0.2887 mm (JCGM 100:2008, 4.3.7), and 1 mm of reading."""
    pendulum = PlanInstrument("P1", "pendulum", 4.0, resolution_mm=1.0)
    assert tangent_uncertainty(pendulum) == pytest.approx(np.hypot(0.28868e-3, 1e-3) / 4.0, rel=1e-5)


def test_the_slopes_uncertainty_is_that_of_simulated_lines() -> None:
    """Ten thousand lines fitted to readings with independent error: scatter of the slope against the formula."""
    which, draw = template(4), np.random.default_rng(1)
    moment = np.array(moments(which, (30.0, 30.0, 30.0, 30.0)))
    stiffness, tangent = 2000.0, 2e-4
    readings = moment / stiffness + draw.normal(0.0, tangent, (10_000, len(moment)))
    centred = moment - moment.mean()
    slopes = readings @ centred / (centred @ centred)
    model = SlopeUncertainty(tangent, 0.0, 0.0, 0.0)
    expected = model.gm_m(Design(2500.0, stiffness, spread(which, 60.0, 60.0), 0.0))
    assert 2.0 * np.std(1.0 / slopes / 2500.0) == pytest.approx(float(expected), rel=0.03)


@pytest.mark.parametrize("count", [4, 6])
def test_the_expected_uncertainty_falls_with_either_moment_and_rises_with_stiffness(count: int) -> None:
    model = SlopeUncertainty.of(from_document(PlanRequest, request()))
    which = template(count)
    grid = np.linspace(10.0, 100.0, 40)
    values = model.gm_m(Design(2500.0, 2000.0, spread(which, grid[:, None], grid), 5.0))
    assert (np.diff(values, axis=0) < 0.0).all()
    assert (np.diff(values, axis=1) < 0.0).all()
    stiffer = model.gm_m(Design(2500.0, np.linspace(100.0, 9000.0, 50), 9000.0, 5.0))
    assert (np.diff(stiffer) > 0.0).all()


def test_no_parts_of_the_largest_moments_give_less_than_the_least_spread() -> None:
    for count in (4, 6):
        which, draw = template(count), np.random.default_rng(count)
        for _ in range(200):
            parts = draw.uniform(0.1, 1.0, count)
            for first in (0, 1):
                parts[first::2] *= 50.0 / parts[first::2].sum()
            values = np.array(moments(which, tuple(parts)))
            assert np.sum((values - values.mean()) ** 2) >= float(spread(which, 50.0, 50.0)) * (1.0 - 1e-12)
