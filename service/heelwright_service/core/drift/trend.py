"""The trend of measured lightships, and when it passes a limit, with intervals."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy import special

from heelwright_service.core.errors import CoreError

NORMAL_95 = 1.959963984540054  # two-sided 95 % quantile of the normal distribution
LEAST_RELATIVE_UNCERTAINTY = 1e-9  # keeps the weights finite where an uncertainty of 0 was stated


@dataclass(frozen=True)
class Point:
    """A measured value: time [years], value and standard uncertainty in one unit."""

    years: float
    value: float
    standard: float


@dataclass(frozen=True)
class Trend:
    """A line through measured points, about its weighted mean time.

    Parameters
    ----------
    rate : float
        Slope [unit per year].
    rate_standard : float
        Its standard uncertainty.
    mean_years, mean_value : float
        Weighted means, where slope and level are uncorrelated.
    mean_standard : float
        Standard uncertainty of the level there.
    scatter_ratio : float
        Root of chi-squared over degrees of freedom; 0 for two points.
    points : int
        How many.
    freedom : int or None
        Degrees of freedom that the scatter was estimated with, where it enlarged the uncertainties; None where the
        stated ones explain it.
    """

    rate: float
    rate_standard: float
    mean_years: float
    mean_value: float
    mean_standard: float
    scatter_ratio: float
    points: int
    freedom: int | None = None

    @property
    def quantile(self) -> float:
        """The two-sided 95 % quantile for its uncertainties: normal, or Student's where they are estimated."""
        return NORMAL_95 if self.freedom is None else student_95(self.freedom)

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval of the rate."""
        half = self.quantile * self.rate_standard
        return self.rate - half, self.rate + half

    def at(self, years: float) -> float:
        """Return the line at a time [years]."""
        return self.mean_value + self.rate * (years - self.mean_years)


def student_95(freedom: int) -> float:
    """Return the two-sided 95 % quantile of Student's t distribution.

    Parameters
    ----------
    freedom : int
        Degrees of freedom, 1 or more.

    Returns
    -------
    float
        The quantile (JCGM 100:2008, annex G.3 and table G.2).

    Examples
    --------
    >>> round(student_95(3), 2)
    3.18
    """
    return float(special.stdtrit(freedom, 0.975))


def fit(points: Sequence[Point]) -> Trend | None:
    """Fit a line by weighted least squares.

    Parameters
    ----------
    points : sequence of Point
        Measured values; weights are ``1/u**2``.

    Returns
    -------
    Trend or None
        None below two points at different times. The standard uncertainty comes from the stated ones,
        ``u(b)**2 = 1/sum w (t - tm)**2``, and intervals use the normal quantile. Where the scatter is larger than
        they explain, it is enlarged by the root of chi-squared over ``n - 2`` degrees of freedom; it is then an
        estimate from few points, and intervals use Student's quantile with these degrees of freedom.

    Notes
    -----
    Weighted least squares and the enlargement: R. T. Birge, The calculation of errors by the method of least squares,
    Physical Review 40 (1932) 207-227. The quantile: JCGM 100:2008, annex G.3.

    Examples
    --------
    >>> trend = fit([Point(0.0, 1000.0, 4.0), Point(5.0, 1005.0, 4.0)])
    >>> round(trend.rate, 9), round(trend.rate_standard, 4)
    (1.0, 1.1314)
    """
    if len({point.years for point in points}) < 2:
        return None
    weights = [_weight(point) for point in points]
    total = sum(weights)
    mean_years = sum(w * p.years for w, p in zip(weights, points, strict=True)) / total
    mean_value = sum(w * p.value for w, p in zip(weights, points, strict=True)) / total
    spread = sum(w * (p.years - mean_years) ** 2 for w, p in zip(weights, points, strict=True))
    moment = sum(w * (p.years - mean_years) * (p.value - mean_value) for w, p in zip(weights, points, strict=True))
    rate = moment / spread
    residuals = [p.value - mean_value - rate * (p.years - mean_years) for p in points]
    ratio = _scatter_ratio(weights, residuals)
    factor = max(1.0, ratio)
    return Trend(
        rate=rate,
        rate_standard=factor / math.sqrt(spread),
        mean_years=mean_years,
        mean_value=mean_value,
        mean_standard=factor / math.sqrt(total),
        scatter_ratio=ratio,
        points=len(points),
        freedom=len(points) - 2 if ratio > 1.0 else None,
    )


def _weight(point: Point) -> float:
    least = LEAST_RELATIVE_UNCERTAINTY * max(abs(point.value), 1.0)
    return 1.0 / max(point.standard, least) ** 2


def _scatter_ratio(weights: Sequence[float], residuals: Sequence[float]) -> float:
    freedom = len(weights) - 2
    if freedom < 1:
        return 0.0
    return math.sqrt(sum(w * r * r for w, r in zip(weights, residuals, strict=True)) / freedom)


@dataclass(frozen=True)
class Passing:
    """When a line passes a level [years]: best estimate and 95 % interval, None where it does not within the window."""

    best: float | None
    earliest: float | None
    latest: float | None


def passing(trend: Trend, level: float, upward: bool, start: float, horizon: float) -> Passing:
    """Find when a trend passes a level within a window of time.

    Parameters
    ----------
    trend : Trend
        The line.
    level : float
        The level, in the unit of the trend.
    upward : bool
        Whether passing means rising above the level, or falling below it.
    start, horizon : float
        Window of time [years]; nothing is said about times outside it.

    Returns
    -------
    Passing
        The earliest and latest times are where the 95 % band of the line meets the level: the roots of
        ``(A + B t)**2 = k**2 (u_m**2 + t**2 u_b**2)`` with ``t`` from the mean time and ``k`` the trend's quantile.

    Notes
    -----
    E. C. Fieller, Some problems in interval estimation, Journal of the Royal Statistical Society B 16 (1954) 175-185.
    """
    side = 1.0 if upward else -1.0
    gap, speed = side * (trend.mean_value - level), side * trend.rate
    window = (start - trend.mean_years, horizon - trend.mean_years)
    best = _first_root([] if speed <= 0.0 else [-gap / speed], gap + speed * window[0] >= 0.0, window)
    roots = _band_roots(gap, speed, trend)
    half = trend.quantile * math.hypot(trend.mean_standard, window[0] * trend.rate_standard)
    band = [half, -half]
    reached = [gap + speed * window[0] + edge >= 0.0 for edge in band]
    earliest = _first_root([root for root in roots if gap + speed * root <= 0.0], reached[0], window)
    latest = _first_root([root for root in roots if gap + speed * root >= 0.0], reached[1], window)
    return Passing(*(None if found is None else found + trend.mean_years for found in (best, earliest, latest)))


def _band_roots(gap: float, speed: float, trend: Trend) -> list[float]:
    """Times from the mean at which the level lies on the edge of the band."""
    level, rate = trend.quantile * trend.mean_standard, trend.quantile * trend.rate_standard
    a, b, c = speed**2 - rate**2, gap * speed, gap**2 - level**2
    if a == 0.0:
        return [] if b == 0.0 else [-c / (2.0 * b)]
    inside = (level * speed) ** 2 + (rate * gap) ** 2 - (level * rate) ** 2  # b*b - a*c without cancellation
    if inside < 0.0:
        return []
    return [(-b + sign * math.sqrt(inside)) / a for sign in (1.0, -1.0)]


def _first_root(roots: Sequence[float], reached: bool, window: tuple[float, float]) -> float | None:
    if reached:
        return window[0]
    return min((root for root in roots if window[0] <= root <= window[1]), default=None)


def years_to_limit(limit_percent: float, growth_percent_per_year: float, compound: bool = False) -> float:
    """Return how long a steady growth takes to a limit.

    Parameters
    ----------
    limit_percent, growth_percent_per_year : float
        Limit [%] and growth [% per year], both above 0.
    compound : bool
        Whether each year's growth is of that year's mass.

    Returns
    -------
    float
        Years: ``limit/growth``, or ``ln(1 + limit)/ln(1 + growth)``.

    Raises
    ------
    CoreError
        ``not-positive``.

    Examples
    --------
    >>> years_to_limit(2.0, 0.25), round(years_to_limit(2.0, 0.25, compound=True), 3)
    (8.0, 7.931)
    """
    if limit_percent <= 0.0 or growth_percent_per_year <= 0.0:
        raise CoreError("not-positive", "Limit and growth must be above 0 %.", "")
    if compound:
        return math.log1p(limit_percent / 100.0) / math.log1p(growth_percent_per_year / 100.0)
    return limit_percent / growth_percent_per_year
