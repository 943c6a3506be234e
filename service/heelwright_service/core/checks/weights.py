"""Checks of the inclining weights: the heel they give, where they stand, what else their moves change."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.instruments import deflections_kept
from heelwright_service.core.checks.verdicts import at_least, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule
from heelwright_service.core.words import counted, figure, listed, number, to_side

PERCENT = 100.0
DUST = 1e-9
"""Moments smaller than this share of the largest are rounding."""

UNLIKELY_HEEL_DEG = 10.0
UNIT_SLIP = (
    " Nobody inclines a ship so far: look for readings in another unit than mm or degrees, a pendulum's length, or a "
    "weight ten times too heavy, and read one state again before using the result."
)


def checks(given: CheckInput) -> list[Check]:
    """Judge the inclining weights.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        W-01, W-04 where the rule set asks it, W-09, ``weights-apart`` and ``weights-in-ship``; none for a survey.
    """
    if given.is_survey:
        return []
    return [_heel(given), *_inclinations(given), _trim_change(given), _apart(given), _in_ship(given)]


def _largest(given: CheckInput, sign: float) -> tuple[float, float]:
    """Largest change of heel to one side [deg] with its moment [t·m], both without sign."""
    changes = sign * given.heel_changes_deg
    state = int(np.argmax(changes))
    return max(float(changes[state]), 0.0), max(float(sign * given.state_moments_t_m[state]), 0.0)


def _heel(given: CheckInput) -> Check:
    """The least is asked of the change of heel to each side, the most of the heel itself, list included."""
    rule = given.rule("W-01")
    low, high = rule["minimum_deg"], rule["maximum_deg"]
    (starboard, right), (port, left) = _largest(given, 1.0), _largest(given, -1.0)
    heels = np.degrees(np.arctan(given.state_tangents))
    most = float(heels[np.argmax(np.abs(heels))])
    least = min(starboard, port)
    too_far = not at_most(abs(most), high)
    value, limit = (abs(most), high) if too_far else (least, low)
    kept = at_least(least, low) and not too_far
    text = (
        f"The weights heel her {number(starboard, 2, low)}° to starboard ({number(right, 1)} t·m) and "
        f"{number(port, 2, low)}° to port ({number(left, 1)} t·m) from the initial state, at most "
        f"{to_side(most, high)} in all; {figure(low)}° to {figure(high)}° to each side is asked."
        + (UNIT_SLIP if abs(most) > UNLIKELY_HEEL_DEG else "")
    )
    found = judged(rule, kept, text, value, limit)
    general = rule == conduct_rule("W-01")
    if found.status == "fail" and general and not too_far and deflections_kept(given):
        other = given.rule("W-02")
        note = f"{text} {other.text} ({other.source}): the authority decides."
        return Check(rule.id, note, "warn", value, limit, rule.cited_source)
    return found


def _inclinations(given: CheckInput) -> list[Check]:
    """Only rule sets that change the asked heel count inclinations."""
    if given.rule("W-01") == conduct_rule("W-01"):
        return []
    rule = given.rule("W-04")
    low, high, needed = rule["minimum_deg"], rule["maximum_deg"], int(rule["inclinations"])
    changes = given.heel_changes_deg
    sides = [int(np.sum((sign * changes >= low) & (sign * changes <= high))) for sign in (1.0, -1.0)]
    value = sum(min(side, needed // 2) for side in sides)
    text = (
        f"{counted(sides[0], 'state')} to starboard and {sides[1]} to port heel her by {figure(low)}° to "
        f"{figure(high)}°: {value} of the {needed} inclinations asked, half of them to each side."
    )
    return [judged(rule, value >= needed, text, value, needed)]


def _trim_change(given: CheckInput) -> Check:
    rule = given.rule("W-09")
    limit = rule["maximum_percent_of_length"]
    along, upward = (float(np.abs(given.weight_moments_t_m(axis)).max()) for axis in (0, 2))
    floating, kg = given.outcome.floating, given.kg_m or 0.0
    stiffness = float(given.displacement_t * (floating.km_l_m[0] - kg))
    if given.hull is None and float(floating.km_l_m[0]) == float(floating.km_t_m[0]):
        if along > 0.0:
            return unassessed(rule, "The table gives no KM_L, so the trim that the weights' moves make is not known.")
        stiffness = np.inf
    value = along / stiffness * PERCENT
    upward = upward if upward > DUST * float(np.abs(given.state_moments_t_m).max()) else 0.0
    height = (
        f" They also change height, by {number(upward, 2)} t·m, which the reduction allows for." if upward > 0.0 else ""
    )
    text = (
        f"The weights' moves along the ship ({number(along, 2)} t·m) change the trim by {number(value, 3, limit)} % "
        f"of the length; {figure(limit)} % is allowed.{height}"
    )
    return judged(rule, at_most(value, limit), text, value, limit)


def _apart(given: CheckInput) -> Check:
    rule = given.rule("weights-apart")
    limit = rule["minimum_distance_m"]
    value, who, state = np.inf, ("", ""), 0
    for each in sorted(given.record.states, key=lambda state: state.number):
        names = list(each.positions)
        for i, one in enumerate(names):
            for other in names[:i]:
                apart = float(np.linalg.norm(np.subtract(each.positions[one], each.positions[other])))
                if apart < value:
                    value, who, state = apart, (other, one), each.number
    if not np.isfinite(value):
        return unassessed(rule, "There is only one weight.")
    kept = at_least(value, limit)
    text = (
        f"The nearest two weights, {who[0]} and {who[1]} in state {state}, stand {number(value, 3, limit)} m apart "
        f"between centres; less than {figure(limit)} m is one spot."
        + ("" if kept else " Two weights cannot stand in one place: check the positions, heights included.")
    )
    return judged(rule, kept, text, value, limit)


def _in_ship(given: CheckInput) -> Check:
    """Heights from the deck instead of the baseline, or lengths from amidships, put the weights in the wrong place."""
    rule = given.rule("weights-in-ship")
    moved = given.test.movements
    if moved is None or not len(moved.spot_m):
        return unassessed(rule, "No solid weights are used.")
    depth, breadth, beyond = given.depth_m, given.breadth_m, rule["beyond_share"]
    edge = [0.0, given.length_m] if given.hull is None else [*given.hull.deck_edge_m[:, 0], 0.0, given.length_m]
    aft, forward = min(edge) - beyond * given.length_m, max(edge) + beyond * given.length_m
    lowest = -np.inf if depth is None else rule["minimum_height_over_depth"] * depth
    side = np.inf if breadth is None else (0.5 + beyond) * breadth
    x, y, z = moved.spot_m.T
    out = (x < aft) | (x > forward) | (np.abs(y) > side) | (z < lowest)
    names = list(dict.fromkeys(moved.weight_ids[moved.spot_weight[i]] for i in np.flatnonzero(out)))
    text = f"{len(names)} of {len(moved.weight_ids)} weights stand outside the ship or deep in her"
    if names:
        first = moved.spot_m[np.flatnonzero(out)[0]]
        text += (
            f": {listed(names)}, at x {first[0]:g} m, y {first[1]:g} m, z {first[2]:g} m. Count x from the aft "
            "perpendicular and z from the moulded baseline, not from the deck: the weights are taken off there"
        )
    return judged(rule, not names, f"{text}; 0 are allowed.", len(names), 0)
