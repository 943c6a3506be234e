"""Whether the centres found lie in the ship at all, and which slip of a unit or a sign would put them outside."""

from __future__ import annotations

import math

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import at_least, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, listed, number, side_name

LEAST_KG_OVER_DEPTH = 0.4
LEAST_GM_M = 0.15
"""KG hardly ever lies lower than this share of the depth, nor GM below this (common practice): what is likely."""

ON_BATTENS = {
    10.0: "deflections in centimetres given as millimetres",
    25.4: "deflections in inches given as millimetres",
    100.0: "a pendulum length given in centimetres",
    1000.0: "deflections in metres given as millimetres, or weights in kilograms given as tonnes",
}
IN_ANGLES = {
    180.0 / math.pi: "angles in radians given as degrees",
    1000.0: "weights in kilograms given as tonnes",
}
"""What makes GM come out too large, by its factor: at pendulums and U-tubes, and at inclinometers."""

NEXT = (
    "Next: read the batten again in one state with its unit and the pendulum's length beside it; use no result before."
)


def checks(given: CheckInput) -> list[Check]:
    """Judge whether the centres lie in the ship.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``centre-in-ship-height``, ``-across`` and ``-along``.
    """
    return [_height(given), _across(given), _along(given)]


def _height(given: CheckInput) -> Check:
    """The one furthest out of KG as inclined and VCG of the lightship, by every method."""
    rule, depth = given.rule("centre-in-ship"), given.depth_m
    heights = _found(given, 2)
    if depth is None:
        return unassessed(rule, "The depth is not given.", aspect="-height")
    if not heights:
        return unassessed(rule, "A lightweight survey measures no height.", aspect="-height")
    low, high = _keel_m(given), _keel_m(given) + rule["maximum_height_over_depth"] * depth
    name, value = max(heights.items(), key=lambda pair: max(low - pair[1], pair[1] - high))
    limit = low if value - low < high - value else high
    kept = at_least(value, low) and at_most(value, high)
    text = (
        f"{name} lies {number(value, 2, limit)} m above the baseline; from {figure(round(low, 3))} m (keel) to "
        f"{figure(round(high, 3))} m (twice the depth) is possible."
    )
    return judged(rule, kept, text if kept else f"{text} {_slip(given)} {NEXT}", value, limit, aspect="-height")


def _slip(given: CheckInput) -> str:
    """Every slip of a unit that would leave a likely GM once mended; none is singled out."""
    usual = "Likely: the unit of the readings, a pendulum's length, the mass or the shift of a weight, a density."
    gm, depth = given.gm_fluid_m, given.depth_m
    if gm is None or depth is None:
        return usual
    highest = float(given.outcome.floating.km_t_m[0]) - LEAST_KG_OVER_DEPTH * depth
    kinds = {instrument.kind for instrument in given.record.instruments}
    slips = (ON_BATTENS if kinds - {"inclinometer"} else {}) | (IN_ANGLES if "inclinometer" in kinds else {})
    if gm <= highest:
        return usual
    told = [
        f"{what} (GM would be {number(gm / factor, 2)} m)"
        for factor, what in sorted(slips.items())
        if LEAST_GM_M <= gm / factor <= highest
    ]
    if not told:
        return usual
    return f"GM comes out {number(gm, 2)} m. Likely slips: {listed(told)}."


def _across(given: CheckInput) -> Check:
    rule, breadth = given.rule("centre-in-ship"), given.breadth_m
    across = _found(given, 1)
    if breadth is None:
        return unassessed(rule, "The breadth is not given.", aspect="-across")
    if not across:
        return unassessed(rule, "The list was not read, so nothing lies across.", aspect="-across")
    name, value = max(across.items(), key=lambda pair: abs(pair[1]))
    limit = 0.5 * breadth
    kept = at_most(abs(value), limit)
    text = (
        f"{name} lies {number(abs(value), 2, limit)} m to {side_name(value)}; her side is {number(limit, 2)} m from "
        "the centreline."
    )
    if not kept:
        text += " Likely: the side or the mass of an item or tank, or a draught that makes a false list. Next: go "
        text += "through the places of the heaviest rows."
    return judged(rule, kept, text, abs(value), limit, aspect="-across")


def _along(given: CheckInput) -> Check:
    rule, ends = given.rule("centre-in-ship"), _ends_m(given)
    name, value = max(_found(given, 0).items(), key=lambda pair: max(ends[0] - pair[1], pair[1] - ends[1]))
    limit = min(ends, key=lambda end: abs(value - end))
    kept = ends[0] <= value <= ends[1]
    text = (
        f"{name} lies {number(value, 2, limit)} m forward of the aft perpendicular; the ship reaches from "
        f"{number(ends[0], 2)} m to {number(ends[1], 2)} m."
    )
    if not kept:
        text += " Likely: the x or the mass of an item or tank, or draughts of the ends exchanged. Next: go through "
        text += "the places of the heaviest rows."
    return judged(rule, kept, text, value, limit, aspect="-along")


def _found(given: CheckInput, axis: int) -> dict[str, float]:
    """Known coordinates of the centres by their names: as inclined and lightship, by every method [m]."""
    found = {}
    for method, centre in given.outcome.centre_m.items():
        light = given.outcome.lightship[method]
        name = ("LCG", "TCG", "KG")[axis]
        found[f"{name} as inclined ({method})"] = float(centre[0, axis])
        own = (light.lcg_m, light.tcg_m, light.vcg_m)[axis]
        found[f"{('LCG', 'TCG', 'VCG')[axis]} of the lightship ({method})"] = float(own[0])
    return {name: value for name, value in found.items() if math.isfinite(value)}


def _keel_m(given: CheckInput) -> float:
    return 0.0 if given.hull is None else min(0.0, given.hull.depth_limits_m[0])


def _ends_m(given: CheckInput) -> tuple[float, float]:
    if given.hull is None:
        return 0.0, max(given.length_m, given.record.vessel.length_m or 0.0)
    edge = given.hull.deck_edge_m[:, 0]
    return min(0.0, float(edge.min())), max(given.length_m, float(edge.max()))
