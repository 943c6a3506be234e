"""The rules that a plan is judged by: what was found, what is allowed, and where it is written."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable

import numpy as np

from heelwright_service.core.planning.deck import safe_working_load
from heelwright_service.core.planning.hull_heel import HullHeel
from heelwright_service.core.planning.instrument_checks import instrument_checks
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.plausible import plausibility_checks
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.results import Check, Status
from heelwright_service.core.rules import TestRule, conduct_rule
from heelwright_service.core.words import counted

REQUEST = "the request"
CLOSE = 1e-6
CRANE_SOURCE = "2008 IS Code (MSC.267(85)) part B 8.2.2.8 (from memory); the crane's own load curve"


def plan_checks(outcome: Outcome, limits: Limits, asked: PlanRequest) -> list[Check]:
    """Judge a plan.

    Parameters
    ----------
    outcome : Outcome
        The plan.
    limits : Limits
        The limits as they were asked for.
    asked : PlanRequest
        The request as it was asked: the plan may be that of a changed one.

    Returns
    -------
    list of Check
        Every rule that bears on it, in the order of reading: heel, ship, deck, lifts, uncertainty, instruments, the
        figures asked with.
    """
    judged: tuple[Callable[[Outcome, Limits], Check], ...] = (
        _band,
        _heel,
        _list,
        _trim,
        _deck_edge,
        _waterplane,
        _movements,
        _transverse,
        _deck_load,
        _capacity,
        _crane,
        _target,
    )
    asked_for = [_initial_gm(outcome, asked), _stock(outcome, asked)]
    found = [each(outcome, limits) for each in judged] + asked_for
    return found + instrument_checks(outcome) + plausibility_checks(asked)


def _rule(outcome: Outcome, rule_id: str) -> TestRule:
    return conduct_rule(rule_id, outcome.request.rule_set)


def _status(held: bool, broken: Status = "fail") -> Status:
    return "pass" if held else broken


def _band(outcome: Outcome, limits: Limits) -> Check:
    low, high = outcome.least_change_deg, outcome.most_change_deg
    states = "every state off zero" if limits.every else "the largest state of each side"
    short, over = limits.low_deg - low, high - limits.high_deg
    text = (
        f"Over the range of GM the change of heel of {states} lies between {low:.2f}° and {high:.2f}°; asked for are "
        f"{limits.low_deg:g}° to {limits.high_deg:g}°."
    )
    lower_worse = short > over
    value, limit = (low, limits.low_deg) if lower_worse else (high, limits.high_deg)
    return Check("band", text, _status(max(short, over) <= CLOSE), value, limit, REQUEST)


def _heel(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "W-01")
    least, most = min(outcome.sides_deg(outcome.stiff)), outcome.heel_deg
    low, high = rule["minimum_deg"], rule["maximum_deg"]
    text = (
        f"Heel to each side reaches {least:.2f}° at the upper end of GM and {most:.2f}°, list included, at the lower "
        f"end; {low:g}° to {high:g}° is the rule."
    )
    if most > high + CLOSE:
        return Check("W-01", text, "fail", most, high, rule.cited_source)
    if least < low - CLOSE:
        deep = least >= math.degrees(math.atan(limits.deflection_tangent)) - CLOSE
        waiver = " Large ships may heel less where the deflection rule is met." if deep else ""
        return Check("W-01", text + waiver, "warn" if deep else "fail", least, low, rule.cited_source, "unsafe")
    return Check("W-01", text, "pass", most, high, rule.cited_source)


def _list(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "P-18")
    text = (
        f"With all weights at home the ship lists up to {outcome.list_deg:.2f}° over the range of GM; "
        f"{limits.list_deg:g}° is allowed."
    )
    held = outcome.list_deg <= limits.list_deg + CLOSE
    return Check("P-18", text, _status(held), outcome.list_deg, limits.list_deg, rule.cited_source)


def _deck_edge(outcome: Outcome, limits: Limits) -> Check:
    edge = outcome.deck_edge_deg
    text = f"The deck edge meets the water at {edge:.1f}°; the largest heel is {outcome.heel_deg:.2f}°."
    held = outcome.heel_deg < edge + CLOSE
    if outcome.freeboard_m is not None:
        text += (
            f" Floated on the hull, the deck edge stays {outcome.freeboard_m:.2f} m clear of the water at the least."
        )
        held = outcome.freeboard_m > -CLOSE
    return Check("deck-edge", text, _status(held), outcome.heel_deg, edge, "common practice", "unsafe")


def _waterplane(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "P-21")
    limit = rule["maximum_change_percent"]
    model = outcome.ship.model
    if not isinstance(model, HullHeel):
        text = "The change of KM with heel needs the hull form."
        return Check("P-21", text, "not-assessed", None, limit, rule.cited_source)
    tangent = math.tan(math.radians(outcome.heel_deg))
    change = _km_change_percent(model, outcome, tangent)
    text = (
        f"KM as the moments feel it {'falls' if change < 0.0 else 'rises'} by {abs(change):.2f} % from upright to the "
        f"largest heel; beyond {limit:g} % "
        "the fixed metacentre misleads and the reduction at true heel is needed."
    )
    if abs(change) > limit:
        text += f" Up to {_within_deg(model, outcome, limit):.1f}° of heel it stays within {limit:g} %."
    return Check("P-21", text, _status(abs(change) <= limit, "warn"), abs(change), limit, rule.cited_source)


def _km_change_percent(model: HullHeel, outcome: Outcome, tangent: float) -> float:
    stiffness = outcome.request.displacement_t * model.km_m * tangent
    return 100.0 * float(model.excess_t_m(tangent)) / stiffness


def _within_deg(model: HullHeel, outcome: Outcome, limit_percent: float) -> float:
    """Heel up to which KM changes by no more than so much [deg], to a hundredth of the plan's largest heel."""
    within = 0.0
    for heel in np.linspace(0.0, outcome.heel_deg, 101)[1:]:
        if abs(_km_change_percent(model, outcome, math.tan(math.radians(heel)))) > limit_percent:
            break
        within = float(heel)
    return within


def _initial_gm(outcome: Outcome, asked: PlanRequest) -> Check:
    rule = _rule(outcome, "P-22")
    total = asked.displacement_t + outcome.loading.mass_t
    gm = (outcome.stiffness_t_m + asked.displacement_t * (asked.gm_m - outcome.request.gm_m)) / total
    lowest = gm - asked.displacement_t * asked.gm_expanded_m / total
    limit = rule["minimum_gm_m"]
    text = (
        f"GM with the weights aboard is {gm:.2f} m, {lowest:.2f} m at the lower end; at least {limit:.2f} m is asked."
    )
    status: Status = "fail" if gm < limit - CLOSE else _status(lowest >= limit - CLOSE, "warn")
    return Check("P-22", text, status, gm, limit, rule.cited_source, "unsafe")


def _stock(outcome: Outcome, asked: PlanRequest) -> Check:
    if not asked.stock:
        text = "Weights of free mass: that they are at hand is not checked."
        return Check("stock", text, "not-assessed", None, None, REQUEST)
    hand: Counter[float] = Counter()
    for unit in asked.stock:
        hand[unit.mass_t] += unit.count
    missing = Counter(outcome.masses_t) - hand
    used, short = len(outcome.masses_t), missing.total()
    text = f"Weights at hand: {used - short} of {used}."
    if short:
        text += f" Missing: {', '.join(f'{number} of {mass:g} t' for mass, number in sorted(missing.items()))}."
    return Check("stock", text, _status(not short), float(used - short), float(used), REQUEST)


def _trim(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "P-19")
    limit = rule["maximum_percent_of_lbp"]
    if outcome.trim_slope is None:
        text = "The trim that the weights give needs the hull form."
        return Check("P-19", text, "not-assessed", None, limit, rule.cited_source)
    percent = 100.0 * outcome.trim_slope
    side = "by the stern" if percent > 0.0 else "by the head"
    text = (
        f"The weights trim the ship, on an even keel without them, by {abs(percent):.2f} % of her length between "
        f"perpendiculars {side}; {limit:g} % is allowed."
    )
    return Check("P-19", text, _status(abs(percent) <= limit + CLOSE), abs(percent), limit, rule.cited_source)


def _movements(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "C-01")
    which = outcome.which
    text = (
        f"{which.lifts} movements: {which.nonzero} states off zero, {which.distinct_per_side} or more moments a side, "
        f"{which.returns} returns to zero; at least 6, 2 and 2 are wanted, and eight movements are the standard."
    )
    held = which.complete and which.lifts >= rule["movements"]
    return Check("C-01", text, _status(held), float(which.lifts), rule["movements"], rule.cited_source)


def _transverse(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "W-09")
    text = "Every weight moves across only, at constant x and z: the moves change no trim and no height."
    return Check("W-09", text, "pass", 0.0, rule["maximum_percent_of_length"], rule.cited_source)


def _deck_load(outcome: Outcome, limits: Limits) -> Check:
    rule = _rule(outcome, "P-23")
    request, worst = outcome.request, (0.0, 0.0, 0.0)
    unknown = 0
    for kind, spot, mass in zip(outcome.choice.kinds, outcome.choice.spots, outcome.masses_t, strict=True):
        allowed = request.positions[spot].deck_load_t_per_m2
        footprint = request.stock[kind].footprint_m2 if request.stock else None
        if allowed is None or footprint is None:
            unknown += 1
        else:
            worst = max(worst, (mass / footprint / allowed, mass / footprint, allowed))
    if worst[2] > 0.0 and worst[0] > 1.0 + CLOSE:
        text = f"A weight loads the deck with {worst[1]:.2f} t/m²; {worst[2]:g} t/m² is allowed there."
        return Check("P-23", text, "fail", worst[1], worst[2], rule.cited_source, "unsafe")
    if unknown:
        text = f"The deck's load under {counted(unknown, 'weight')} is unknown: "
        text += "give deck_load_t_per_m2 and footprint_m2."
        return Check("P-23", text, "not-assessed", None, None, rule.cited_source, "unsafe")
    text = f"The deck is loaded with {worst[1]:.2f} t/m² at most relative to what is allowed there, {worst[2]:g} t/m²."
    return Check("P-23", text, "pass", worst[1], worst[2], rule.cited_source)


def _capacity(outcome: Outcome, limits: Limits) -> Check:
    worst: tuple[float, float, float, str] = (0.0, 0.0, math.inf, "")
    for s, position in enumerate(outcome.request.positions):
        masses = [m for m, spot in zip(outcome.masses_t, outcome.choice.spots, strict=True) if spot == s]
        for value, limit, unit in (
            (float(len(masses)), position.units_per_side, "weights"),
            (sum(masses), position.max_mass_t, "t"),
        ):
            if limit is not None:
                share = value / limit if limit > 0 else (math.inf if value else 0.0)
                worst = max(worst, (share, value, float(limit), f"{unit} on one side of position {s + 1}"))
    if math.isinf(worst[2]):
        return Check("capacity", "No position states how much it takes.", "not-assessed", None, None, REQUEST)
    text = f"At most {worst[1]:g} {worst[3]} at once, {worst[2]:g} are allowed: the position nearest to its limit."
    return Check("capacity", text, _status(worst[0] <= 1.0 + CLOSE), worst[1], worst[2], REQUEST)


def _crane(outcome: Outcome, limits: Limits) -> Check:
    crane = outcome.request.crane
    if crane is None:
        text = "No crane is given: that every lift can be made is not checked."
        return Check("P-30", text, "not-assessed", None, None, CRANE_SOURCE)
    worst = (-1.0, 0.0, 0.0, 0.0)
    for w, mass in enumerate(outcome.masses_t):
        for across in (False, True):
            x, y, _ = outcome.place(w, across)
            allowed = float(safe_working_load(crane, x, y))
            radius = math.hypot(x - crane.x_m, y - crane.y_m)
            worst = max(worst, (mass / allowed if allowed > 0.0 else math.inf, mass, allowed, radius))
    reach = f"its safe working load there is {worst[2]:.2f} t"
    if worst[2] <= 0.0:
        radii = crane.curve[0][0], min(crane.curve[-1][0], crane.radius_max_m)
        reach = f"its reach is from {radii[0]:g} m to {radii[1]:g} m"
    text = f"The crane's hardest lift is {worst[1]:.2f} t at a radius of {worst[3]:.1f} m; {reach}."
    return Check("P-30", text, _status(worst[0] <= 1.0 + CLOSE), worst[1], worst[2], CRANE_SOURCE, "unsafe")


def _target(outcome: Outcome, limits: Limits) -> Check:
    found = float(np.asarray(outcome.ship.precision.gm_m(outcome.design)))
    target = outcome.request.target_gm_uncertainty_m
    text = f"Expected expanded (95 %) uncertainty of GM: {found * 1000:.0f} mm"
    if target is None:
        return Check("target-uncertainty", f"{text}; no target is set.", "not-assessed", found, None, REQUEST)
    held = found <= target * (1.0 + CLOSE)
    return Check(
        "target-uncertainty", f"{text}; the target is {target * 1000:g} mm.", _status(held), found, target, REQUEST
    )
