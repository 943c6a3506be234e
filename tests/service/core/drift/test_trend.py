"""Growth rates and forecasts against a reference library, closed forms and simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]
from heelwright_service.core.drift import StandardUncertainties
from heelwright_service.core.drift.trend import (
    NORMAL_95,
    Passing,
    Point,
    Trend,
    fit,
    passing,
    student_95,
    years_to_limit,
)
from heelwright_service.core.errors import CoreError
from scipy import stats

from tests.service.core.drift.builders import EXACT, SHIP, TESTED, drift_of, record


def trend_of(points: list[Point]) -> Trend:
    found = fit(points)
    assert found is not None
    return found


POINTS = [Point(0.0, 1000.0, 4.0), Point(4.9, 1004.0, 3.0), Point(10.2, 1012.0, 5.0), Point(15.0, 1013.0, 2.0)]
SCATTERED = [Point(0.0, 1000.0, 1.0), Point(5.0, 1012.0, 2.0), Point(10.0, 1001.0, 1.5), Point(14.0, 1020.0, 1.0)]


def reference(points: list[Point], known: bool) -> tuple[float, float]:
    """Slope and its standard error by statsmodels' weighted least squares."""
    design = sm.add_constant(np.array([each.years for each in points]))
    weights = 1.0 / np.array([each.standard for each in points]) ** 2
    model = sm.WLS(np.array([each.value for each in points]), design, weights=weights)
    result = model.fit(cov_type="fixed scale") if known else model.fit()
    return float(result.params[1]), float(result.bse[1])


def test_the_rate_and_its_uncertainty_are_those_of_weighted_least_squares() -> None:
    rate, standard = reference(POINTS, known=True)
    found = trend_of(POINTS)
    assert found.scatter_ratio < 1.0
    assert found.rate == pytest.approx(rate, rel=1e-10)
    assert found.rate_standard == pytest.approx(standard, rel=1e-10)
    assert found.interval == pytest.approx((rate - NORMAL_95 * standard, rate + NORMAL_95 * standard), rel=1e-9)


def test_scatter_beyond_the_stated_uncertainties_widens_the_interval() -> None:
    rate, standard = reference(SCATTERED, known=False)
    found = trend_of(SCATTERED)
    assert found.scatter_ratio > 1.0
    assert found.rate == pytest.approx(rate, rel=1e-10)
    assert found.rate_standard == pytest.approx(standard, rel=1e-10)


@pytest.mark.parametrize(("freedom", "quantile"), [(6, 2.4469), (7, 2.3646), (22, 2.0739), (1, 12.7062)])
def test_students_quantile_is_that_of_the_tables(freedom: int, quantile: float) -> None:
    # JCGM 100:2008 table G.2 gives 2.45, 2.36 and 12.71 for 6, 7 and 1 degrees of freedom
    assert student_95(freedom) == pytest.approx(quantile, abs=5e-5)
    assert student_95(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=1e-12)


def test_an_estimated_scatter_takes_students_interval_of_the_reference_library() -> None:
    design = sm.add_constant(np.array([each.years for each in SCATTERED]))
    weights = 1.0 / np.array([each.standard for each in SCATTERED]) ** 2
    result = sm.WLS(np.array([each.value for each in SCATTERED]), design, weights=weights).fit()
    assert trend_of(SCATTERED).freedom == 2
    assert trend_of(SCATTERED).interval == pytest.approx(result.conf_int(0.05)[1], rel=1e-9)


def test_five_scattered_surveys_do_not_show_a_growth() -> None:
    # scatter 5.26 times what 1 t explains, from 3 degrees of freedom: 0.930 +- 3.18 * 0.459 t/year
    days, masses = (
        ("2010-03-01", "2013-06-15", "2017-02-28", "2021-11-11", "2024-01-01"),
        (1000, 1010, 1004, 1018, 1012),
    )
    stated = StandardUncertainties(mass_t=1.0, lcg_m=0.1, tcg_m=0.01, vcg_m=0.02)
    first = record(days[0], "inclining-test", 1000.0, 30.0, 0.0, 6.0, True, stated)
    rest = [
        record(d, "lightweight-survey", float(m), 30.0, 0.0, None, False, stated)
        for d, m in zip(days[1:], masses[1:], strict=True)
    ]
    growth = drift_of([first, *rest], as_of="2026-06-01").growth
    assert growth is not None
    assert growth.scatter_ratio == pytest.approx(5.26, abs=0.005)
    assert (growth.low_95, growth.high_95) == pytest.approx((-0.53, 2.39), abs=0.005)
    assert growth.coverage_factor == pytest.approx(stats.t.ppf(0.975, 3))
    assert "cannot be told from none" in growth.remark
    assert "3 degrees of freedom" in growth.remark


def test_the_forecast_band_is_as_wide_as_the_interval_of_the_rate() -> None:
    trend = trend_of(SCATTERED)
    found = passing(trend, 1100.0, True, 0.0, 1000.0)
    assert found.earliest is not None
    assert band_at(trend, found.earliest, 1.0) == pytest.approx(1100.0)


def test_the_quantile_is_that_of_the_normal_distribution() -> None:
    assert pytest.approx(stats.norm.ppf(0.975), rel=1e-15) == NORMAL_95


def test_below_two_dates_there_is_no_trend() -> None:
    assert fit([]) is None
    assert fit([Point(0.0, 1000.0, 4.0)]) is None
    assert fit([Point(1.0, 1000.0, 4.0), Point(1.0, 1010.0, 4.0)]) is None


@pytest.mark.parametrize(
    ("growth", "to_one", "to_two", "compound"),
    [(0.1, 10.0, 20.0, 19.813), (0.25, 4.0, 8.0, 7.931), (0.5, 2.0, 4.0, 3.970), (1.0, 1.0, 2.0, 1.990)],
)
def test_the_years_to_a_limit_follow_from_the_growth(
    growth: float, to_one: float, to_two: float, compound: float
) -> None:
    # closed forms: limit/growth, and ln(1 + limit)/ln(1 + growth)
    assert years_to_limit(1.0, growth) == pytest.approx(to_one)
    assert years_to_limit(2.0, growth) == pytest.approx(to_two)
    assert years_to_limit(2.0, growth, compound=True) == pytest.approx(compound, abs=5e-4)


def test_a_growth_of_nothing_never_reaches_a_limit() -> None:
    with pytest.raises(CoreError):
        years_to_limit(2.0, 0.0)


def band_at(trend: Trend, years: float, sign: float) -> float:
    spread = math.hypot(trend.mean_standard, (years - trend.mean_years) * trend.rate_standard)
    return trend.at(years) + sign * trend.quantile * spread


def test_the_interval_of_the_date_is_where_the_band_meets_the_level() -> None:
    trend = trend_of([Point(0.0, 1000.0, 1.0), Point(5.0, 1005.0, 1.0), Point(10.0, 1011.0, 1.0)])
    found = passing(trend, 1020.0, True, 0.0, 60.0)
    assert found.best is not None
    assert found.earliest is not None
    assert found.latest is not None
    assert found.earliest < found.best < found.latest
    assert trend.at(found.best) == pytest.approx(1020.0)
    assert band_at(trend, found.earliest, 1.0) == pytest.approx(1020.0)
    assert band_at(trend, found.latest, -1.0) == pytest.approx(1020.0)


def test_a_loss_mirrors_a_gain() -> None:
    up = trend_of([Point(0.0, 1000.0, 1.0), Point(5.0, 1005.0, 1.0), Point(10.0, 1011.0, 1.0)])
    down = trend_of([Point(0.0, 1000.0, 1.0), Point(5.0, 995.0, 1.0), Point(10.0, 989.0, 1.0)])
    risen, fallen = passing(up, 1020.0, True, 0.0, 60.0), passing(down, 980.0, False, 0.0, 60.0)
    assert risen.best is not None
    assert fallen.best == pytest.approx(risen.best)
    assert fallen.earliest == pytest.approx(risen.earliest)
    assert fallen.latest == pytest.approx(risen.latest)


def test_nothing_is_said_beyond_the_horizon() -> None:
    trend = trend_of([Point(0.0, 1000.0, 0.1), Point(10.0, 1001.0, 0.1)])
    assert passing(trend, 1020.0, True, 0.0, 35.0) == Passing(None, None, None)


def test_a_trend_that_cannot_be_told_from_none_has_no_latest_date() -> None:
    trend = trend_of([Point(0.0, 1000.0, 4.0), Point(5.0, 1003.0, 4.0)])
    found = passing(trend, 1020.0, True, 0.0, 100.0)
    assert found.best is not None
    assert found.earliest is not None
    assert found.latest is None


def test_the_intervals_hold_the_truth_in_95_of_100_simulated_histories() -> None:
    # Monte Carlo with a known truth: 2 t/year from 1000 t, tests every 5 years of 3 t standard uncertainty
    generator = np.random.default_rng(20240229)
    years, truth, trials = np.array([0.0, 5.0, 10.0, 15.0]), 2.0, 4000
    rates = dates = 0
    for errors in generator.normal(0.0, 3.0, (trials, years.size)):
        values = 1000.0 + truth * years + errors
        trend = trend_of([Point(t, v, 3.0) for t, v in zip(years, values, strict=True)])
        low, high = trend.interval
        rates += low <= truth <= high
        level = values[0] + 60.0  # the limit counts from the approved value, which carries its own error
        when = (level - 1000.0) / truth
        found = passing(trend, level, True, 0.0, 500.0)
        dates += (found.earliest or 0.0) <= when <= (math.inf if found.latest is None else found.latest)
    # the enlargement by the scatter makes the interval a little wide, never narrow
    assert 0.94 <= rates / trials <= 0.985
    assert 0.94 <= dates / trials <= 0.985


def test_a_drift_reports_growth_per_year_and_per_cent() -> None:
    surveys = [record("2020-06-10", "lightweight-survey", 4020.0), record("2025-06-10", "lightweight-survey", 4040.0)]
    drift = drift_of([TESTED, *surveys], as_of="2025-07-01")
    assert drift.growth is not None
    assert drift.growth.rate_t_per_year == pytest.approx(4.0, rel=1e-3)
    assert drift.growth.percent_per_year == pytest.approx(0.1, rel=1e-3)
    assert drift.growth.low_95 < 4.0 < drift.growth.high_95
    assert drift.growth.points == 3


def test_a_steady_tenth_of_a_per_cent_passes_two_per_cent_after_twenty_years() -> None:
    exact = [
        record("2015-06-10", "inclining-test", 4000.0, 50.0, 0.0, 7.5, True, EXACT),
        record("2020-06-10", "lightweight-survey", 4020.0, uncertainties=EXACT),
    ]
    drift = drift_of(exact, as_of="2020-06-10")
    mass = {each.rule: each for each in drift.crossings if each.quantity == "mass_t"}
    assert mass["D-07"].also == ["D-11"]
    assert mass["D-07"].level == pytest.approx(4080.0)
    for rule, year in (("D-07", "2035-06"), ("D-14", "2025-06")):
        found = mass[rule]
        assert found.date is not None
        assert found.date.startswith(year)
        assert (found.earliest, found.latest) == (found.date, found.date)
    assert mass["D-07"].extrapolated_years == pytest.approx(15.0, abs=0.01)


def test_the_forecast_stops_at_its_horizon_and_says_so() -> None:
    exact = [
        record("2015-06-10", "inclining-test", 4000.0, 50.0, 0.0, 7.5, True, EXACT),
        record("2020-06-10", "lightweight-survey", 4005.0, uncertainties=EXACT),
    ]
    drift = drift_of(exact, as_of="2020-06-10")
    found = next(each for each in drift.crossings if each.rule == "D-07")
    assert found.date is None
    assert found.horizon == "2045-06-10"
    assert "25 years" in found.remark


def test_an_early_band_advises_a_date_before_the_calendar() -> None:
    stated = StandardUncertainties(mass_t=10.0, lcg_m=0.01)
    records = [
        record(
            "2015-06-10", "inclining-test", 4000.0, 50.0, 0.0, 7.5, True, StandardUncertainties(10.0, 0.01, 0.01, 0.03)
        ),
        record("2020-06-10", "lightweight-survey", 4040.0, approved=True, uncertainties=stated),
    ]
    due = drift_of(records, as_of="2021-01-01").next_due
    assert due is not None
    assert due.date == "2025-06-10"
    assert due.advised_date is not None
    assert "2021-01-01" <= due.advised_date < due.date


def test_a_vessel_measured_once_has_neither_growth_nor_forecast() -> None:
    drift = drift_of([TESTED], vessel=SHIP)
    assert drift.growth is None
    assert drift.crossings == []
    assert drift.unexplained is None


def test_only_measured_lightships_make_the_trend() -> None:
    calculated = record("2018-01-01", "calculation", 4500.0, vcg_m=7.5)
    survey = record("2020-06-10", "lightweight-survey", 4020.0)
    with_it, without = drift_of([TESTED, calculated, survey]), drift_of([TESTED, survey])
    assert with_it.growth == without.growth


def test_a_height_is_extrapolated_from_the_last_inclining_not_from_a_later_survey() -> None:
    older = record("2005-06-10", "inclining-test", 3950.0, 49.8, 0.0, 7.45, approved=True)
    survey = record("2020-06-10", "lightweight-survey", 4010.0)
    found = next(each for each in drift_of([older, TESTED, survey]).crossings if each.rule == "D-12")
    assert found.date is not None
    assert found.date.startswith("2030-06")
    assert found.extrapolated_years == pytest.approx(15.0, abs=0.01)
