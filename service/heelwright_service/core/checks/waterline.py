"""Checks of the draught and freeboard readings: how many, how well they fit, what they leave unchecked."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.checks.hog import displacement_without_hog_t, hog_is_unchecked, midship_error
from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.retake import read_again
from heelwright_service.core.checks.unread_list import price_sentence
from heelwright_service.core.checks.verdicts import Caution, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import MILLIMETRES, counted, figure, hog_words, number, tonnes

THIRDS = 3
EXAMPLE_ERROR_M = 0.05
"""The misreading amidships whose effect the caution tells."""
SAME_PLACE_SHARE = 0.01
"""Readings closer than this share of the length stand at one place (office default)."""


def checks(given: CheckInput) -> list[Check]:
    """Judge the readings that the waterline rests on.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        R-01, R-07 and R-07-uncertainty.
    """
    return [_enough_readings(given), _residuals(given), _residuals_against_uncertainty(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say what the readings cannot check by themselves.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        About freeboards that nothing else confirms, the hog that swallows an error amidships, and a list that was
        never read.
    """
    found = _freeboards_alone(given)
    if hog_is_unchecked(given):
        found.append(_unchecked_hog(given))
    if not given.test.fit.determined[3]:
        found.append(
            Caution(
                "the readings cannot show hog or sag, so the displacement is that of a straight keel; a sag of 10 mm "
                f"unseen leaves about {_sag_price(given)} of displacement out, and a hog puts as much in.",
                "unsafe",
            )
        )
    return found


def _freeboards_alone(given: CheckInput) -> list[Caution]:
    """A wrong deck line shifts all freeboards alike and leaves no residual."""
    if not given.test.points.is_freeboard.all() or given.record.vessel.approved_lightship is not None:
        return []
    return [
        Caution(
            "the waterline rests on freeboards alone, and no draught or approved lightship confirms the points they "
            "were measured from. From a plank, plating or bulwark above the stated points all would be too large "
            "alike, without a residual: every 10 mm leaves about "
            f"{_price_of_draught(given)} of displacement out, and the centre of gravity comes out lower than it is. "
            "Read a draught mark too.",
            "unsafe",
        )
    ]


def _price_of_draught(given: CheckInput) -> str:
    area = given.outcome.volume_m3[0] / max(float(given.outcome.planes.draught_mid_m[0]), 1e-6)
    return tonnes(float(0.01 * area * given.outcome.density_t_per_m3[0]))


def _sag_price(given: CheckInput) -> str:
    area = given.outcome.volume_m3[0] / max(float(given.outcome.planes.draught_mid_m[0]), 1e-6)
    return tonnes(float(0.01 * 0.75 * area * given.outcome.density_t_per_m3[0]))


def _enough_readings(given: CheckInput) -> Check:
    rule = given.rule("R-01")
    points = given.test.points
    boards = [_places_on(given, sign, points.is_freeboard) for sign in (-1.0, 1.0)]
    marks = _marks_filled(given)
    per_side, needed = int(rule["freeboards_per_side"]), int(rule["draught_marks"])
    kept = min(boards) >= per_side or marks >= needed
    found = (
        f"{counted(boards[0], 'freeboard')} to port and {boards[1]} to starboard ({per_side} a side are asked), "
        f"draught marks at {marks} of the places forward, amidships and aft on both sides ({needed} are asked); "
        f"either will do.{price_sentence(given)}"
    )
    by_boards = bool(points.is_freeboard.any()) and (min(boards) >= per_side or marks == 0)
    return judged(rule, kept, found, *((min(boards), per_side) if by_boards else (marks, needed)))


def _places_on(given: CheckInput, sign: float, chosen: NDArray[np.bool_]) -> int:
    """How many places along the ship were read on one side."""
    points = given.test.points
    x = np.sort(points.x_m[chosen & (sign * points.y_m > 0.0)])
    return int(len(x) > 0) + int(np.sum(np.diff(x) > SAME_PLACE_SHARE * given.length_m))


def _marks_filled(given: CheckInput) -> int:
    """How many of the six places forward, amidships and aft to port and starboard have a draught."""
    points = given.test.points
    third = np.clip((points.x_m / given.length_m * THIRDS).astype(int), 0, THIRDS - 1)
    cells = {
        (int(third[i]), bool(points.y_m[i] > 0.0)) for i in np.flatnonzero(~points.is_freeboard & (points.y_m != 0.0))
    }
    return len(cells)


def _residuals(given: CheckInput) -> Check:
    rule = given.rule("R-07")
    fit, points = given.test.fit, given.test.points
    if fit.longitudinal_positions < 4:
        places = counted(fit.longitudinal_positions, "place")
        return unassessed(
            rule,
            f"Readings at {places} along the ship cannot check each other: the hog fits whatever is read amidships. "
            "Read freeboards or marks at four places or more.",
        )
    residuals = fit.residuals_m(points.z_m[None])[0] * MILLIMETRES
    worst = int(np.argmax(np.abs(residuals)))
    value = float(abs(residuals[worst]))
    warn, retake = rule["warn_residual_mm"], rule["retake_residual_mm"]
    again = not at_most(value, retake)
    limit = retake if again else warn
    text = (
        f"The reading furthest off the fitted surface is {points.names[worst]}: {number(value, 1, limit)} mm too "
        f"{'deep' if residuals[worst] > 0.0 else 'light'}; {figure(warn)} mm is allowed, beyond {figure(retake)} mm "
        f"it is taken again.{read_again(given) if again else ''}"
    )
    return judged(rule, at_most(value, warn), text, value, limit)


def _residuals_against_uncertainty(given: CheckInput) -> Check:
    rule = given.rule("R-07-uncertainty")
    fit, points = given.test.fit, given.test.points
    allowed = fit.residual_standard_deviations_m(given.height_standards_m)
    known = np.flatnonzero(allowed > 0.0)
    if len(known) == 0 or fit.degrees_of_freedom < 1:
        why = "Every reading is used up by the fit, or none is stated to be uncertain, so none can be judged."
        return unassessed(rule, why)
    ratios = np.abs(fit.residuals_m(points.z_m[None])[0][known]) / allowed[known]
    worst = int(known[np.argmax(ratios)])
    value, limit = float(ratios.max()), rule["maximum_studentised"]
    kept = at_most(value, limit)
    between = " (here between port and starboard only)" if hog_is_unchecked(given) else ""
    text = (
        f"The reading least like the others is {points.names[worst]}: {number(value, 1, limit)} times the standard "
        f"deviation that its stated uncertainty gives it{between}; {figure(limit)} times is allowed."
        + ("" if kept else read_again(given))
    )
    return judged(rule, kept, text, value, limit)


def _unchecked_hog(given: CheckInput) -> Caution:
    hog = float(given.outcome.planes.hog_m[0])
    straight = displacement_without_hog_t(given)
    both = f" (with it {tonnes(given.displacement_t)}, with a straight keel {tonnes(straight or 0.0)})"
    without = "" if straight is None else both
    error = midship_error(given, EXAMPLE_ERROR_M)
    price = ""
    if error is not None:
        draught = number(abs(error[1]) * MILLIMETRES, 0)
        price = (
            f" Marks amidships all {figure(EXAMPLE_ERROR_M * MILLIMETRES)} mm high would leave no residual and put the "
            f"mean draught {draught} mm and the displacement {tonnes(abs(error[0]))} wrong."
        )
    return Caution(
        f"draughts at exactly three places along the ship: the {hog_words(hog, 1)} is fitted but unchecked{without}, "
        f"for it swallows any error amidships.{price} Read freeboards between the marks, or compare with the hog "
        "in dock.",
        "unsafe",
    )
