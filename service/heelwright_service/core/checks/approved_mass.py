"""The lightship found against the approved one: a gross difference is a slip far more often than a ship rebuilt."""

from __future__ import annotations

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import Side, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, number, tonnes

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Compare the masses.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``approved-mass``.
    """
    rule = given.rule("approved-mass")
    approved = given.record.vessel.approved_lightship
    if approved is None:
        return [unassessed(rule, "No approved lightship is on the record.")]
    found, limit = float(given.lightship.mass_t[0]), rule["maximum_percent"]
    change = found / approved.mass_t - 1.0
    value = abs(change) * PERCENT
    side: Side = "safe" if change > 0.0 else "unsafe"
    kept = at_most(value, limit)
    text = (
        f"The lightship found is {tonnes(found)}, the approved one {tonnes(approved.mass_t)}: "
        f"{number(value, 1, limit)} % {'heavier' if change > 0.0 else 'lighter'}; {figure(limit)} % is allowed."
    )
    return [judged(rule, kept, text + ("" if kept else _slips(change)), value, limit, side)]


def _slips(change: float) -> str:
    heavier = "draughts in feet, freeboards entered as draughts, tanks or masses aboard left out"
    lighter = "freeboards entered as draughts or draughts as freeboards, marks with another datum, a mass counted twice"
    return f" Likely slips: {heavier if change > 0.0 else lighter}. Only a ship rebuilt since may differ so much."
