"""Linear propagation and simulation on models whose answers are known, and on the barge of the published budget."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from heelwright_service.core.uncertainty.inputs import Component
from heelwright_service.core.uncertainty.propagation import (
    QUANTITIES,
    Run,
    linear,
    numerical_tolerance,
    simulate,
)
from scipy import stats

from tests.reference.measurement import _barge

PUBLISHED = json.loads((Path(__file__).parents[3] / "reference" / "published.json").read_text(encoding="utf-8"))
BARGE = next(case for case in PUBLISHED if case["id"] == "UNC-03")


class Model(Run):
    """A model of its own in place of the chain: the same function for all quantities."""

    def __new__(cls, *args):
        return object.__new__(cls)

    def __init__(self, function, *parts):
        object.__setattr__(self, "function", function)
        object.__setattr__(self, "parts", list(parts))

    def values(self, amounts):
        return np.repeat(self.function(amounts)[:, None], len(QUANTITIES), axis=1)


def part(standard, freedom=np.inf):
    return Component("x", "x", "reading", (), standard, freedom)


def total(amounts):
    return amounts.sum(axis=1)


def test_independent_errors_add_in_squares():
    found = linear(Model(total, part(3.0), part(4.0)))
    assert found.standard == pytest.approx(np.full(7, 5.0))
    assert found.half_width() == pytest.approx(np.full(7, 5.0 * 1.959964), rel=1e-6)


def test_effective_degrees_of_freedom_are_those_of_welch_and_satterthwaite():
    """JCGM 100:2008, G.4.1: u = √5, one part of 1 with nine degrees: 5²·9/1⁴ = 225."""
    found = linear(Model(total, part(1.0, 9.0), part(2.0)))
    assert found.degrees_of_freedom == pytest.approx(np.full(7, 225.0))
    assert found.half_width() == pytest.approx(np.full(7, stats.t.ppf(0.975, 225.0) * 5.0**0.5))


def test_readings_that_share_one_scatter_count_as_one_group():
    """Three readings of one scatter with nine degrees: all of the variance, so nine again, not twenty-seven."""
    found = linear(Model(total, part(1.0, 9.0), part(1.0, 9.0), part(1.0, 9.0)))
    assert found.degrees_of_freedom == pytest.approx(np.full(7, 9.0))


def test_without_errors_nothing_is_uncertain():
    found = linear(Model(total))
    assert found.standard.tolist() == [0.0] * 7
    assert found.half_width().tolist() == [0.0] * 7


def test_a_simulation_of_a_sum_of_normal_errors_is_normal():
    found = simulate(Model(total, part(3.0), part(4.0)), 400_000, 1)
    assert found.standard == pytest.approx(np.full(7, 5.0), rel=0.005)
    assert found.symmetric[1] == pytest.approx(np.full(7, 5.0 * 1.959964), rel=0.01)
    assert found.mean == pytest.approx(np.zeros(7), abs=0.03)


def test_a_scatter_found_from_the_readings_is_drawn_as_students_t_with_one_scale_a_draw():
    """Nine degrees of freedom: ±2.262 standard uncertainties, and a variance of 9/7 (JCGM 101:2008, 6.4.9)."""
    found = simulate(Model(lambda amounts: amounts.mean(axis=1) * 2.0, *[part(1.0, 9.0)] * 4), 400_000, 2)
    assert found.standard == pytest.approx(np.full(7, (9.0 / 7.0) ** 0.5), rel=0.01)
    assert found.symmetric[1] == pytest.approx(np.full(7, stats.t.ppf(0.975, 9.0)), rel=0.01)


def test_the_shortest_interval_of_a_skew_result_is_shorter_than_the_symmetric_one():
    """An exponential distribution: the shortest 95 % interval starts at nothing and ends at ln 20."""
    skew = simulate(Model(lambda amounts: -np.log(stats.norm.sf(amounts[:, 0])), part(1.0)), 200_000, 3)
    (low, high), (short_low, short_high) = skew.symmetric[:, 0], skew.shortest[:, 0]
    assert short_high - short_low < high - low
    assert short_low == pytest.approx(0.0, abs=0.01)
    assert short_high == pytest.approx(np.log(20.0), rel=0.02)
    assert low == pytest.approx(-np.log(0.975), rel=0.05)


def test_the_same_seed_gives_the_same_draws_and_another_seed_others():
    model = Model(total, part(1.0), part(2.0, 9.0))
    first, again, other = (simulate(model, 20_000, seed) for seed in (5, 5, 6))
    assert np.array_equal(first.symmetric, again.symmetric)
    assert not np.array_equal(first.symmetric, other.symmetric)


@pytest.mark.parametrize("scale", [1.05, 9.5])
def test_an_adaptive_simulation_goes_on_until_its_ends_are_known_to_a_fifth_of_the_tolerance(scale):
    """Ends of a normal distribution are known: of ±1.96 u the error must be within δ/5, δ half a unit of u's digit."""
    found = simulate(Model(total, part(scale)), None, 7)
    tolerance = float(numerical_tolerance(np.array(scale))) / 5.0
    assert found.stable
    assert np.abs(found.symmetric[1] - 1.959964 * scale).max() < 1.5 * tolerance
    assert found.draws == (40_000 if scale < 2.0 else found.draws)
    assert found.draws % 10_000 == 0


def test_more_digits_of_the_uncertainty_mean_more_draws():
    few, many = (simulate(Model(total, part(scale)), None, 7).draws for scale in (1.05, 9.5))
    assert few < many


def test_few_draws_are_not_called_stable():
    assert not simulate(Model(total, part(1.0)), 5_000, 1).stable
    assert simulate(Model(total, part(1.05)), 100_000, 1).stable


def test_the_tolerance_is_half_a_unit_of_the_last_digit_that_counts():
    """JCGM 101:2008, 7.9.2: u = 0.35 with one digit that counts is 4·10⁻¹, so δ = 0.05; with two, 0.005."""
    assert numerical_tolerance(np.array(0.35)) == pytest.approx(0.05)
    assert numerical_tolerance(np.array(0.35), 2) == pytest.approx(0.005)


def test_a_listener_hears_how_many_draws_are_done():
    heard = []
    simulate(Model(total, part(1.0)), 25_000, 1, heard.append)
    assert heard == [10_000, 20_000, 25_000]


def barge_run():
    """The published barge with its standard uncertainties, but for the free surface, which the chain takes as it is."""
    given = BARGE["given"]
    test, source = _barge(given)
    assert test.movements is not None
    u, half = given["standard_uncertainties"], given["weight_t"] / 10.0
    sides = tuple(float(s) for s in np.sign(test.movements.spot_m[:, 1]) * half)
    whole = (slice(None),)
    parts = [
        Component("draught", "draught", "height_m", whole, u["draught"]),
        Component("water density", "water density", "density_t_per_m3", (), u["water density"]),
        Component("weight mass", "weight mass", "weight_mass_relative", whole, u["weight mass"] / given["weight_t"]),
        Component("shift", "shift distance", "spot_m", (slice(None), 1), u["shift distance"], signs=sides),
        Component("pendulum length", "pendulum length", "length_m", whole, u["pendulum length"]),
        Component(
            "deflection", "deflection", "reading", (), u["deflection"] / given["pendulum_length_m"],
            signs=(0.0, 1.0, -1.0),
        ),
        Component("hydrostatic KM", "hydrostatic KM", "km_m", (), u["hydrostatic KM"]),
    ]  # fmt: skip
    return Run(test, source, parts, "small-angle", None)


def test_the_published_budget_of_a_barge_is_reproduced_input_by_input():
    found = linear(barge_run()).contributions[:, QUANTITIES.index("kg_m")] * 1000.0
    *expected, free_surface = BARGE["expected"]["contribution_mm"]
    assert found == pytest.approx(expected, abs=BARGE["tolerance"]["contribution_mm"])
    combined = float(np.hypot(np.sqrt(np.sum(found**2)), free_surface))
    assert combined == pytest.approx(BARGE["expected"]["u_c_KG_mm"], abs=BARGE["tolerance"]["u_c_KG_mm"])


def test_the_published_budget_of_a_barge_is_reproduced_by_simulation():
    found = simulate(barge_run(), 20_000, 11)
    column = QUANTITIES.index("kg_m")
    free_surface = BARGE["expected"]["contribution_mm"][-1]
    spread = float(np.hypot(1000.0 * found.standard[column], free_surface))
    assert spread == pytest.approx(BARGE["expected"]["monte_carlo_sd_mm"], abs=BARGE["tolerance"]["monte_carlo_sd_mm"])
