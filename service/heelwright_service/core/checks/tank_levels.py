"""Checks of the slack tanks: how many, how full, and whether a pair may be joined."""

from __future__ import annotations

from collections import defaultdict

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.pairs import contents_kind, units
from heelwright_service.core.checks.verdicts import judged, unassessed
from heelwright_service.core.liquids import VOLUME_ROW, SoundedTank
from heelwright_service.core.results import Check
from heelwright_service.core.rules import TestRule
from heelwright_service.core.words import MILLIMETRES, counted, figure, listed, number

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge the slack tanks.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        K-02, K-03, K-04, K-07 and K-08.
    """
    slack = slack_tanks(given)
    low = [tank for tank in slack if is_double_bottom(given, tank)]
    deep = [tank for tank in slack if tank not in low]
    return [
        _count(given, slack),
        _fill(given, given.rule("K-03"), deep, "deep"),
        _fill(given, given.rule("K-04"), low, "double-bottom"),
        _equal_levels(given, slack),
        _nearly_full(given, slack),
    ]


def slack_tanks(given: CheckInput) -> list[SoundedTank]:
    """The tanks with a free surface.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of SoundedTank
        In the order of the soundings.
    """
    return [tank for tank in given.test.tanks if tank.sounding.state == "slack"]


def is_double_bottom(given: CheckInput, tank: SoundedTank) -> bool:
    """Tell a double-bottom tank from a deep tank by the height of its crown.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    tank : SoundedTank
        The tank.

    Returns
    -------
    bool
        True when the crown (pipe's zero plus the table's last sounding) lies in the lowest quarter of the depth; False
        where the depth is not known.
    """
    if given.depth_m is None:
        return False
    crown = tank.tank.pipe.zero_z_m + tank.tank.table[-1].sounding_m
    return crown <= given.rule("double-bottom")["maximum_crown_share_of_depth"] * given.depth_m


def fill_percent(given: CheckInput, tank: SoundedTank) -> float:
    """How full a tank is.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    tank : SoundedTank
        One of its tanks.

    Returns
    -------
    float
        Share of the capacity [%].
    """
    volume = given.outcome.contents[0, given.test.tanks.index(tank), VOLUME_ROW]
    return float(volume) / tank.tank.capacity_m3 * PERCENT


def _count(given: CheckInput, slack: list[SoundedTank]) -> Check:
    rule = given.rule("K-02")
    limit = rule["maximum_pairs_per_liquid"]
    kinds: dict[str, list[SoundedTank]] = defaultdict(list)
    for tank in slack:
        kinds[contents_kind(tank.tank)].append(tank)
    found = {kind: len(units([tank.tank for tank in tanks])) for kind, tanks in kinds.items()}
    value = max(found.values(), default=0)
    many = [kind for kind, count in found.items() if count > limit]
    named = "; ".join(f"{kind}: {listed([t.tank.name for t in kinds[kind]])}" for kind in many or found)
    text = (
        f"At most {counted(value, 'slack pair or single slack tank', 'slack pairs or single slack tanks')} of one "
        f"kind of liquid{f' ({named})' if named else ''}; {figure(limit)} of each kind is allowed."
    )
    return judged(rule, not many, text, value, limit)


def _fill(given: CheckInput, rule: TestRule, tanks: list[SoundedTank], sort: str) -> Check:
    low, high = rule["minimum_fill_percent"], rule["maximum_fill_percent"]
    if not tanks:
        text = f"No {sort} tank is slack; from {figure(low)} % to {figure(high)} % is asked."
        return judged(rule, True, text, None, None)
    fills = [fill_percent(given, tank) for tank in tanks]
    worst = min(range(len(tanks)), key=lambda i: min(fills[i] - low, high - fills[i]))
    value = fills[worst]
    limit = low if value - low < high - value else high
    outside = [t.tank.name for t, fill in zip(tanks, fills, strict=True) if not low <= fill <= high]
    told = f" Outside: {listed(outside)}." if outside else ""
    text = (
        f"Of the slack {sort} tanks (told by the height of the crown) {tanks[worst].tank.name} is nearest to a bound "
        f"or beyond it, {number(value, 1, limit)} % full; from {figure(low)} % to {figure(high)} % is asked.{told}"
    )
    return judged(rule, not outside, text, value, limit)


def _equal_levels(given: CheckInput, slack: list[SoundedTank]) -> Check:
    """An open cross-connection brings both surfaces into one plane parallel to the sea."""
    rule = given.rule("K-07")
    limit = given.rule("K-07-equal")["equal_within_mm"]
    heights = {tank.tank.name: _surface_m(given, tank) for tank in slack}
    pairs = [unit for unit in units([tank.tank for tank in slack]) if len(unit) == 2]
    if not pairs:
        return unassessed(rule, "No pair of tanks is slack on both sides.", "safe")
    gaps = {f"{one.name} and {other.name}": abs(heights[one.name] - heights[other.name]) for one, other in pairs}
    nearest = min(gaps, key=lambda name: gaps[name])
    value = gaps[nearest] * MILLIMETRES
    kept = value > limit
    text = (
        f"The surfaces of {nearest} lie {number(value, 1, limit)} mm apart against the sea; {figure(limit)} mm or "
        "less counts as equal."
        + ("" if kept else " They warn of an open cross-connection, through which liquid follows the heel: check it.")
    )
    return judged(rule, kept, text, value, limit, "safe")


def _surface_m(given: CheckInput, tank: SoundedTank) -> float:
    """Height of a tank's surface above the sea's surface, whatever the list and trim [m]."""
    pipe, planes = tank.tank.pipe, given.outcome.planes
    tilt = planes.slope_x[0] * pipe.x_m + planes.slope_y[0] * pipe.y_m
    return float(pipe.zero_z_m + tank.level_m - tilt)


def _nearly_full(given: CheckInput, slack: list[SoundedTank]) -> Check:
    rule = given.rule("K-08")
    limit = rule["minimum_fill_percent"]
    if not slack:
        return judged(rule, True, f"No tank is slack; none lies above {figure(limit)} %.", None, None)
    fills = [fill_percent(given, tank) for tank in slack]
    value = max(fills)
    fullest = slack[fills.index(value)].tank.name
    kept = value < limit
    text = (
        f"The fullest slack tank is {fullest}, {number(value, 1, limit)} % full; from {figure(limit)} % to just under "
        f"{figure(rule['full_percent'])} % is neither full nor properly slack."
        + ("" if kept else " Press it up or draw it down.")
    )
    return judged(rule, kept, text, value, limit)
