"""What a pattern of the readings means, and what to do about it in order of time cost."""

from __future__ import annotations

import numpy as np

from heelwright_service.core.checks.inputs import CheckInput
from heelwright_service.core.checks.line import MomentLine, moment_line, state_number
from heelwright_service.core.checks.outliers import outlier
from heelwright_service.core.checks.patterns import Pattern, patterns
from heelwright_service.core.checks.verdicts import Caution, Side, at_most, judged, unassessed
from heelwright_service.core.hydrostatics import deck_edge_immersed
from heelwright_service.core.results import Check
from heelwright_service.core.words import figure, listed, number

PERCENT = 100.0
HEELED_EXPLAINS_SHARE = 0.5
"""The hull form explains a bend when it leaves less than this share of the largest residual (office default)."""

SHAPES = {
    "bend": "a bend alike to both sides",
    "starboard-stiffness": "one side stiffer than the other",
    "starboard-step": "a step to starboard",
    "port-step": "a step to port",
    "starboard-stop": "the largest heel to starboard out of line with the smaller ones",
    "port-stop": "the largest heel to port out of line with the smaller ones",
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
        f"The {'telling' if shown else 'largest'} pattern is {_shape(given, pattern)}, {number(value, 2, limit)} % of "
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
    if pattern.alone is not None:
        return [Caution(_one_alone(given, pattern))]
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


def _shape(given: CheckInput, pattern: Pattern) -> str:
    where = "" if pattern.alone is None else f" at {given.record.instruments[pattern.alone].id} alone"
    return f"{SHAPES[pattern.name]}{where}"


def _one_alone(given: CheckInput, pattern: Pattern) -> str:
    """The ship moves all instruments; what one shows by itself is the instrument's or its reader's."""
    assert pattern.alone is not None  # noqa: S101 - only for a pattern of one instrument
    name = given.record.instruments[pattern.alone].id
    return (
        f"{name} alone shows {SHAPES[pattern.name]}; the others do not, so it is hardly the ship. Next: look at "
        f"{name}: pivot, wire, trough, batten or tube, its zero and its reader; then read the last state again at all "
        f"stations; leave {name} out, with the reason, only if that explains it."
    )


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
    if pattern.name in ("starboard-stop", "port-stop"):
        return _stop(pattern, largest)
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


def _stop(pattern: Pattern, largest: dict[float, int]) -> tuple[str, Side | None]:
    sign = 1.0 if pattern.name == "starboard-stop" else -1.0
    side, state = ("starboard" if sign > 0.0 else "port"), largest[sign]
    if sign * pattern.departure < 0.0:
        return (
            f"She stops short at the largest heel to {side}: the bottom, a fender or a line is met there and not "
            f"before. Next: look at fenders and lines with the weights across; sound the depth on the {side} side; "
            f"then repeat state {state}, and with a smaller moment where she stops short again.",
            "unsafe",
        )
    return (
        f"She goes further than her line at the largest heel to {side}: a deck edge or chine under water, liquid that "
        "runs over a bulkhead or meets a tank's crown, or a weight off its mark. Next: measure the weights' places; "
        f"look at the deck edge and into the bilges; then repeat state {state}.",
        None,
    )


def _bend(given: CheckInput, line: MomentLine, pattern: Pattern, state: int) -> tuple[str, Side | None]:
    heeled = given.outcome.heeled
    if heeled is not None:
        left = float(np.abs(heeled.residuals[0]).max())
        if left < HEELED_EXPLAINS_SHARE * float(np.abs(line.fit.residuals).max()):
            if _deck_edge_under(given):
                return _deck_edge(left / line.full_scale * PERCENT)
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
        "She heels less than in proportion: lines or fenders coming tight, the bottom touching, flare going under, "
        "or a shallow pool of liquid that has run out to the side and can go no further. Next: slack every line and "
        "look at the gangway; sound the depth on both sides; look into bilges and tanks said to be empty; then repeat "
        f"state {state}.",
        "unsafe",
    )


def _deck_edge_under(given: CheckInput) -> bool:
    planes = given.state_planes
    return given.hull is not None and planes is not None and bool(deck_edge_immersed(given.hull, planes).any())


def _deck_edge(left_percent: float) -> tuple[str, Side | None]:
    return (
        "A deck edge goes under at the larger heels, and the hull form, closed by its deck, explains it: on the heeled "
        f"hull the largest residual is {number(left_percent, 2)} % of full scale. Next: repeat the largest states with "
        "a smaller moment that keeps the deck dry; openings in the deck and water on it are in no model.",
        None,
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
        all_of_them = "both" if len(names) == 2 else "all"
        return f"{listed(with_it)} {all_of_them} show it, as they would if it is the ship herself."
    if len(with_it) == 1:
        return f"Only {with_it[0]} shows it clearly: look at that instrument and its reader first."
    return f"{listed(with_it)} show it most." if with_it else "No instrument by itself shows it clearly."
