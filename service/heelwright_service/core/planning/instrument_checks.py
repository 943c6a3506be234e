"""Rules on the instruments of a plan: how many, how long, how far they move."""

from __future__ import annotations

import itertools
import math

from heelwright_service.core.planning.limits import least_deflection_mm
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import PlanInstrument, PlanRequest
from heelwright_service.core.results import Check, Status
from heelwright_service.core.rules import conduct_rule

CLOSE = 1e-6


def instrument_checks(outcome: Outcome) -> list[Check]:
    """Judge the instruments.

    Parameters
    ----------
    outcome : Outcome
        The plan.

    Returns
    -------
    list of Check
        Number, kinds, and for each its length and deflection.
    """
    instruments = outcome.request.instruments
    pendulums = [each for each in instruments if each.kind == "pendulum"]
    checks = [_number(outcome), _kinds(outcome, pendulums)]
    checks += [_deflection(outcome, each) for each in instruments if each.kind != "inclinometer"]
    checks += [_length(outcome, each) for each in pendulums]
    return checks + ([_alike(outcome, pendulums)] if len(pendulums) > 1 else [])


def too_few_instruments(request: PlanRequest) -> bool:
    """Say whether the instruments are fewer than the rules let pass.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    bool
        H-01: fewer than two; not where H-02 lets a ship of 30 m or less do with one, her length being known.
    """
    rule = conduct_rule("H-01", request.rule_set)
    return len(request.instruments) < rule["minimum"] and not _small(request)


def _small(request: PlanRequest) -> bool:
    vessel = request.vessel
    length = None if vessel is None else (vessel.length_m or vessel.length_bp_m)
    return length is not None and length <= conduct_rule("H-02", request.rule_set)["up_to_length_m"]


def _number(outcome: Outcome) -> Check:
    request = outcome.request
    rule, small = (conduct_rule(each, request.rule_set) for each in ("H-01", "H-02"))
    count = len(request.instruments)
    noun = "instrument" if count == 1 else "instruments"
    text = f"{count} {noun}; {rule['recommended']:g} are recommended, {rule['minimum']:g} are the least."
    if count >= rule["minimum"]:
        return Check("H-01", text, "pass", float(count), rule["minimum"], rule.cited_source)
    if _small(request):
        return Check("H-02", f"{text} {small.text}", "warn", float(count), small["minimum"], small.cited_source)
    if request.vessel is None:
        text += f" Up to {small['up_to_length_m']:g} m of length one may do: give the vessel's length."
    return Check("H-01", text, "fail", float(count), rule["minimum"], rule.cited_source)


def _kinds(outcome: Outcome, pendulums: list[PlanInstrument]) -> Check:
    rule = conduct_rule("H-10", outcome.request.rule_set)
    status: Status = "pass" if len(pendulums) >= rule["minimum_pendulums"] else "warn"
    text = f"{len(pendulums)} pendulums. {rule.text}"
    return Check("H-10", text, status, float(len(pendulums)), rule["minimum_pendulums"], rule.cited_source)


def _deflection(outcome: Outcome, instrument: PlanInstrument) -> Check:
    rule_id = "H-04" if instrument.kind == "pendulum" else "H-12"
    rule = conduct_rule(rule_id, outcome.request.rule_set)
    least = least_deflection_mm(instrument, outcome.request.rule_set)
    tangent = math.tan(math.radians(min(outcome.sides_deg(outcome.stiff))))
    found = 1000.0 * tangent * (instrument.length_m or 0.0)
    what = "deflects" if instrument.kind == "pendulum" else "differs in level by"
    text = (
        f"{instrument.id} ({instrument.kind}, {instrument.length_m:g} m) {what} {found:.0f} mm to the lesser side at "
        f"the upper end of GM; at least {least:g} mm is the rule."
    )
    status: Status = "pass" if found >= least - CLOSE else "fail"
    return Check(rule_id, text, status, found, least, rule.cited_source)


def _length(outcome: Outcome, pendulum: PlanInstrument) -> Check:
    rule = conduct_rule("H-05", outcome.request.rule_set)
    length = pendulum.length_m or 0.0
    text = f"{pendulum.id} is {length:g} m long. {rule.text}"
    if length < rule["minimum_m"] - CLOSE:
        short: Status = "fail" if rule.may_fail else "warn"
        return Check("H-05", text, short, length, rule["minimum_m"], rule.cited_source)
    longest = rule["preferred_to_m"]
    status: Status = "pass" if length <= longest + CLOSE else "warn"
    extra = "" if status == "pass" else " A longer one has to settle between readings."
    return Check("H-05", text + extra, status, length, longest if extra else rule["minimum_m"], rule.cited_source)


def _alike(outcome: Outcome, pendulums: list[PlanInstrument]) -> Check:
    rule = conduct_rule("H-06", outcome.request.rule_set)
    lengths = sorted(each.length_m or 0.0 for each in pendulums)
    gap = min(b - a for a, b in itertools.pairwise(lengths))
    status: Status = "pass" if gap > CLOSE else "warn"
    found = "All differ." if status == "pass" else "Two are equally long: their readers can compare readings."
    return Check("H-06", f"{rule.text} {found}", status, gap, 0.0, rule.cited_source)
