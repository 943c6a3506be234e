"""Which rules a piece of evidence is judged by: a survey, a calculation, the log, a sister, a prediction."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from heelwright_service.core.drift.answer import LightshipValues
from heelwright_service.core.drift.ladder import SEVERITY, STAGES, Compared, Comparisons, Judgement, judge
from heelwright_service.core.drift.request import Basis
from heelwright_service.core.rules import RuleSet, RuleVessel, rules_for

PREDICTED: frozenset[Basis] = frozenset({"calculation", "estimate"})
Sisterhood = Literal["none", "own", "lead"]
_SISTER_SOURCE = "SOLAS 1974 chapter II-1 regulation 5.1 and 5.2"


def judge_lightship(
    sisterhood: Sisterhood, compared: Comparisons, chosen: RuleSet, vessel: RuleVessel, values: LightshipValues
) -> Judgement:
    """Judge one lightship of a vessel's history.

    Parameters
    ----------
    sisterhood : {"none", "own", "lead"}
        "lead" where the lead ship's test is the baseline: sister rules alone apply. "own" where the baseline was
        approved on a sister's data and this is the first measurement since: they apply beside those of a survey.
    compared : Comparisons
        What it is held against.
    chosen : RuleSet
        The rule set.
    vessel : RuleVessel
        The vessel.
    values : LightshipValues
        The lightship.

    Returns
    -------
    Judgement
        Verdicts and action.
    """
    stages = STAGES[values.basis]
    if sisterhood == "none" or stages[0] != "survey":
        return judge(stages, compared, chosen, vessel)
    if sisterhood == "own":
        return judge((*stages, "sister"), compared, chosen, vessel)
    if not rules_for(chosen, "sister", vessel):
        return _no_sister_rule(chosen)
    return judge(("sister",), compared, chosen, vessel, within="adopt")


def judge_log(of_a_sister: bool, compared: Comparisons, chosen: RuleSet, vessel: RuleVessel) -> Judgement:
    """Judge the running total of the log.

    Parameters
    ----------
    of_a_sister : bool
        Whether the log holds the known differences from a lead ship, which by themselves may already be too large.
    compared : Comparisons
        What the log leads away from.
    chosen : RuleSet
        The rule set.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    Judgement
        Verdicts and action; known differences beyond a sister's limits call for inclining before any survey
        (MSC.429(98)/Rev.2, explanatory notes to SOLAS II-1/5.2; from memory).
    """
    if not of_a_sister:
        return judge(("alterations",), compared, chosen, vessel)
    if not rules_for(chosen, "sister", vessel):
        return _no_sister_rule(chosen)
    found = judge(("sister",), compared, chosen, vessel, within="record")
    if found.action != "re-incline":
        return found
    return replace(found, reason=f"D-05: the known differences alone pass a limit for sisters. {found.reason}")


def judge_prediction(found: Compared, chosen: RuleSet, vessel: RuleVessel) -> Judgement:
    """Judge a test against the calculation or estimate that came before it.

    Parameters
    ----------
    found : Compared
        Tested less predicted [t, m].
    chosen : RuleSet
        The rule set.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    Judgement
        Nothing where the set has no rule for predictions.
    """
    if not rules_for(chosen, "prediction", vessel):
        return Judgement()
    return judge(("prediction",), Comparisons(found, found), chosen, vessel, within="none")


def survey_on_completion(found: Judgement) -> Judgement:
    """Ask for the survey that a sister's exemption from inclining rests on.

    Parameters
    ----------
    found : Judgement
        What the known differences from her lead ship say.

    Returns
    -------
    Judgement
        The same with "survey" where nothing graver is due (SOLAS 1974 II-1/5.2).
    """
    if SEVERITY[found.action] >= SEVERITY["survey"]:
        return found
    reason = f"A sister that is not inclined is surveyed on completion in any case ({_SISTER_SOURCE})."
    return replace(found, action="survey", force="binding", reason=reason)


def _no_sister_rule(chosen: RuleSet) -> Judgement:
    """She has no test of her own, and no rule lets another ship's stand in for it."""
    others = any("sister" in each.stages for each in chosen.rules)
    kind = "this kind of vessel" if others else "any vessel"
    text = (
        f"No rule of {chosen.name} lets a lead ship's data stand in place of an inclining test for {kind}: she has to "
        f"be inclined ({_SISTER_SOURCE})."
    )
    return Judgement((), (text,), "re-incline", "binding" if others else "yardstick", text)
