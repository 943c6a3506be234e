"""Names that tell a place against the place stated: a mark called forward that stands aft, a port tank to starboard."""

from __future__ import annotations

import re
from collections.abc import Iterator

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.pairs import base_and_side
from heelwright_service.core.checks.verdicts import judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted, listed

AFT, FORWARD = frozenset({"aft", "after", "stern"}), frozenset({"forward", "fwd", "fore", "bow"})
PORT, STARBOARD = frozenset({"port"}), frozenset({"starboard", "stbd"})
CLEAR_OF_MIDDLE = 0.02
"""Of the length or the tank's own distance: what stands closer to the middle contradicts no name."""


def checks(given: CheckInput) -> list[Check]:
    """Judge whether marks and tanks stand where their names say.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``named-places``.
    """
    rule = given.rule("named-places")
    vessel = given.record.vessel
    if not vessel.marks and not vessel.tanks:
        return [unassessed(rule, "The vessel has neither marks nor tanks with names.")]
    found = [*_marks(given), *_tanks(given)]
    named = f": {listed(found)}. One of the two is wrong: check the axes and signs" if found else ""
    text = f"{counted(len(found), 'mark or tank', 'marks or tanks')} not where the name says{named}; 0 are allowed."
    return [judged(rule, not found, text, len(found), 0)]


def _marks(given: CheckInput) -> Iterator[str]:
    length, used = given.length_m, {each.mark for each in given.record.draughts}
    for mark in given.record.vessel.marks:
        if mark.name not in used:
            continue
        words = set(re.findall(r"[a-z]+", mark.name.lower()))
        if _contradicts(words, AFT, FORWARD, mark.x_m / length - 0.5):
            yield f"mark '{mark.name}' at x {mark.x_m:g} m"
        elif _contradicts(words, PORT, STARBOARD, mark.y_m / length, 0.0):
            yield f"mark '{mark.name}' at y {mark.y_m:g} m"


def _tanks(given: CheckInput) -> Iterator[str]:
    sounded = {tank.tank.name for tank in given.test.tanks}
    for tank in given.record.vessel.tanks:
        side = base_and_side(tank.name)
        if side is None or tank.name not in sounded:
            continue
        y = tank.table[-1].y_m
        if _contradicts({side[1]}, PORT, STARBOARD, y / given.length_m, 0.0):
            yield f"tank '{tank.name}' with its centre at y {y:g} m"


def _contradicts(
    words: set[str], low: frozenset[str], high: frozenset[str], share: float, clear: float = CLEAR_OF_MIDDLE
) -> bool:
    """Whether words of one side alone stand at a place clearly on the other."""
    says_low, says_high = bool(words & low), bool(words & high)
    if says_low == says_high:
        return False
    return share > clear if says_low else share < -clear
