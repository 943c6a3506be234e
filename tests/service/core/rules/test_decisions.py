"""Deciding with uncertainty by JCGM 106: what must hold for every deviation, limit and uncertainty."""

from __future__ import annotations

import pytest
from heelwright_service.core.rules import (
    Baseline,
    Deviation,
    EarlyWarning,
    RuleVessel,
    decide,
    evaluate,
    passes,
    probability_exceeded,
    rule,
)
from heelwright_service.core.rules.decisions import Measured
from heelwright_service.core.rules.definitions import Direction
from heelwright_service.core.rules.evaluation import early_warning
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

deviations = st.floats(-200.0, 200.0)
sizes = st.floats(0.0, 200.0)
uncertainties = st.floats(0.0, 50.0)
limits = st.floats(0.1, 100.0)
directions = st.sampled_from(["absolute", "rise", "fall"])
ORDER: dict[Measured, int] = {"within": 0, "undecided": 1, "exceeded": 2}


@pytest.mark.parametrize(
    ("measured_percent", "chance_percent"), [(1.0, 3.9), (1.5, 18.8), (2.0, 50.0), (2.5, 81.2), (3.0, 96.1)]
)
def test_two_surveys_of_four_per_mille_each_leave_this_chance_of_being_over_two_per_cent(
    measured_percent: float, chance_percent: float
) -> None:
    # derived for this project: standard uncertainty of the difference 0.4 % x sqrt(2) = 0.566 %
    standard = 0.4 * 2.0**0.5
    assert standard == pytest.approx(0.566, abs=5e-4)
    chance = probability_exceeded(measured_percent, standard, 2.0)
    assert 100.0 * chance == pytest.approx(chance_percent, abs=0.05)


@given(value=deviations, standard=st.floats(0.01, 50.0), limit=limits)
def test_the_probability_is_that_of_both_tails_of_a_normal_distribution(
    value: float, standard: float, limit: float
) -> None:
    truth = stats.norm(value, standard)
    assert probability_exceeded(value, standard, limit) == pytest.approx(truth.sf(limit) + truth.cdf(-limit), abs=1e-12)
    assert probability_exceeded(value, standard, limit, "rise") == pytest.approx(truth.sf(limit), abs=1e-12)
    assert probability_exceeded(value, standard, limit, "fall") == pytest.approx(truth.cdf(-limit), abs=1e-12)


@given(first=sizes, second=sizes, standard=uncertainties, limit=limits)
def test_a_larger_deviation_is_never_judged_milder(first: float, second: float, standard: float, limit: float) -> None:
    small, large = sorted((first, second))
    assert ORDER[decide(small, standard, limit)] <= ORDER[decide(large, standard, limit)]
    milder, stricter = (probability_exceeded(size, standard, limit) for size in (small, large))
    assert milder <= stricter + 1e-12


@given(value=deviations, first=uncertainties, second=uncertainties)
def test_the_regulatory_verdict_does_not_depend_on_the_uncertainty(value: float, first: float, second: float) -> None:
    ship, approved = RuleVessel("passenger", 105.0), Baseline(4000.0)
    verdicts = [evaluate(rule("D-07"), Deviation("mass_t", value, u), approved, ship) for u in (first, second)]
    assert verdicts[0] is not None
    assert verdicts[1] is not None
    assert verdicts[0].regulatory == verdicts[1].regulatory


@given(value=deviations, standard=uncertainties, limit=limits)
def test_the_sign_of_a_deviation_does_not_matter_where_it_is_absolute(
    value: float, standard: float, limit: float
) -> None:
    assert decide(value, standard, limit) == decide(-value, standard, limit)
    assert probability_exceeded(value, standard, limit) == pytest.approx(
        probability_exceeded(-value, standard, limit), abs=1e-12
    )


@given(value=deviations, standard=uncertainties, limit=limits, factor=st.floats(0.01, 100.0), direction=directions)
def test_a_change_of_unit_changes_no_probability(
    value: float, standard: float, limit: float, factor: float, direction: Direction
) -> None:
    scaled = probability_exceeded(value * factor, standard * factor, limit * factor, direction)
    if standard > 1e-3:
        assert scaled == pytest.approx(probability_exceeded(value, standard, limit, direction), abs=1e-9)


@given(value=deviations, limit=limits, direction=directions)
def test_without_uncertainty_nothing_is_undecided(value: float, limit: float, direction: Direction) -> None:
    expected = "within" if probability_exceeded(value, 0.0, limit, direction) == 0.0 else "exceeded"
    assert decide(value, 0.0, limit, direction) == expected


@given(value=deviations, standard=st.floats(0.01, 50.0), limit=limits)
def test_decided_verdicts_have_probabilities_near_nought_and_one(value: float, standard: float, limit: float) -> None:
    chance = probability_exceeded(value, standard, limit)
    verdict = decide(value, standard, limit)
    tail = stats.norm.sf(2.0)
    if verdict == "within":
        assert chance <= 2.0 * tail + 1e-6
    if verdict == "exceeded":
        assert chance >= 1.0 - tail - 1e-6


def test_equal_to_the_limit_is_within_or_beyond_as_the_text_says() -> None:
    assert passes(80.0, 80.0, "exceeds")
    assert not passes(80.0, 80.0, "reaches")
    assert decide(80.0, 0.0, 80.0) == "within"
    assert decide(80.0, 0.0, 80.0, comparison="reaches") == "exceeded"


@pytest.mark.parametrize(
    ("found", "chance", "colour"),
    [(40.0, 0.05, "green"), (40.1, 0.0, "amber"), (10.0, 0.051, "amber"), (79.0, 0.5, "amber"), (79.0, 0.51, "red")],
)
def test_the_office_warns_at_half_the_limit_or_at_five_per_cent_probability(
    found: float, chance: float, colour: str
) -> None:
    assert early_warning(found, 80.0, chance, EarlyWarning()) == colour
