"""Checks of what the tanks are said to hold: evidence, contradicting soundings, tanks nobody mentioned."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.pairs import contents_kind
from heelwright_service.core.checks.verdicts import Caution, at_most, judged, unassessed
from heelwright_service.core.liquids import SoundedTank
from heelwright_service.core.results import Check
from heelwright_service.core.words import MILLIMETRES, counted, figure, listed, number

PERCENT = 100.0
UNACCEPTED_EVIDENCE = frozenset({"assumed", "gauge", "remote gauge", "remote gauge only", "remote-gauge"})
VISCOUS_WORDS = ("fuel", "oil", "hfo", "mfo", "bunker", "bitumen", "asphalt", "molasses", "sludge", "fo")


def checks(given: CheckInput) -> list[Check]:
    """Judge whether the states of the tanks can be believed.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        K-01 (empty), K-08 (pressed), K-10 and RP-03.
    """
    return [_empty(given), _pressed(given), _evidence(given), _unmentioned(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say what the soundings leave open.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        On tanks without a sounding, cold viscous liquids, pressed tanks taken at their word, and temperatures that
        nothing was carried to.
    """
    found = _uncarried(given)
    absent = unmentioned_tanks(given)
    if absent:
        found.append(
            Caution(
                f"no condition is stated for {listed(absent)}; they count as empty. Liquid unseen low in the ship "
                "makes her lightship look heavier and her centre of gravity lower than it is. Sound them.",
                "unsafe",
            )
        )
    viscous = [t.tank.name for t in given.test.tanks if t.sounding.state == "slack" and _may_be_viscous(t)]
    if viscous:
        found.append(
            Caution(
                f"{listed(viscous)}: slack with fuel or oil. Cold viscous liquid does not follow the heel within the "
                "time of a reading, and a free surface deducted for it makes the centre of gravity look lower than "
                f"it is ({given.rule('K-06').source}). Was it warm enough to flow?",
                "unsafe",
            )
        )
    return found


def _uncarried(given: CheckInput) -> list[Caution]:
    """A temperature without its liquid changes nothing: the density may be that of another temperature."""
    names = [
        one.tank
        for one in given.record.soundings
        if one.temperature_c is not None and one.liquid is None and one.state != "empty"
    ]
    if not names:
        return []
    return [
        Caution(
            f"the temperature stated for {listed(names)} was not used, for neither the liquid nor the temperature of "
            "its density is stated: the density counts as that in the tank. Oil whose density is stated at 15 °C is "
            "about 0.7 % lighter for every 10 °C that it is warmer (ASTM D 1250)."
        )
    ]


def unmentioned_tanks(given: CheckInput) -> list[str]:
    """Names of the vessel's tanks that have no entry among the soundings.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of str
        In the order of the vessel's tanks.
    """
    sounded = {tank.tank.name for tank in given.test.tanks}
    return [tank.name for tank in given.record.vessel.tanks if tank.name not in sounded]


def _may_be_viscous(tank: SoundedTank) -> bool:
    words = contents_kind(tank.tank).replace("-", " ").split()
    return any(word in VISCOUS_WORDS for word in words)


def _was_sounded(tank: SoundedTank) -> bool:
    return tank.sounding.sounding_m is not None or tank.sounding.ullage_m is not None


def _tolerance_m(given: CheckInput) -> float:
    return given.rule("tank-state")["coverage_factor"] * given.test.standard.sounding_m


def _empty(given: CheckInput) -> Check:
    rule = given.rule("K-01-empty")
    tanks = [tank for tank in given.test.tanks if tank.sounding.state == "empty" and _was_sounded(tank)]
    if not tanks:
        return unassessed(rule, "No empty tank was sounded.", "unsafe")
    heights = [tank.level_m - tank.tank.table[0].sounding_m for tank in tanks]
    worst = int(np.argmax(heights))
    value, limit = heights[worst] * MILLIMETRES, _tolerance_m(given) * MILLIMETRES
    kept = at_most(value, limit)
    name = tanks[worst].tank.name
    text = (
        f"Of the empty tanks {name} was sounded highest, {number(value, 0, limit)} mm above the foot of its table; "
        f"up to {figure(limit)} mm agrees with empty."
        + ("" if kept else f" {name} holds liquid: strip it, or state it slack.")
    )
    return judged(rule, kept, text, value, limit, "unsafe")


def _pressed(given: CheckInput) -> Check:
    """A pressed tank whose sounding leaves air in it is neither full nor properly slack."""
    rule = given.rule("K-08")
    tanks = [tank for tank in given.test.tanks if tank.sounding.state == "pressed" and _was_sounded(tank)]
    if not tanks:
        return unassessed(rule, "No pressed tank was sounded.", "safe", aspect="-pressed")
    gaps = [tank.tank.table[-1].sounding_m - tank.level_m for tank in tanks]
    worst = int(np.argmax(gaps))
    value, limit = gaps[worst] * MILLIMETRES, _tolerance_m(given) * MILLIMETRES
    kept = at_most(value, limit)
    fill = _fill_at_level(tanks[worst]) * PERCENT
    text = (
        f"Of the pressed tanks {tanks[worst].tank.name} was sounded lowest, {number(value, 0, limit)} mm below the "
        f"end of its table ({number(fill, 1)} % full); up to {figure(limit)} mm agrees with full."
        + ("" if kept else " It has a free surface that nobody deducts: press it up, or state it slack.")
    )
    return judged(rule, kept, text, value, limit, "safe", aspect="-pressed")


def _fill_at_level(tank: SoundedTank) -> float:
    rows = tank.tank.table
    volume = np.interp(tank.level_m, [row.sounding_m for row in rows], [row.volume_m3 for row in rows])
    return float(volume) / tank.tank.capacity_m3


def _evidence(given: CheckInput) -> Check:
    rule = given.rule("K-10")
    stated = [tank for tank in given.test.tanks if tank.sounding.evidence]
    weak = [t.tank.name for t in stated if (t.sounding.evidence or "").strip().lower() in UNACCEPTED_EVIDENCE]
    silent = [tank.tank.name for tank in given.test.tanks if not tank.sounding.evidence]
    if not given.test.tanks:
        return unassessed(rule, "No tank has been sounded.", "unsafe")
    if not weak and silent:
        return unassessed(rule, f"No evidence is stated for {listed(silent)}.", "unsafe")
    named = f": {listed(weak)}. Sound, see or enter them, or carry them as an uncertainty" if weak else ""
    text = (
        f"{counted(len(weak), 'tank')} of {len(given.test.tanks)} taken as they are by assumption or remote gauge "
        f"alone; 0 are accepted{named}."
    )
    return judged(rule, not weak, text, len(weak), 0, "unsafe")


def _unmentioned(given: CheckInput) -> Check:
    rule = given.rule("RP-03")
    total = len(given.record.vessel.tanks)
    if total == 0:
        return unassessed(rule, "The vessel has no list of tanks.", "unsafe")
    absent = unmentioned_tanks(given)
    named = f": {listed(absent)}" if absent else ""
    text = f"{counted(len(absent), 'tank')} of {total} without a stated condition{named}; 0 are allowed."
    return judged(rule, not absent, text, len(absent), 0, "unsafe")
