"""Checks of pendulums, U-tubes and inclinometers: how many, how long, how far they moved."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.verdicts import at_least, judged, unassessed
from heelwright_service.core.linefit import ZERO_RELATIVE_TOLERANCE
from heelwright_service.core.record import Instrument
from heelwright_service.core.results import Check
from heelwright_service.core.rules import TestRule
from heelwright_service.core.words import MILLIMETRES, counted, figure, listed, number


def checks(given: CheckInput) -> list[Check]:
    """Judge the instruments.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        H-01, H-04, H-05, H-06, H-10 and H-12; none for a survey.
    """
    if given.is_survey:
        return []
    return [
        _number(given),
        _deflection(given, given.rule("H-04"), "pendulum"),
        _length(given),
        _different_lengths(given),
        _beside_a_pendulum(given),
        _deflection(given, given.rule("H-12"), "u-tube"),
    ]


def read_instruments(given: CheckInput, kind: str | None = None) -> list[tuple[int, Instrument]]:
    """The instruments with readings that count, with their place in the record.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    kind : str, optional
        Only this kind.

    Returns
    -------
    list of tuple
        Index and instrument.
    """
    tangents = given.test.tangents
    if tangents is None:
        return []
    used = set(tangents.instrument_index.tolist())
    every = enumerate(given.record.instruments)
    return [(i, one) for i, one in every if i in used and kind in (None, one.kind)]


def deflections_kept(given: CheckInput) -> bool:
    """Whether every pendulum and U-tube moved as far as it is asked to.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    bool
        True when there is one, and all did.
    """
    found = [_deflection(given, given.rule("H-04"), "pendulum"), _deflection(given, given.rule("H-12"), "u-tube")]
    assessed = [check.status for check in found if check.status != "not-assessed"]
    return bool(assessed) and all(status == "pass" for status in assessed)


def _number(given: CheckInput) -> Check:
    rule, relief = given.rule("H-01"), given.rule("H-02")
    found, least, best = len(read_instruments(given)), int(rule["minimum"]), int(rule["recommended"])
    text = f"{counted(found, 'instrument')} read; at least {least} are asked, {best} recommended."
    small = given.length_m <= relief["up_to_length_m"] and found >= relief["minimum"]
    if found < least and small:
        note = f"{text} {relief.text} ({relief.source}): the authority decides."
        return Check(rule.id, note, "warn", found, least, rule.cited_source)
    return judged(rule, found >= least, text, found, least)


def _deflection(given: CheckInput, rule: TestRule, kind: str) -> Check:
    """Each way from where the instrument stands without inclining moment."""
    instruments = read_instruments(given, kind)
    if not instruments:
        return unassessed(rule, f"No {'U-tube' if kind == 'u-tube' else kind} was read.")
    limit = rule["minimum_deflection_mm"]
    each = {one.id: _ways_mm(given, i, one.length_m or 0.0) for i, one in instruments}
    worst = min(each, key=lambda name: min(each[name]))
    value = min(each[worst])
    told = "; ".join(
        f"{name} {number(right, 0, limit)} mm to starboard, {number(left, 0, limit)} mm to port"
        for name, (right, left) in each.items()
    )
    text = f"Deflections each way: {told}. At least {figure(limit)} mm each way is asked."
    return judged(rule, at_least(value, limit), text, value, limit)


def _ways_mm(given: CheckInput, index: int, length_m: float) -> tuple[float, float]:
    """Largest deflection of an instrument to starboard and to port of its place without moment [mm].

    None either way where it was read at one moment alone, which tells nothing of that place.
    """
    tangents = given.test.tangents
    assert tangents is not None  # noqa: S101 - only instruments that were read come here
    mine = tangents.instrument_index == index
    moments = given.state_moments_t_m[tangents.state_index[mine]]
    read = tangents.tangents[mine]
    close = ZERO_RELATIVE_TOLERANCE * np.abs(given.state_moments_t_m).max()
    still = np.abs(moments) <= close
    if not still.any() and np.ptp(moments) <= close:
        return 0.0, 0.0
    zero = float(read[still].mean()) if still.any() else float(np.polynomial.polynomial.polyfit(moments, read, 1)[0])
    moved = (read - zero) * length_m * MILLIMETRES
    return max(float(moved.max()), 0.0), max(float(-moved.min()), 0.0)


def _length(given: CheckInput) -> Check:
    rule = given.rule("H-05")
    pendulums = read_instruments(given, "pendulum")
    if not pendulums:
        return unassessed(rule, "No pendulum was read.")
    limit = rule["minimum_m"]
    lengths = {one.id: one.length_m or 0.0 for _, one in pendulums}
    shortest = min(lengths, key=lambda name: lengths[name])
    longest = max(lengths, key=lambda name: lengths[name])
    low, high = rule["preferred_from_m"], rule["preferred_to_m"]
    long = lengths[longest]
    note = f" {longest} has {number(long, 2)} m: a long one needs time and oil to settle." if long > high else ""
    value = lengths[shortest]
    text = (
        f"The shortest pendulum is {shortest} with {number(value, 3, limit)} m; at least {figure(limit)} m is asked, "
        f"{figure(low)} m to {figure(high)} m preferred.{note}"
    )
    return judged(rule, at_least(value, limit), text, value, limit)


def _different_lengths(given: CheckInput) -> Check:
    rule = given.rule("H-06")
    pendulums = sorted(read_instruments(given, "pendulum"), key=lambda pair: pair[1].length_m or 0.0)
    if len(pendulums) < 2:
        return unassessed(rule, "Fewer than two pendulums were read.")
    limit = given.rule("H-06-equal")["minimum_difference_m"]
    lengths = [one.length_m or 0.0 for _, one in pendulums]
    gaps = np.diff(lengths)
    nearest = int(np.argmin(gaps))
    value = float(gaps[nearest])
    names = listed([pendulums[nearest][1].id, pendulums[nearest + 1][1].id])
    text = (
        f"{names} are nearest in length, {number(value, 3, limit)} m apart; less than {figure(limit)} m "
        "counts as equal, and equal pendulums let readers copy each other."
    )
    return judged(rule, at_least(value, limit), text, value, limit)


def _beside_a_pendulum(given: CheckInput) -> Check:
    rule = given.rule("H-10")
    pendulums = len(read_instruments(given, "pendulum"))
    others = [one.id for _, one in read_instruments(given) if one.kind != "pendulum"]
    limit = int(rule["minimum_pendulums"])
    beside = f" beside {listed(others)}" if others else ""
    text = f"{counted(pendulums, 'pendulum')} read{beside}; at least {limit} is asked."
    return judged(rule, pendulums >= limit, text, pendulums, limit)
