"""Checks of the moment line, each part by itself: residuals, sides, instruments, returns to zero."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import MomentLine, moment_line, reading_name, span_m
from heelwright_service.core.checks.verdicts import at_most, judged, unassessed
from heelwright_service.core.errors import CoreError
from heelwright_service.core.linefit import lines_by_group, side_slopes, zero_drift
from heelwright_service.core.results import Check
from heelwright_service.core.words import MILLIMETRES, figure, number, side_name

PERCENT = 100.0
TOO_FEW = "The readings are too few for a line with scatter."


def checks(given: CheckInput) -> list[Check]:
    """Judge the straightness of the moment line.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        C-07-residual, C-07-sides, C-07-instruments, C-07-zero and C-07-r-squared; none for a survey.
    """
    if given.is_survey:
        return []
    line = moment_line(given)
    if line is None:
        rule = given.rule("C-07")
        return [unassessed(rule, TOO_FEW, aspect=aspect) for aspect in (*_PARTS, "-r-squared")]
    return [*(part(given, line) for part in _PARTS.values()), _r_squared(given, line)]


def is_straight(given: CheckInput) -> bool:
    """Whether the plot is straight by every part of C-07.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    bool
        False where a part warns, and where the line cannot be judged at all.
    """
    line = moment_line(given)
    return line is not None and all(part(given, line).status != "warn" for part in _PARTS.values())


def _residual(given: CheckInput, line: MomentLine) -> Check:
    rule = given.rule("C-07")
    worst = int(np.argmax(np.abs(line.fit.residuals)))
    residual = float(line.fit.residuals[worst])
    value, limit = abs(residual) / line.full_scale * PERCENT, rule["residual_percent_of_full_scale"]
    kept = at_most(value, limit)
    text = (
        f"The reading furthest off the line is {reading_name(given, line, worst)}: "
        f"{_amount(given, line, worst, residual)}, {number(value, 2, limit)} % of the full-scale tangent; "
        f"{figure(limit)} % is allowed." + ("" if kept else _by_heeled(given, line))
    )
    return judged(rule, kept, text, value, limit, aspect="-residual")


def _amount(given: CheckInput, line: MomentLine, index: int, tangent: float) -> str:
    """A tangent as a distance on the batten and as a moment."""
    length = span_m(given, int(line.instrument[index]))
    on_batten = "" if length is None else f"{number(abs(tangent) * length * MILLIMETRES, 1)} mm on the batten or "
    return f"{on_batten}{number(abs(tangent) / abs(line.fit.slope), 2)} t·m"


def _by_heeled(given: CheckInput, line: MomentLine) -> str:
    heeled = given.outcome.heeled
    if heeled is None:
        return ""
    left = float(np.abs(heeled.residuals[0]).max()) / line.full_scale * PERCENT
    return f" On the heeled hull form the largest is {number(left, 2)} %."


def stiffer_side(given: CheckInput) -> str | None:
    """Name the side whose GM is larger by more than the rule allows.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    str or None
        ``starboard`` or ``port``; None where the sides agree or cannot be compared.
    """
    line = moment_line(given)
    if line is None or _sides(given, line).status != "warn":
        return None
    slopes = side_slopes(line.moments_t_m, line.tangents, line.instrument, line.state, line.fixed)
    return side_name(slopes.difference_relative or 0.0)


def _sides(given: CheckInput, line: MomentLine) -> Check:
    rule = given.rule("C-07")
    limit = rule["sides_percent"]
    slopes = side_slopes(line.moments_t_m, line.tangents, line.instrument, line.state, line.fixed)
    if slopes.difference_relative is None or slopes.positive is None or slopes.negative is None:
        return unassessed(rule, "Only one side of the test has a slope of its own.", aspect="-sides")
    value = abs(slopes.difference_relative) * PERCENT
    starboard, port = (1.0 / (slope * given.displacement_t) for slope in (slopes.positive, slopes.negative))
    text = (
        f"GM from the states to starboard is {number(starboard, 4)} m, from those to port {number(port, 4)} m: "
        f"{number(value, 2, limit)} % apart; {figure(limit)} % is allowed."
    )
    return judged(rule, at_most(value, limit), text, value, limit, aspect="-sides")


def _instruments(given: CheckInput, line: MomentLine) -> Check:
    rule = given.rule("C-07")
    limit = rule["instrument_percent"]
    if len(set(line.instrument.tolist())) < 2:
        return unassessed(rule, "Only one instrument was read, so nothing checks it.", aspect="-instruments")
    try:
        own = lines_by_group(line.moments_t_m, line.tangents, line.instrument, line.fixed)
    except CoreError:
        return unassessed(rule, "An instrument has too few readings for a line of its own.", aspect="-instruments")
    off = {given.record.instruments[i].id: line.fit.slope / fit.slope - 1.0 for i, fit in own.items()}
    worst = max(off, key=lambda name: abs(off[name]))
    value = abs(off[worst]) * PERCENT
    heights = {name: (1.0 + share) * _gm_m(given, line) for name, share in off.items()}
    told = ", ".join(f"{name} {number(gm, 4)} m" for name, gm in heights.items())
    text = (
        f"GM by instrument: {told}; {worst} is furthest from the common GM, {number(value, 2, limit)} % "
        f"{'above' if off[worst] > 0.0 else 'below'} it; {figure(limit)} % is allowed."
    )
    return judged(rule, at_most(value, limit), text, value, limit, aspect="-instruments")


def _gm_m(given: CheckInput, line: MomentLine) -> float:
    return 1.0 / (line.fit.slope * given.displacement_t)


def _zero(given: CheckInput, line: MomentLine) -> Check:
    rule = given.rule("C-07")
    limit = rule["zero_return_mm"]
    drifts = zero_drift(line.moments_t_m, line.tangents, line.instrument, line.state)
    spans = {drift.group: span_m(given, drift.group) for drift in drifts}
    known = [(drift, length) for drift in drifts if (length := spans[drift.group]) is not None]
    if not known:
        why = "No instrument with a length was read again with the weights in their first places."
        return unassessed(rule, why, aspect="-zero")
    worst, length = max(known, key=lambda pair: abs(pair[0].largest_departure) * pair[1])
    away = worst.largest_departure
    value = abs(away) * length * MILLIMETRES
    name = given.record.instruments[worst.group].id
    text = (
        f"{name} came back {number(value, 1, limit)} mm off its first zero on the batten "
        f"({number(abs(away) / abs(line.fit.slope), 2)} t·m, to {'starboard' if away > 0.0 else 'port'}), the most "
        f"of all; {figure(limit)} mm is allowed."
    )
    return judged(rule, at_most(value, limit), text, value, limit, aspect="-zero")


def _r_squared(given: CheckInput, line: MomentLine) -> Check:
    rule = given.rule("C-04")
    value = line.fit.r_squared
    text = (
        f"R² of the pooled line is {value:.6f}. It is printed and judges nothing: a steady moment on one side that "
        "puts GM wrong by 4.2 % leaves it at 0.9991."
    )
    return Check("C-07-r-squared", text, "pass", value, None, rule.cited_source)


_PARTS: dict[str, Callable[[CheckInput, MomentLine], Check]] = {
    "-residual": _residual,
    "-sides": _sides,
    "-instruments": _instruments,
    "-zero": _zero,
}
