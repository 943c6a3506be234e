"""Checks of the sequence: how many movements, how often the weights came back."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.ballast import BALANCE_SHARE
from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.linearity import is_straight
from heelwright_service.core.checks.verdicts import at_least, judged
from heelwright_service.core.linefit import ZERO_RELATIVE_TOLERANCE
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted


def checks(given: CheckInput) -> list[Check]:
    """Judge the sequence of states.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        C-01 and C-02-zeros; none for a survey.
    """
    if given.is_survey:
        return []
    return [_movements(given), _returns(given)]


def _movements(given: CheckInput) -> Check:
    rule, fewer = given.rule("C-01"), given.rule("C-02")
    found, asked = _distinct_movements(given), int(rule["movements"])
    text = f"{counted(found, 'weight movement')}; the standard test has {asked}."
    if found >= asked:
        return judged(rule, True, text, found, asked)
    least = int(fewer["straight_movements"])
    straight = is_straight(given)
    bent = "" if straight else ", which this is not"
    note = f"{text} From {least} on it is complete where the plot is straight ({fewer.source}){bent}."
    return judged(rule, found >= least and straight, note, found, asked)


def _distinct_movements(given: CheckInput) -> int:
    """Steps from state to state in which some weight or water moved."""
    moved = given.test.movements
    if moved is None:
        return 0
    weights = np.any(np.diff(moved.occupied, axis=1) != 0.0, axis=0)
    return int(np.sum(weights | np.any(np.diff(moved.water_t_m, axis=1) != 0.0, axis=0)))


def _returns(given: CheckInput) -> Check:
    rule = given.rule("C-02-zeros")
    moments = given.state_moments_t_m
    tolerance = ZERO_RELATIVE_TOLERANCE if given.test.ballast is None else BALANCE_SHARE
    still = np.abs(moments) <= tolerance * np.abs(moments).max()
    found, asked = int(still[1:].sum()), int(rule["minimum_returns"])
    text = (
        f"{counted(found, 'return')} to the first places of the weights after the initial state; at least {asked} is "
        "asked."
    )
    return judged(rule, at_least(found, asked), text, found, asked)
