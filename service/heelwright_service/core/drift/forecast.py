"""Growth of the measured lightships and the dates at which their trends pass the limits of a rule set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from heelwright_service.core.drift.answer import Crossing, Growth, LightshipValues
from heelwright_service.core.drift.history import DAYS_PER_YEAR, years_between
from heelwright_service.core.drift.request import MEASURED
from heelwright_service.core.drift.trend import Passing, Point, Trend, fit, passing
from heelwright_service.core.rules import Baseline, DeviationRule, Quantity, RuleSet, RuleVessel, rules_for

HORIZON_YEARS = 25.0  # office default: nothing is forecast beyond
TRENDED: tuple[Quantity, ...] = ("mass_t", "lcg_m", "vcg_m")


@dataclass(frozen=True)
class Measurements:
    """The measured lightships with the day of the question, and the approved ones that limits refer to."""

    records: Sequence[LightshipValues]
    baseline: LightshipValues
    original: LightshipValues
    as_of: str

    @property
    def measured(self) -> list[LightshipValues]:
        """Inclining tests, lightweight surveys and weighings."""
        return [each for each in self.records if each.basis in MEASURED]

    def trend(self, quantity: Quantity) -> Trend | None:
        """Return the trend of one quantity; time in years from the baseline."""
        points = []
        for each in self.measured:
            value, standard = getattr(each, quantity), getattr(each.standard, quantity)
            if value is not None:
                points.append(Point(years_between(self.baseline.date, each.date), value, standard or 0.0))
        return fit(points)

    def last_measured(self, quantity: Quantity) -> str:
        """Return the date of the latest measurement of one quantity."""
        return max(each.date for each in self.measured if getattr(each, quantity) is not None)

    def day(self, years: float | None) -> str | None:
        """Return the date of a time in years from the baseline."""
        if years is None:
            return None
        return (date.fromisoformat(self.baseline.date) + timedelta(days=round(years * DAYS_PER_YEAR))).isoformat()


def growth(series: Measurements) -> Growth | None:
    """Return the growth rate of the measured masses.

    Parameters
    ----------
    series : Measurements
        The history.

    Returns
    -------
    Growth or None
        None below two measurements at different dates.
    """
    trend = series.trend("mass_t")
    if trend is None:
        return None
    low, high = trend.interval
    return Growth(
        rate_t_per_year=trend.rate,
        low_95=low,
        high_95=high,
        standard=trend.rate_standard,
        percent_per_year=100.0 * trend.rate / series.baseline.mass_t,
        points=trend.points,
        coverage_factor=trend.quantile,
        scatter_ratio=trend.scatter_ratio,
        remark=_growth_remark(trend),
    )


def crossings(series: Measurements, chosen: RuleSet, vessel: RuleVessel) -> list[Crossing]:
    """Return when the trends pass the limits of a rule set.

    Parameters
    ----------
    series : Measurements
        The history.
    chosen : RuleSet
        The rule set; limits that several of its rules share are reported once.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    list of Crossing
        In the order of the rules; empty where no quantity was measured at two dates.
    """
    found: dict[tuple[object, ...], Crossing] = {}
    trends = {quantity: series.trend(quantity) for quantity in TRENDED}
    for rule in (*rules_for(chosen, "survey", vessel), *rules_for(chosen, "alterations", vessel)):
        trend, reference = trends.get(rule.quantity), _reference(rule, series)
        limit = rule.limit.amount(_approved(reference), vessel)
        if trend is None or limit is None or getattr(reference, rule.quantity) is None:
            continue
        key = (rule.quantity, limit, rule.direction, rule.reference, rule.consequence)
        crossing = _crossing(rule, limit, trend, reference, series)
        if key not in found:
            found[key] = crossing
        elif rule.id not in (found[key].rule, *found[key].also):
            found[key] = _with_also(found[key], rule.id)
    return list(found.values())


def _reference(rule: DeviationRule, series: Measurements) -> LightshipValues:
    return series.original if rule.reference == "original" else series.baseline


def _approved(values: LightshipValues) -> Baseline:
    return Baseline(values.mass_t, values.vcg_m)


def _with_also(crossing: Crossing, rule_id: str) -> Crossing:
    return replace(crossing, also=[*crossing.also, rule_id])


def _crossing(
    rule: DeviationRule, limit: float, trend: Trend, reference: LightshipValues, series: Measurements
) -> Crossing:
    upward = rule.direction == "rise" or (rule.direction == "absolute" and trend.rate >= 0.0)
    approved = float(getattr(reference, rule.quantity))
    level = approved + (limit if upward else -limit)
    now = years_between(series.baseline.date, series.as_of)
    start = years_between(series.baseline.date, reference.date)
    last = years_between(series.baseline.date, series.last_measured(rule.quantity))
    times = passing(trend, level, upward, start, now + HORIZON_YEARS)
    return Crossing(
        rule=rule.id,
        also=[],
        quantity=rule.quantity,
        limit=limit,
        level=level,
        rate_per_year=trend.rate,
        date=series.day(times.best),
        earliest=series.day(times.earliest),
        latest=series.day(times.latest),
        horizon=series.day(now + HORIZON_YEARS) or "",
        extrapolated_years=None if times.best is None else max(times.best - last, 0.0),
        passed=times.best is not None and times.best <= now,
        consequence=rule.consequence,
        remark=_crossing_remark(trend, times),
    )


def _growth_remark(trend: Trend) -> str:
    low, high = trend.interval
    parts = ["Two measurements only: the line passes through both." if trend.points == 2 else ""]
    if low <= 0.0 <= high:
        parts.append("The trend cannot be told from none.")
    if trend.scatter_ratio > 1.0:
        parts.append(
            f"The scatter is {trend.scatter_ratio:.2g} times what the uncertainties explain; enlarged by it, with "
            f"Student's {trend.quantile:.3g} for {trend.freedom} degree{'' if trend.freedom == 1 else 's'} of freedom."
        )
    return " ".join(part for part in parts if part)


def _crossing_remark(trend: Trend, times: Passing) -> str:
    within = f"within {HORIZON_YEARS:g} years of the day of the question (office horizon)"
    if times.best is None and times.earliest is None:
        return f"Not reached {within}, nor by the edge of its 95 % band."
    if times.best is None:
        return f"The trend itself does not reach the limit {within}; the edge of its 95 % band does."
    if times.latest is None:
        return f"The late edge of the 95 % band does not reach the limit {within}."
    return ""
