"""Whether one instrument tells another ship than the rest, by more than any honest scatter."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import MomentLine, moment_line
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.errors import CoreError
from heelwright_service.core.linefit import LineFit, common_slope
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, number

PERCENT = 100.0
SURE = 3.0
"""Standard errors from which a difference of slopes is no scatter (common practice)."""


def checks(given: CheckInput) -> list[Check]:
    """Judge each instrument's own slope against the others'.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        ``instrument-slope``; none for a survey.
    """
    if given.is_survey:
        return []
    rule = given.rule("instrument-slope")
    line = moment_line(given)
    own = {} if line is None else _own_lines(line)
    if len(own) < 2:
        return [unassessed(rule, "Fewer than two instruments have a line of their own.")]
    limit = rule["maximum_percent"]
    off = {i: own[i].slope / float(np.median([own[k].slope for k in own if k != i])) - 1.0 for i in own}
    worst = max(off, key=lambda i: abs(off[i]))
    value = abs(off[worst]) * PERCENT
    sure = abs(off[worst]) > SURE * _standard_relative(given, own, worst)
    kept = at_most(value, limit) or not sure
    names = {i: given.record.instruments[i].id for i in own}
    text = (
        f"{names[worst]} shows a heel {number(value, 1, limit)} % {'larger' if off[worst] > 0.0 else 'smaller'} than "
        f"{'the others do' if len(own) > 2 else next(names[i] for i in own if i != worst) + ' does'}, "
        f"{'more' if sure else 'no more'} than scatter and length allow for; {figure(limit)} % is allowed."
    )
    return [judged(rule, kept, text + ("" if kept else _slips(names, worst, len(own))), value, limit)]


def _slips(names: dict[int, str], worst: int, count: int) -> str:
    which = names[worst] if count > 2 else " or ".join(names.values())
    return (
        f" {which} has a wrong length, a wrong unit, a wire that touches or readings of other states; it is averaged "
        "in until its readings are withdrawn with a reason."
    )


def _own_lines(line: MomentLine) -> dict[int, LineFit]:
    found = {}
    for i in np.unique(line.instrument):
        mine = line.instrument == i
        fixed = [int(i)] if int(i) in line.fixed else []
        try:
            found[int(i)] = common_slope(line.moments_t_m[mine], line.tangents[mine], line.instrument[mine], fixed)
        except CoreError:
            continue
    return found


def _standard_relative(given: CheckInput, own: dict[int, LineFit], worst: int) -> float:
    """Standard uncertainty of a slope over the others', scatter and stated lengths together."""
    others = [i for i in own if i != worst]
    scale = abs(float(np.median([own[i].slope for i in others])))
    each = {i: np.hypot(own[i].slope_standard_error, _taped(given, own, i)) / scale for i in own}
    return float(np.hypot(each[worst], max(each[i] for i in others)))


def _taped(given: CheckInput, own: dict[int, LineFit], i: int) -> float:
    """What the uncertainty of an instrument's length makes of its slope."""
    length = given.record.instruments[i].length_m
    return 0.0 if length is None else abs(own[i].slope) * given.test.standard.pendulum_length_m / length
