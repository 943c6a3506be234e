"""Checks of water that serves as inclining weight: its approval, its conditions, and its centres at every heel."""

from __future__ import annotations

import itertools
from datetime import datetime

import numpy as np

from heelwright_service.core.ballast import Ballast
from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import state_number
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.liquids import I_T_ROW, X_ROW, Y_ROW
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, listed, number

PERCENT = 100.0
SECONDS_A_MINUTE = 60.0

STATED = {
    "tanks_free_of_stringers": ("-stringers", "the tanks are free of large stringers and other members that trap air"),
    "density_measured": ("-density", "the density of their water was measured"),
    "lines_full": ("-lines", "the lines were full before the first move"),
    "manifolds_blanked": ("-manifolds", "blanks stood in the transverse manifolds"),
    "valves_watched": ("-valves", "the valves were under control all the time"),
    "tables_verified": ("-tables", "the sounding tables were found accurate"),
}
"""What nobody but those aboard can tell, by field of the procedure: the check's aspect and the condition in words."""


def checks(given: CheckInput) -> list[Check]:
    """Judge water moved between tanks as inclining weight.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        W-11, the parts of W-12, and W-13; none where no water was moved.
    """
    ballast = given.test.ballast
    if ballast is None:
        return []
    return [
        _approval(given),
        *(_stated(given, name) for name in STATED),
        _sides(given, ballast),
        _opposite(given, ballast),
        _soundings(given, ballast),
        _initial_heel(given),
        _time(given),
        _centres(given, ballast),
    ]


def _approval(given: CheckInput) -> Check:
    rule, procedure = given.rule("W-11"), given.record.ballast_procedure
    if procedure is None:
        text = (
            "Water was moved as inclining weight and no approval of that is recorded (ballast_procedure): by whom, on "
            "which paper, and why solid weights are impracticable. Get it before the result is used."
        )
        return judged(rule, False, text, None, None)
    text = (
        f"Water as inclining weight was approved for this test by {procedure.approved_by} ({procedure.reference}), "
        f"solid weights being impracticable: {procedure.why_not_solid_weights}"
    )
    return judged(rule, True, text, None, None)


def _stated(given: CheckInput, name: str) -> Check:
    aspect, condition = STATED[name]
    procedure = given.record.ballast_procedure
    stated = None if procedure is None else getattr(procedure, name)
    if stated is None:
        text = f"Nobody recorded that {condition} (ballast_procedure, {name})."
    else:
        text = f"Recorded: {condition}." if stated else f"It is recorded as not so that {condition}."
    return judged(given.rule("W-12"), stated is True, text, None, None, aspect=aspect)


def _sides(given: CheckInput, ballast: Ballast) -> Check:
    """By how much the surface of any tank changes over the levels that its water passed."""
    rule = given.rule("W-12-sides")
    limit = rule["maximum_change_percent"]
    changes = {}
    for tank, levels in zip(ballast.tanks, ballast.levels, strict=True):
        low, high = levels[:, 0].min(), levels[:, 0].max()
        areas = [tank.surface_m2(float(volume)) for volume in np.linspace(low, high, 9)]
        changes[tank.tank.name] = (max(areas) - min(areas)) / max(*areas, np.finfo(float).tiny) * PERCENT
    worst = max(changes, key=lambda name: changes[name])
    value = changes[worst]
    text = (
        f"Over the levels used the surface of {worst} changes by {number(value, 2, limit)} %, the most of all; "
        f"{figure(limit)} % still counts as vertical sides."
    )
    return judged(rule, at_most(value, limit), text, value, limit)


def _opposite(given: CheckInput, ballast: Ballast) -> Check:
    rule, breadth = given.rule("W-12-opposite"), given.breadth_m
    pairs = sorted({tuple(sorted((each.giver, each.taker))) for each in ballast.balances})
    centres = ballast.levels[:, 0, X_ROW : Y_ROW + 1]
    along = [abs(float(centres[a, 0] - centres[b, 0])) / given.length_m * PERCENT for a, b in pairs]
    limit = rule["maximum_percent_of_length"]
    worst = int(np.argmax(along))
    names = listed([ballast.tanks[j].tank.name for j in pairs[worst]])
    text = (
        f"The centres of {names} lie {number(along[worst], 2, limit)} % of the length apart along the ship; "
        f"{figure(limit)} % is allowed"
    )
    kept = at_most(along[worst], limit)
    if breadth is not None:
        across = [abs(float(centres[a, 1] + centres[b, 1])) / breadth * PERCENT for a, b in pairs]
        allowed = rule["maximum_percent_of_breadth"]
        kept = kept and at_most(max(across), allowed)
        text += (
            f"; their distances from the centreline differ by up to {number(max(across), 2, allowed)} % of the "
            f"breadth, {figure(allowed)} % is allowed"
        )
    return judged(rule, kept, f"{text}.", along[worst], limit)


def _soundings(given: CheckInput, ballast: Ballast) -> Check:
    worst = max(ballast.balances, key=lambda each: abs(each.left_m3 - each.arrived_m3) / each.allowed_m3)
    apart = abs(worst.left_m3 - worst.arrived_m3)
    text = (
        f"Both tanks were sounded before and after each of {len(ballast.balances)} moves. The balance is worst on the "
        f"move to state {worst.state}: {number(worst.left_m3, 3)} m³ left {ballast.tanks[worst.giver].tank.name}, "
        f"{number(worst.arrived_m3, 3)} m³ came into {ballast.tanks[worst.taker].tank.name}; "
        f"{number(worst.allowed_m3, 3)} m³ apart is allowed."
    )
    return judged(given.rule("W-12"), True, text, apart, worst.allowed_m3, aspect="-soundings")


def _initial_heel(given: CheckInput) -> Check:
    rule = given.rule("W-12-heel")
    points, reach = given.test.points, rule["maximum_share_of_length"] * given.length_m
    near = np.abs(points.x_m - 0.5 * given.length_m) <= reach
    kept = bool((points.y_m[near] > 0.0).any() and (points.y_m[near] < 0.0).any())
    text = (
        "The initial heel is told by readings amidships on both sides."
        if kept
        else "No reading amidships on both sides tells the initial heel, on which the water's volumes and centres rest."
    )
    return judged(given.rule("W-12"), kept, text, None, None, aspect="-heel")


def _time(given: CheckInput) -> Check:
    rule = given.rule("W-12-time")
    limit = rule["maximum_minutes"]
    times: dict[int, list[float]] = {}
    for reading in given.record.readings:
        if reading.at is not None and reading.withdrawn_reason is None:
            times.setdefault(reading.state, []).append(datetime.fromisoformat(reading.at).timestamp())
    numbers = sorted(times)
    gaps = {
        after: (min(times[after]) - max(times[before])) / SECONDS_A_MINUTE
        for before, after in itertools.pairwise(numbers)
    }
    if not gaps:
        return unassessed(rule, "The readings do not say when they were taken.")
    worst = max(gaps, key=lambda state: gaps[state])
    text = (
        f"State {worst} was read {number(gaps[worst], 0, limit)} minutes after the one before it, the longest wait; "
        f"{figure(limit)} minutes are allowed."
    )
    return judged(rule, at_most(gaps[worst], limit), text, gaps[worst], limit)


def _centres(given: CheckInput, ballast: Ballast) -> Check:
    """At every heel from the tank's shape; from its table only while the surface is clear of bottom and crown."""
    rule, tangents = given.rule("W-13"), given.state_tangents
    touching = []
    for tank, levels in zip(ballast.tanks, ballast.levels, strict=True):
        if tank.shape is not None:
            continue
        table = tank.tank.table
        for k, row in enumerate(levels):
            area = tank.surface_m2(float(row[0]))
            half = 0.5 * np.sqrt(12.0 * row[I_T_ROW] / area) if area > 0.0 else 0.0
            tilt = half * abs(float(tangents[k]))
            level = tank.level_of_m(float(row[0]))
            if row[I_T_ROW] > 0.0 and not table[0].sounding_m + tilt <= level <= table[-1].sounding_m - tilt:
                touching.append(f"{tank.tank.name} in state {state_number(given, k)}")
    if touching:
        text = (
            f"The surface meets the bottom or the crown in {listed(touching)}: without the tank's shape (geometry) "
            "its centres are not known there."
        )
        return judged(rule, False, text, len(touching), 0)
    return judged(rule, True, "The water's centres are computed at the heel of every state.", 0, 0)
