"""Checks of hog and sag, and of the mean of means against the integrated displacement."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.errors import CoreError
from heelwright_service.core.planes import Planes
from heelwright_service.core.results import Check
from heelwright_service.core.waterline import SAME_PLACE_SHARE, waterline_fit
from heelwright_service.core.words import MILLIMETRES, figure, hog_words, number, tonnes

PERCENT = 100.0
MIDSHIP_SHARE = 1.0 / 6.0
"""Marks within this share of the length from mid-length count as midship marks (office default)."""


def checks(given: CheckInput) -> list[Check]:
    """Judge the hog and compare the displacement with the mean of means.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``hog``, ``hog-possible`` and R-18.
    """
    return [_hog(given), _possible(given), _mean_of_means(given)]


def hog_is_unchecked(given: CheckInput) -> bool:
    """Whether the hog is fitted through exactly three places along the ship.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    bool
        True when nothing checks it.
    """
    return given.test.fit.determined[3] and given.test.fit.longitudinal_positions == 3


def displacement_without_hog_t(given: CheckInput) -> float | None:
    """Displacement of a straight keel through the same readings.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    float or None
        Displacement [t]; None where a table does not reach so far.
    """
    points = given.test.points
    straight = waterline_fit(points, given.height_standards_m, given.length_m, with_hog=False)
    return displacement_at_t(given, straight.planes(points.z_m[None], given.outcome.planes.slope_y))


def midship_error(given: CheckInput, height_m: float) -> tuple[float, float] | None:
    """What marks amidships all read too high would do where the hog swallows them.

    Parameters
    ----------
    given : CheckInput
        The reduction; its hog is fitted through exactly three places.
    height_m : float
        How much too high they are read [m].

    Returns
    -------
    tuple of float or None
        Error of the displacement [t] and of the mean draught [m]; None where the hydrostatics do not reach so far.
    """
    points, fit = given.test.points, given.test.fit
    along = (points.x_m - points.x_m.min()) / np.ptp(points.x_m)
    amidships = (along > SAME_PLACE_SHARE) & (along < 1.0 - SAME_PLACE_SHARE)
    high = np.stack([points.z_m + height_m * amidships, points.z_m + height_m])
    wrong, all_wrong = (displacement_at_t(given, fit.planes(row[None], given.outcome.planes.slope_y)) for row in high)
    if wrong is None or all_wrong is None:
        return None
    gained, all_gained = wrong - given.displacement_t, all_wrong - given.displacement_t
    return None if all_gained == 0.0 else (gained, height_m * gained / all_gained)


def displacement_at_t(given: CheckInput, planes: Planes) -> float | None:
    """Displacement at another water surface.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    planes : Planes
        One surface.

    Returns
    -------
    float or None
        Displacement [t]; None where the hydrostatics do not reach so far.
    """
    try:
        if given.source is not None:
            volume = given.source.floating(planes).volume_m3
        elif given.table is not None:
            volume = given.table.at(planes).volume_m3
        else:
            return None
    except CoreError:
        return None
    return float(volume[0] * given.outcome.density_t_per_m3[0])


def _hog(given: CheckInput) -> Check:
    rule = given.rule("hog")
    fit = given.test.fit
    if not fit.determined[3]:
        return unassessed(rule, "Fewer than three places along the ship were read, so hog and sag are unknown.")
    hog = float(given.outcome.planes.hog_m[0])
    own = float(np.sqrt(np.sum((fit.matrix[3] * given.height_standards_m) ** 2)))
    by_length = rule["maximum_share_of_length"] * given.length_m
    limit = max(by_length, rule["coverage_factor"] * own) * MILLIMETRES
    value = abs(hog) * MILLIMETRES
    straight = displacement_without_hog_t(given)
    without = "" if straight is None else f", with a straight keel {tonnes(straight)}"
    allowed = number(limit, 1)
    text = (
        f"{hog_words(hog, 1)}; up to {allowed} mm is plausible for her length and readings. Displacement with it "
        f"{tonnes(given.displacement_t)}{without}."
    )
    return judged(rule, at_most(value, limit), text, value, limit)


def _possible(given: CheckInput) -> Check:
    rule = given.rule("hog-possible")
    if not given.test.fit.determined[3]:
        return unassessed(rule, "Fewer than three places along the ship were read, so hog and sag are unknown.")
    hog = float(given.outcome.planes.hog_m[0])
    value, limit = abs(hog) * MILLIMETRES, rule["maximum_share_of_length"] * given.length_m * MILLIMETRES
    kept = at_most(value, limit)
    text = f"{hog_words(hog, 1)}; no ship of her length bends by more than {number(limit, 1)} mm."
    mend = "" if kept else " Look for a draught amidships or at the ends read at another mark, scale or unit."
    return judged(rule, kept, text + mend, value, limit)


def _mean_of_means(given: CheckInput) -> Check:
    rule = given.rule("R-18")
    means = _mark_means(given)
    if means is None:
        return unassessed(rule, "There is no full set of marks forward, amidships and aft on both sides.")
    x, z = means
    slope = (z[2] - z[0]) / (x[2] - x[0])
    aft, forward = z[0] - slope * x[0], z[0] + slope * (given.length_m - x[0])
    mean = (forward + 6.0 * z[1] + aft) / 8.0
    planes = Planes.of(given.length_m, mean, aft - forward)
    simple = displacement_at_t(given, planes)
    if simple is None:
        return unassessed(rule, "The hydrostatics do not reach the mean of means.")
    limit = rule["maximum_percent"]
    value = abs(simple / given.displacement_t - 1.0) * PERCENT
    text = (
        f"The mean of means (F + 6M + A)/8 is {number(mean, 3)} m and gives {tonnes(simple)}, the fitted waterline "
        f"{tonnes(given.displacement_t)}: {number(value, 2, limit)} % apart, {figure(limit)} % is allowed. It only "
        "checks; the fitted waterline counts."
    )
    return judged(rule, at_most(value, limit), text, value, limit)


def _mark_means(given: CheckInput) -> tuple[list[float], list[float]] | None:
    """Place and mean draught aft, amidships and forward, None where one of the six marks is missing."""
    points = given.test.points
    away = points.x_m / given.length_m - 0.5
    marks = ~points.is_freeboard
    groups = [marks & (away < -MIDSHIP_SHARE), marks & (np.abs(away) <= MIDSHIP_SHARE), marks & (away > MIDSHIP_SHARE)]
    x, z = [], []
    for chosen in groups:
        sides = points.y_m[chosen]
        if not ((sides > 0.0).any() and (sides < 0.0).any()):
            return None
        x.append(float(points.x_m[chosen].mean()))
        z.append(float(0.5 * (points.z_m[chosen][sides > 0.0].mean() + points.z_m[chosen][sides < 0.0].mean())))
    return x, z
