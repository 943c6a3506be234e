"""What a pattern of the readings means, and what to do about it in order of time cost."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import MomentLine, moment_line, state_number
from heelwright_service.core.checks.outliers import outlier
from heelwright_service.core.checks.patterns import Pattern, patterns
from heelwright_service.core.checks.verdicts import Caution, Side, at_most, judged, unassessed
from heelwright_service.core.checks.words import figure, listed, number
from heelwright_service.core.results import Check

PERCENT = 100.0
HEELED_EXPLAINS_SHARE = 0.5
"""The hull form explains a bend when it leaves less than this share of the largest residual (office default)."""

SHAPES = {
    "bend": "a bend alike to both sides",
    "starboard-stiffness": "one side stiffer than the other",
    "starboard-step": "a step to starboard",
    "port-step": "a step to port",
    "hysteresis": "a difference between going and coming back",
    "drift": "a drift from state to state",
}


def checks(given: CheckInput) -> list[Check]:
    """Judge whether the readings show a pattern.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Check
        C-05; none for a survey.
    """
    if given.is_survey:
        return []
    rule = given.rule("C-05")
    line = moment_line(given)
    found = [] if line is None else patterns(given, line)
    if not found:
        return [unassessed(rule, "The readings are too few to show a pattern.")]
    shown = telling_pattern(given, found)
    pattern = shown or max(found, key=lambda each: abs(each.departure))
    value, limit = abs(pattern.departure) * PERCENT, rule["maximum_percent_of_full_scale"]
    chance = rule["significance_percent"]
    likely = pattern.probability * PERCENT
    odds = f"{number(likely, 2, chance)} %" if likely >= 0.01 else "less than 0.01 %"
    text = (
        f"The {'telling' if shown else 'largest'} pattern is {SHAPES[pattern.name]}, {number(value, 2, limit)} % of "
        f"the full-scale tangent, with a probability of {odds} to be chance; a pattern is told from {figure(limit)} "
        f"% and below {figure(chance)} %."
    )
    return [judged(rule, shown is None, text, value, limit)]


def cautions(given: CheckInput) -> list[Caution]:
    """Name the cause to suspect and the next action.

    Parameters
    ----------
    given : CheckInput
        The reduction.

    Returns
    -------
    list of Caution
        One for a telling pattern; none where a single reading stands out instead, which has its own.
    """
    line = moment_line(given)
    if line is None or outlier(given, line) is not None:
        return []
    pattern = telling_pattern(given, patterns(given, line))
    if pattern is None:
        return []
    text, side = _hint(given, line, pattern)
    return [Caution(f"the readings show {SHAPES[pattern.name]}. {text} {_instruments_say(given, pattern)}", side)]


def telling_pattern(given: CheckInput, found: list[Pattern]) -> Pattern | None:
    """The pattern least likely to be chance among those that matter.

    Parameters
    ----------
    given : CheckInput
        The reduction.
    found : list of Pattern
        Patterns, the least likely to be chance first.

    Returns
    -------
    Pattern or None
        None where all are small or may be chance.
    """
    rule = given.rule("C-05")
    matters = [
        pattern
        for pattern in found
        if not at_most(abs(pattern.departure) * PERCENT, rule["maximum_percent_of_full_scale"])
        and pattern.probability * PERCENT < rule["significance_percent"]
    ]
    return matters[0] if matters else None


def _hint(given: CheckInput, line: MomentLine, pattern: Pattern) -> tuple[str, Side | None]:
    largest = {sign: _largest_state(given, sign) for sign in (1.0, -1.0)}
    if pattern.name == "bend":
        return _bend(given, line, pattern, largest[1.0])
    if pattern.name == "starboard-stiffness":
        weak = pattern.departure < 0.0
        stiff = "starboard" if weak else "port"
        return (
            f"The {stiff} side heels less for its moment: a line, fender or the bottom holds her there, or the other "
            "side was helped by wind or people. Next: look at every line and the gangway; sound the depth on the "
            f"{stiff} side; then repeat state {largest[1.0 if weak else -1.0]}.",
            "unsafe",
        )
    if pattern.name in ("starboard-step", "port-step"):
        sign = 1.0 if pattern.name == "starboard-step" else -1.0
        return (
            "A moment came and went with that side: wind, a line, a crane or people moved. Wind that blew all the "
            "time would only shift the zero. Next: ask for wind and lines in those states; see that crane hook and "
            f"people stood at their reading places; then repeat state {largest[sign]} and a zero.",
            None,
        )
    if pattern.name == "hysteresis":
        return (
            "She, or an instrument, does not come back on her own path: slack that takes up, thick liquid, a wire "
            "that drags. Next: look at wires and troughs, then the lines; wait longer before reading; then repeat "
            "the last zero.",
            None,
        )
    return (
        "The zero wanders with time: liquid creeping through an open valve, pumping, tide on the lines, rising wind, "
        "an inclinometer warming up. Next: check lines and depth; ask whether any pump or valve moved and sound the "
        f"last tank pair again; then repeat state {state_number(given, 0)}.",
        None,
    )


def _bend(given: CheckInput, line: MomentLine, pattern: Pattern, state: int) -> tuple[str, Side | None]:
    heeled = given.outcome.heeled
    if heeled is not None:
        left = float(np.abs(heeled.residuals[0]).max())
        if left < HEELED_EXPLAINS_SHARE * float(np.abs(line.fit.residuals).max()):
            return (
                "The hull form explains it (flare, chine, tumblehome or a flat of side near the waterline): on the "
                f"heeled hull the largest residual is {number(left / line.full_scale * PERCENT, 2)} % of full scale. "
                "Next: nothing on board; read the heeled-equilibrium result.",
                None,
            )
    if pattern.departure > 0.0:
        return (
            "She heels more than in proportion: free liquid that nobody counted, or a deck edge or chine going "
            "under. Next: check lines and depth; look into bilges and the tanks said to be empty; sound the last "
            f"tank pair; then repeat state {state}.",
            "safe",
        )
    return (
        "She heels less than in proportion: lines or fenders coming tight, the bottom touching, or flare going "
        "under. Next: slack every line and look at the gangway; sound the depth on both sides; then repeat state "
        f"{state}.",
        "unsafe",
    )


def _largest_state(given: CheckInput, sign: float) -> int:
    return state_number(given, int(np.argmax(sign * given.state_moments_t_m)))


def _instruments_say(given: CheckInput, pattern: Pattern) -> str:
    """Whether all instruments show it, as a true moment does, or only some."""
    if len(pattern.by_instrument) < 2:
        return "No second instrument says whether it is the ship or the instrument."
    least = 0.5 * abs(pattern.departure)
    names = {i: given.record.instruments[i].id for i in pattern.by_instrument}
    with_it = [names[i] for i, size in pattern.by_instrument.items() if size * np.sign(pattern.departure) >= least]
    if len(with_it) == len(names):
        return f"{listed(with_it)} all show it, as they would if it is the ship herself."
    if len(with_it) == 1:
        return f"Only {with_it[0]} shows it clearly: look at that instrument and its reader first."
    return f"{listed(with_it)} show it most." if with_it else "No instrument by itself shows it clearly."
