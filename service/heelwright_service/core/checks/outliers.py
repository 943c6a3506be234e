"""Checks of single readings: the one least like the others, and those withdrawn."""

from __future__ import annotations

import numpy as np
from scipy import special

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import MomentLine, moment_line, reading_name, span_m, state_number
from heelwright_service.core.checks.verdicts import Caution, at_most, judged, unassessed
from heelwright_service.core.results import Check
from heelwright_service.core.words import MILLIMETRES, counted, figure, listed, number

PERCENT = 100.0


def checks(given: CheckInput) -> list[Check]:
    """Judge single readings.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        C-03 for the reading least like the others, C-03-withdrawn for those left out; none for a survey.
    """
    if given.is_survey:
        return []
    return [_least_like(given), _withdrawn(given)]


def cautions(given: CheckInput) -> list[Caution]:
    """Say which reading to repeat, and what the other instruments of that state say.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One, where a reading stands out.
    """
    line = moment_line(given)
    found = None if line is None else outlier(given, line)
    if line is None or found is None:
        return []
    state = int(line.state[found])
    others = np.flatnonzero((line.state == state) & (line.instrument != line.instrument[found]))
    same = [i for i in others if np.sign(line.fit.residuals[i]) == np.sign(line.fit.residuals[found])]
    number_of_state = state_number(given, state)
    if len(others) and len(same) == len(others):
        said = (
            "the other instruments lean the same way, so look for a moment in that state: a weight off its mark, "
            f"people out of place, a tight line. Set it right and repeat state {number_of_state} at all stations"
        )
    elif len(others):
        said = (
            "the other instruments of that state do not lean with it, so look at the reading first: wire, trough, "
            f"batten, sign; then read state {number_of_state} again at all stations"
        )
    else:
        said = f"no other instrument was read in that state; repeat state {number_of_state}"
    return [Caution(f"{reading_name(given, line, found)} stands out by itself: {said}.")]


def outlier(given: CheckInput, line: MomentLine) -> int | None:
    """Find the reading that stands out from the others by chance seldom enough and by a size that matters.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    line : MomentLine
        Its line.

    Returns
    -------
    int or None
        Place of the reading.
    """
    studentised = line.fit.studentised_residuals
    if studentised is None:
        return None
    worst = int(np.argmax(np.abs(studentised)))
    share = abs(float(line.fit.residuals[worst])) / line.full_scale * PERCENT
    matters = share > given.rule("C-05")["maximum_percent_of_full_scale"]
    return worst if matters and not at_most(abs(float(studentised[worst])), _critical(given, line)) else None


def _critical(given: CheckInput, line: MomentLine) -> float:
    """Student's t that the largest of all readings passes with the rule's probability (Bonferroni)."""
    chance = given.rule("C-05")["significance_percent"] / PERCENT
    return float(-special.stdtrit(max(line.fit.degrees_of_freedom - 1, 1), 0.5 * chance / len(line.tangents)))


def _least_like(given: CheckInput) -> Check:
    rule = given.rule("C-03")
    line = moment_line(given)
    if line is None or line.fit.studentised_residuals is None:
        return unassessed(rule, "The readings are too few to tell one from the others.")
    worst = int(np.argmax(np.abs(line.fit.studentised_residuals)))
    value, limit = abs(float(line.fit.studentised_residuals[worst])), _critical(given, line)
    stands_out = outlier(given, line) is not None
    name = reading_name(given, line, worst)
    residual = float(line.fit.residuals[worst])
    length = span_m(given, int(line.instrument[worst]))
    distance = "" if length is None else f" ({number(abs(residual) * length * MILLIMETRES, 1)} mm)"
    ending = f" Repeat {name}, or explain it." if stands_out else ""
    if not stands_out and value > limit:
        ending = " It is too small to matter."
    text = (
        f"The reading least like the others is {name}{distance}: {number(value, 2, limit)} times the scatter of the "
        f"others; up to {number(limit, 2)} times is chance.{ending}"
    )
    found = judged(rule, not stands_out, text, value, limit)
    return Check(rule.id, text, "warn", value, limit, rule.cited_source) if found.status == "fail" else found


def _withdrawn(given: CheckInput) -> Check:
    rule = given.rule("C-03")
    left_out = [reading for reading in given.record.readings if reading.withdrawn_reason is not None]
    counting = {(r.state, r.instrument) for r in given.record.readings if r.withdrawn_reason is None}
    unexplained = [r for r in left_out if not (r.withdrawn_reason or "").strip()]
    told = [
        f"{r.instrument} in state {r.state} ({(r.withdrawn_reason or '').strip() or 'no reason given'}"
        f"{', read again' if (r.state, r.instrument) in counting else ''})"
        for r in left_out
    ]
    named = f": {listed(told)}" if told else ""
    text = (
        f"{counted(len(left_out), 'reading')} withdrawn{named}. {len(unexplained)} without a reason; {figure(0)} are "
        "allowed."
    )
    return judged(rule, not unexplained, text, len(unexplained), 0, aspect="-withdrawn")
