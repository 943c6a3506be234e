"""Checks of the lightship found: its height, and what it would have gained since the approved one."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Caution, at_least, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, number, on_day, tonnes

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge the lightship against depth and history.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        RR-18 and ``implied-centre``.
    """
    return [_height(given), _implied_centre(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say what a lightweight survey leaves unknown.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One for a survey.
    """
    if not given.is_survey:
        return []
    return [
        Caution(
            "a lightweight survey measures no height of the centre of gravity: VCG is unknown here, not zero. The "
            "VCG of the last inclining may only be carried on where the deviation limits allow it, and weight that "
            "came high would not show.",
            "unsafe",
        )
    ]


def _height(given: CheckInput) -> Check:
    rule = given.rule("RR-18")
    vcg = float(given.lightship.vcg_m[0])
    if given.depth_m is None:
        return unassessed(rule, "The depth is not given.")
    if not np.isfinite(vcg):
        return unassessed(rule, "A lightweight survey gives no VCG.")
    low, high = rule["minimum_over_depth"], rule["maximum_over_depth"]
    value = vcg / given.depth_m
    limit = low if value - low < high - value else high
    kept = at_least(value, low) and at_most(value, high)
    text = (
        f"VCG of the lightship is {number(vcg, 3)} m, {number(value, 2, limit)} of the depth; {figure(low)} to "
        f"{figure(high)} is "
        "plausible." + ("" if kept else " Look for a sign, a density, a mark or a list gone wrong before believing it.")
    )
    return judged(rule, kept, text, value, limit)


def _implied_centre(given: CheckInput) -> Check:
    """Centre of the difference: (W1·z1 − W0·z0)/(W1 − W0), and likewise along the ship."""
    rule = given.rule("implied-centre")
    approved = given.record.vessel.approved_lightship
    if approved is None:
        return unassessed(rule, "No approved lightship is given.")
    light = given.lightship
    mass, x, z = (float(each[0]) for each in (light.mass_t, light.lcg_m, light.vcg_m))
    gained = mass - approved.mass_t
    share = gained / approved.mass_t * PERCENT
    since = f" of {on_day(approved.date)}" if approved.date else ""
    sense = "heavier" if gained > 0.0 else "lighter"
    told = f"Against the approved lightship{since} she is {tonnes(abs(gained))} {sense} "
    least = rule["least_change_percent"]
    if not at_least(abs(share), least):
        why = f"{told}({number(abs(share), 2, least)} %), too little to speak of a centre of the difference."
        return unassessed(rule, why)
    along = (mass * x - approved.mass_t * approved.lcg_m) / gained
    height = (mass * z - approved.mass_t * approved.vcg_m) / gained
    return _within_ship(given, f"{told}({number(abs(share), 2)} %)", along, height)


def _within_ship(given: CheckInput, told: str, along_m: float, height_m: float) -> Check:
    rule = given.rule("implied-centre")
    depth = given.depth_m
    if not np.isfinite(height_m) or depth is None:
        kept = 0.0 <= along_m <= given.length_m
        value, limit = along_m, 0.0 if along_m < given.length_m / 2 else given.length_m
        where = (
            f"{number(along_m, 2, limit)} m forward of the aft perpendicular; the ship reaches from {figure(0)} to "
            f"{figure(given.length_m)} m"
        )
    else:
        top = given.rule("item-places")["maximum_height_over_depth"] * depth
        kept = 0.0 <= along_m <= given.length_m and 0.0 <= height_m <= top
        value, limit = height_m, 0.0 if height_m < top / 2 else top
        where = (
            f"{number(height_m, 2, limit)} m above the baseline and {number(along_m, 2)} m forward of the aft "
            f"perpendicular; from {figure(0)} to {figure(top)} m in height and from 0 to {figure(given.length_m)} m "
            "along is within the ship"
        )
    text = f"{told}, with the centre of the difference at {where}."
    if not kept:
        text += (
            " A measurement or model error is likelier than weight there: density, marks, a tank, the hull model, a "
            "double entry."
        )
    return judged(rule, kept, text, value, limit)
