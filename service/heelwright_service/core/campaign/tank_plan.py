"""Checks of a tank plan: slack tanks a liquid, levels, 98 % that is not full, cold oil, trim and list, voids named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heelwright_service.core.campaign.judging import judged, status_of
from heelwright_service.core.campaign.planned_condition import PlannedCondition, TankContents
from heelwright_service.core.campaign.tank_document import (
    LIMITED_LIQUIDS,
    LIQUID_WORDS,
    Liquid,
    PlannedTank,
    TankPlan,
)
from heelwright_service.core.record import Tank
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule
from heelwright_service.core.tank_shapes import lofted, shape_moments
from heelwright_service.core.words import counted

UNCONVINCING = ("gauge", "assumed")


@dataclass(frozen=True)
class PlannedShip:
    """What the checks need to know of the ship: length [m], her tanks, the largest planned heel [deg]."""

    length_bp_m: float
    tanks: Sequence[Tank] = ()
    max_heel_deg: float | None = None


def check_tank_plan(plan: TankPlan, ship: PlannedShip, condition: PlannedCondition) -> list[Check]:
    """Check a tank plan by the rules of the trade.

    Parameters
    ----------
    plan : TankPlan
        The plan.
    ship : PlannedShip
        Her length and tanks.
    condition : PlannedCondition
        The planned condition, floated where a hull form is known.

    Returns
    -------
    list of Check
        Every rule that was looked at, whatever its outcome.
    """
    return [
        compartments_named(plan, ship.tanks),
        *_slack_by_liquid(plan.tanks),
        *_levels(plan.tanks, condition.tanks),
        *_nearly_full(plan.tanks, condition.tanks),
        *_cold_oil(plan.tanks),
        *_pocketing(plan.tanks, condition.tanks, ship),
        *_equal_pairs(plan.tanks),
        *_evidence(plan.tanks),
        *_floating(condition, ship.length_bp_m),
    ]


def compartments_named(plan: TankPlan, tanks: Sequence[Tank]) -> Check:
    """Check that every compartment of the model is in the plan (RP-03).

    Parameters
    ----------
    plan : TankPlan
        The plan.
    tanks : sequence of Tank
        The vessel's tanks and voids.

    Returns
    -------
    Check
        Failed while a compartment of the model is left out.
    """
    named = {each.tank for each in plan.tanks}
    absent = [tank.name for tank in tanks if tank.name not in named]
    voids = any(each.space in ("void", "chain-locker", "cofferdam") for each in plan.tanks)
    text = f"All {len(tanks)} compartments of the model have a planned state."
    if absent:
        text = f"No planned state for {', '.join(absent)}; name every compartment of the model."
    elif not voids:
        text += " No void, cofferdam or chain locker is among them: name those too, or say that there is none."
    status = status_of(not absent, True) if absent else status_of(voids, False)
    source = "46 CFR 170.185(g)(6): the condition of each tank"
    return Check("RP-03", text, status, float(len(absent)), 0.0, source, "unsafe")


def slack_units(tanks: Sequence[PlannedTank], liquid: Liquid) -> list[tuple[str, ...]]:
    """Group the slack tanks of one kind of liquid into pairs and single tanks.

    Parameters
    ----------
    tanks : sequence of PlannedTank
        The plan.
    liquid : str
        The kind of liquid.

    Returns
    -------
    list of tuple of str
        Names: two for a pair whose tanks name each other or of which one names the other, else one.

    Examples
    --------
    >>> port = PlannedTank("P", "slack", liquid="fuel-day", pair_with="S")
    >>> slack_units([port, PlannedTank("S", "slack", liquid="fuel-day")], "fuel-day")
    [('P', 'S')]
    """
    slack = [each for each in tanks if each.state == "slack" and each.liquid == liquid]
    units: list[tuple[str, ...]] = []
    taken: set[str] = set()
    for each in slack:
        if each.tank in taken:
            continue
        others = [o.tank for o in slack if o.tank not in taken and o is not each]
        mate = next((o for o in others if each.pair_with == o or _named(slack, o).pair_with == each.tank), None)
        units.append((each.tank,) if mate is None else (each.tank, mate))
        taken.update(units[-1])
    return units


def _named(tanks: Sequence[PlannedTank], name: str) -> PlannedTank:
    return next(each for each in tanks if each.tank == name)


def _slack_by_liquid(tanks: Sequence[PlannedTank]) -> list[Check]:
    checks = []
    most = conduct_rule("K-02")["maximum_pairs_per_liquid"]
    for liquid in dict.fromkeys(each.liquid for each in tanks):
        units = slack_units(tanks, liquid)
        if not units:
            continue
        names = ", ".join(" with ".join(unit) for unit in units)
        words = LIQUID_WORDS[liquid].capitalize()
        if liquid in LIMITED_LIQUIDS:
            slack = counted(len(units), "slack pair or single tank", "slack pairs or single tanks")
            text = f"{words}: {slack} ({names}); one is allowed."
            checks.append(judged("K-02", text, len(units) <= most, float(len(units)), most, side="safe"))
        else:
            text = f"{words}: slack in {names}; keep slack tanks to the fewest."
            checks.append(judged("K-01", text, False, float(len(units)), 0.0, side="safe"))
    if not any(each.state == "slack" for each in tanks):
        checks.append(judged("K-02", "No tank is planned slack.", True, 0.0, most))
    return checks


def _levels(tanks: Sequence[PlannedTank], contents: Sequence[TankContents]) -> list[Check]:
    checks = []
    for tank, held in zip(tanks, contents, strict=True):
        if tank.state != "slack":
            continue
        rule = conduct_rule("K-04" if tank.space == "double-bottom" else "K-03")
        low, high = rule["minimum_fill_percent"], rule["maximum_fill_percent"]
        text = f"{tank.tank} is planned {held.fill_percent:.0f} % full; its kind wants {low:g} % to {high:g} %."
        inside = low <= held.fill_percent <= high
        checks.append(judged(rule.id, text, inside, held.fill_percent, low if held.fill_percent < low else high))
    return checks


def _nearly_full(tanks: Sequence[PlannedTank], contents: Sequence[TankContents]) -> list[Check]:
    rule = conduct_rule("K-08")
    low, full = rule["minimum_fill_percent"], rule["full_percent"]
    checks = []
    for tank, held in zip(tanks, contents, strict=True):
        fill = tank.fill_percent if tank.fill_percent is not None else held.fill_percent
        if tank.state != "empty" and low <= fill < full:
            text = f"{tank.tank} is planned {fill:.1f} % full: neither full nor properly slack. Press or lower it."
            checks.append(judged("K-08", text, False, fill, full, side="unsafe"))
    pressed = sum(each.state == "pressed" for each in tanks)
    if not checks:
        checks.append(judged("K-08", f"{counted(pressed, 'tank')} planned pressed up, none nearly full.", True))
    return checks


def _cold_oil(tanks: Sequence[PlannedTank]) -> list[Check]:
    cold = [each.tank for each in tanks if each.state == "slack" and each.viscous and not each.heated]
    if not cold:
        return [judged("K-06", "No cold viscous liquid is planned slack.", True)]
    text = f"Cold viscous liquid is planned slack in {', '.join(cold)}: heat it, press it up or empty it."
    return [judged("K-06", text, False, float(len(cold)), 0.0)]


def _pocketing(tanks: Sequence[PlannedTank], contents: Sequence[TankContents], ship: PlannedShip) -> list[Check]:
    """Change of the free-surface moment from upright to the largest heel, where the tank's shape is known."""
    if ship.max_heel_deg is None or ship.max_heel_deg <= 0.0:
        return []
    shapes = {each.name: (i, each) for i, each in enumerate(ship.tanks) if each.geometry is not None}
    rule = conduct_rule("K-05")
    checks = []
    for tank, held in zip(tanks, contents, strict=True):
        shaped = shapes.get(tank.tank)
        if tank.state != "slack" or shaped is None or held.free_surface_moment_t_m <= 0.0:
            continue
        change = _free_surface_change_percent(*shaped, held, ship.max_heel_deg)
        text = f"{tank.tank}: the free-surface moment changes by {change:.1f} % up to {ship.max_heel_deg:.1f}° of heel."
        most = rule["maximum_change_percent"]
        checks.append(judged("K-05", text, abs(change) <= most, abs(change), most))
    return checks


def _free_surface_change_percent(index: int, tank: Tank, held: TankContents, heel_deg: float) -> float:
    tangent = float(np.tan(np.radians(heel_deg)))
    shape = lofted(tank, index, "/tanks")
    assert shape is not None  # noqa: S101 - the caller has asked
    low, upright, high = shape_moments(shape, held.volume_m3, 0.0, np.array([-tangent, 0.0, tangent]))[:, 1]
    i_t = held.free_surface_moment_t_m / (held.mass_t / held.volume_m3)
    worst = max((high - upright, upright - low), key=lambda moved: abs(moved / tangent / i_t - 1.0))
    return float(100.0 * (worst / tangent / i_t - 1.0))


def _equal_pairs(tanks: Sequence[PlannedTank]) -> list[Check]:
    levels = {each.tank: (each.sounding_m, each.fill_percent) for each in tanks}
    checks = []
    for liquid in dict.fromkeys(each.liquid for each in tanks):
        for unit in slack_units(tanks, liquid):
            if len(unit) == 2 and levels[unit[0]] == levels[unit[1]]:
                text = (
                    f"{unit[0]} and {unit[1]} are planned to equal levels: a few centimetres between them would show "
                    "an open cross-connection on the day."
                )
                checks.append(judged("K-07", text, False, 0.0, None))
    return checks


def _evidence(tanks: Sequence[PlannedTank]) -> list[Check]:
    weak = [each.tank for each in tanks if each.evidence in UNCONVINCING]
    blind = [each.tank for each in tanks if each.entry and each.evidence is None]
    if not weak and not blind:
        return []
    by_gauge, unseen = ", ".join(weak) or "none", ", ".join(blind) or "none"
    text = f"By gauge or assumed: {by_gauge}; entry without evidence named: {unseen}. Plan how each state is shown."
    return [judged("K-10", text, False, float(len(weak) + len(blind)), 0.0)]


def _floating(condition: PlannedCondition, length_bp_m: float) -> list[Check]:
    heel, trim, gm = condition.heel_deg, condition.trim_m, condition.gm_fluid_m
    limit_heel = conduct_rule("P-18")["maximum_deg"]
    limit_trim = conduct_rule("P-19")["maximum_percent_of_lbp"]
    least_gm = conduct_rule("P-22")["minimum_gm_m"]
    if heel is None or trim is None or gm is None:
        text = "not known without a hull form."
        return [judged(rule, f"{what} is {text}", None) for rule, what in _UNKNOWN]
    percent = 100.0 * abs(trim) / length_bp_m
    side, end = ("starboard" if heel > 0 else "port"), ("stern" if trim > 0 else "head")
    return [
        judged("P-18", f"Planned list {abs(heel):.2f}° to {side}.", abs(heel) <= limit_heel, abs(heel), limit_heel),
        judged("P-19", f"Planned trim {abs(trim):.2f} m by the {end}, {percent:.2f} % of the length.",
               percent <= limit_trim, percent, limit_trim),
        judged("P-22", f"Planned GM {gm:.2f} m, free surface included.", gm >= least_gm, gm, least_gm, side="unsafe"),
    ]  # fmt: skip


_UNKNOWN = (("P-18", "The planned list"), ("P-19", "The planned trim"), ("P-22", "The planned GM"))
