"""Checks of the two methods against each other, and of the fixed metacentre that one of them assumes."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.linearity import stiffer_side
from heelwright_service.core.checks.verdicts import Caution, Side, at_most, judged, unassessed
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hydrostatics import deck_edge_immersed
from heelwright_service.core.results import Check
from heelwright_service.core.words import MILLIMETRES, figure, number, side_name

PERCENT = 100.0

LEAST_HEEL_TANGENT = 1e-3
"""At a smaller heel the arm over the heel is a quotient of rounding errors."""


def checks(given: CheckInput) -> list[Check]:
    """Judge the difference of the methods and the change of KM with heel.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        C-20 and P-21; none for a survey.
    """
    if given.is_survey:
        return []
    return [_difference(given), _metacentre(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say which result is the number of record, and why the two differ.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One for a test; a second where the methods differ by more than the uncertainty.
    """
    if given.is_survey:
        return []
    if given.outcome.heeled is None:
        return [
            Caution(
                "only the small-angle method was used: it takes the metacentre as fixed, which on hulls with flare, "
                "chines, tumblehome or a flat of side near the waterline can make the centre of gravity look lower "
                "than it is.",
                "unsafe",
            )
        ]
    record = (
        "In documents for an authority the small-angle result is the number of record unless the authority's "
        "agreement to the heeled-equilibrium method is filed; the best estimate here is the heeled-equilibrium one."
    )
    found = [Caution(record)]
    difference = _kg_difference_m(given)
    limit = given.uncertainty_kg_95_m
    if difference is not None and limit is not None and not at_most(abs(difference), limit):
        found.append(Caution(_explanation(given), "unsafe" if difference < 0.0 else "safe"))
    return found


def metacentre_change(given: CheckInput) -> tuple[float, float] | None:
    """How far the heeled arms leave the fixed metacentre, where they do so most.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    tuple of float or None
        Signed relative change of KM and the heel it belongs to [deg, positive to starboard]; None without a hull form.

    Notes
    -----
    KM(φ) = (N(φ) − N(0))/tan φ with N = y_B + tan φ·z_B at constant volume and free trim, against KM at no heel.
    A wall-sided hull gives KM + BM·tan²φ/2 (the wall-sided formula).
    """
    if given.source is None or given.is_survey:
        return None
    slopes = [float(given.state_tangents.min()), float(given.state_tangents.max())]
    heels = np.array([slope for slope in slopes if abs(slope) >= LEAST_HEEL_TANGENT])
    if len(heels) == 0:
        return None
    floating, planes = given.outcome.floating, given.outcome.planes
    try:
        arms, stiffness = given.source.arms(floating, planes, np.concatenate([[0.0], heels])[None])
    except CoreError:
        return None
    upright = float(stiffness[0, 0])
    changes = (arms[0, 1:] - arms[0, 0]) / heels / upright - 1.0
    worst = int(np.argmax(np.abs(changes)))
    return float(changes[worst]), float(np.degrees(np.arctan(heels[worst])))


def _kg_difference_m(given: CheckInput) -> float | None:
    small, heeled = given.outcome.small_angle, given.outcome.heeled
    return None if small is None or heeled is None else float(small.kg_m[0] - heeled.kg_m[0])


def _difference(given: CheckInput) -> Check:
    rule = given.rule("C-20")
    difference = _kg_difference_m(given)
    if difference is None:
        return unassessed(rule, "Only one method was used, so there is nothing to compare.")
    side: Side = "unsafe" if difference < 0.0 else "safe"
    size = abs(difference) * MILLIMETRES
    sense = "lower" if difference < 0.0 else "higher"
    if given.uncertainty_kg_95_m is None:
        why = f"KG by the small-angle method is {number(size, 1)} mm {sense} than by heeled equilibrium; "
        return unassessed(rule, f"{why}no uncertainty was asked for.", side)
    limit = given.uncertainty_kg_95_m * MILLIMETRES
    kept = at_most(size, limit)
    text = (
        f"KG by the small-angle method is {number(size, 1, limit)} mm {sense} than by heeled equilibrium, "
        f"{'within' if kept else 'beyond'} the 95 % uncertainty of {number(limit, 1)} mm."
    )
    return judged(rule, kept, text, size, limit, side)


def _metacentre(given: CheckInput) -> Check:
    rule = given.rule("P-21")
    found = metacentre_change(given)
    if found is None:
        why = "Without a hull form that floats at the heels of the test the change of KM is not known."
        return unassessed(rule, why)
    change, heel = found
    value, limit = abs(change) * PERCENT, rule["maximum_change_percent"]
    side: Side = "unsafe" if change > 0.0 else "safe"
    text = (
        f"At {number(abs(heel), 2)}° to {side_name(heel)} KM is {number(value, 2, limit)} % "
        f"{'above' if change > 0.0 else 'below'} KM upright; {figure(limit)} % is allowed for a fixed metacentre."
    )
    return judged(rule, at_most(value, limit), text, value, limit, side)


def _explanation(given: CheckInput) -> str:
    """Why the methods part, by what the hull and the sides of the test show."""
    reasons = []
    found = metacentre_change(given)
    if found is not None:
        change, heel = found
        reasons.append(
            f"KM {'rises' if change > 0.0 else 'falls'} by {number(abs(change) * PERCENT, 2)} % up to "
            f"{number(abs(heel), 2)}° to {side_name(heel)}, as with "
            f"{'flare or a chine' if change > 0.0 else 'tumblehome, a chine or a flat of bottom'} near the "
            "waterline, which the small-angle method leaves out"
        )
    planes = given.state_planes
    if given.hull is not None and planes is not None and deck_edge_immersed(given.hull, planes).any():
        reasons.append("a deck edge goes under in some state")
    stiffer = stiffer_side(given)
    if stiffer is not None:
        reasons.append(f"the {stiffer} side is stiffer, as where a line holds or the bottom touches")
    if not reasons:
        reasons.append("the hull form does not tell why; look at the sides for a line that held or the bottom")
    return f"the methods differ by more than the uncertainty: {'; '.join(reasons)}."
