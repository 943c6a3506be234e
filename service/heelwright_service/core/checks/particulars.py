"""Checks of the stated particulars against the hull form, and of marks and appendages against both."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.record import HullDocument, Station
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, listed, number

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge whether the vessel's figures belong to one ship.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``particulars-length``, ``-breadth`` and ``-depth``, and ``marks-in-ship``.
    """
    vessel = given.record.vessel
    hull = vessel.hull
    if hull is None:
        rule, why = given.rule("particulars"), "Without a hull form nothing checks the particulars."
        return [*(unassessed(rule, why, aspect=aspect) for aspect in ("-length", "-breadth", "-depth")), _marks(given)]
    ends = [station.x_m for station in hull.stations]
    return [
        _against_hull(given, "length", "length between perpendiculars", vessel.length_bp_m, max(ends) - min(ends)),
        _against_hull(given, "breadth", "breadth", vessel.breadth_m, 2.0 * _half_breadth_m(hull)),
        _against_hull(given, "depth", "depth", vessel.depth_m, _depth_amidships_m(hull, vessel.length_bp_m)),
        _marks(given),
    ]


def _across(station: Station) -> list[float]:
    return [abs(y) for y, _ in (*station.contour_m, *(station.port_contour_m or ()))]


def _half_breadth_m(hull: HullDocument) -> float:
    return max(max(_across(station)) for station in hull.stations)


def _depth_amidships_m(hull: HullDocument, length_m: float) -> float:
    stations = sorted(hull.stations, key=lambda station: station.x_m)
    tops = [max(z for _, z in station.contour_m) for station in stations]
    return float(np.interp(0.5 * length_m, [station.x_m for station in stations], tops))


def _against_hull(given: CheckInput, field: str, name: str, stated: float | None, of_hull: float) -> Check:
    rule = given.rule("particulars")
    if stated is None:
        return unassessed(rule, f"The vessel's {name} is not stated.", aspect=f"-{field}")
    limit = rule[f"{field}_percent"]
    value = abs(stated / of_hull - 1.0) * PERCENT if of_hull > 0.0 else PERCENT
    kept = at_most(value, limit)
    mend = "" if kept else " One of the two belongs to another ship, or has another unit or datum: check both."
    text = (
        f"The stated {name} is {number(stated, 2)} m, that of the hull form {number(of_hull, 2)} m: "
        f"{number(value, 1, limit)} % apart; {figure(limit)} % is allowed.{mend}"
    )
    return judged(rule, kept, text, value, limit, aspect=f"-{field}")


def _marks(given: CheckInput) -> Check:
    rule = given.rule("marks-in-ship")
    points, vessel = given.test.points, given.record.vessel
    hull = vessel.hull
    halves = [] if vessel.breadth_m is None else [0.5 * vessel.breadth_m]
    halves += [] if hull is None else [_half_breadth_m(hull)]
    if not halves:
        return unassessed(rule, "Neither a hull form nor a breadth says how far out a mark can stand.")
    beyond = rule["beyond_share"]
    ends = [0.0, given.length_m, *(station.x_m for station in (hull.stations if hull else ()))]
    breadth = max(halves) + 2.0 * beyond * max(halves)
    aft, forward = min(ends) - beyond * given.length_m, max(ends) + beyond * given.length_m
    outside = [
        f"{name} at x {points.x_m[i]:g} m, y {points.y_m[i]:g} m"
        for i, name in enumerate(points.names)
        if abs(points.y_m[i]) > breadth or not aft <= points.x_m[i] <= forward
    ]
    named = f": {listed(outside)}. The list, trim and displacement rest on these places: check them" if outside else ""
    text = f"{len(outside)} of {len(points.names)} marks and freeboards stand off the ship{named}; 0 are allowed."
    return judged(rule, not outside, text, len(outside), 0)
