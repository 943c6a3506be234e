"""From verdicts to the action that is due: re-incline, survey, amend, adopt or record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from heelwright_service.core.drift.answer import Estimate
from heelwright_service.core.drift.request import Basis
from heelwright_service.core.rules import (
    Action,
    Baseline,
    Deviation,
    DeviationRule,
    Quantity,
    RuleSet,
    RuleVessel,
    Stage,
    Verdict,
    evaluate,
    rules_for,
)

SEVERITY: Mapping[Action, int] = {"none": 0, "record": 1, "adopt": 2, "amend": 3, "survey": 4, "re-incline": 5}
STAGES: Mapping[Basis, tuple[Stage, ...]] = {
    "inclining-test": ("survey", "survey-against-calculation"),
    "lightweight-survey": ("survey", "survey-against-calculation"),
    "weighed": ("survey", "survey-against-calculation"),
    "calculation": ("alterations",),
    "estimate": ("alterations",),
    "sister-ship": (),
}


@dataclass(frozen=True)
class Comparisons:
    """The changes that rules may look at: against the baseline, the first approved test, and the calculation."""

    from_baseline: Mapping[Quantity, Estimate]
    from_original: Mapping[Quantity, Estimate]
    from_calculation: Mapping[Quantity, Estimate]
    baseline: Baseline
    original: Baseline

    def for_rule(self, rule: DeviationRule, stage: Stage) -> tuple[Estimate | None, Baseline]:
        """Return the change that a rule judges, and the approved values that its limit is a share of."""
        if stage == "survey-against-calculation":
            return self.from_calculation.get(rule.quantity), self.baseline
        if rule.reference == "original":
            return self.from_original.get(rule.quantity), self.original
        return self.from_baseline.get(rule.quantity), self.baseline


@dataclass(frozen=True)
class Judgement:
    """Verdicts of one lightship, what could not be judged, and the action."""

    verdicts: Sequence[Verdict]
    not_assessed: Sequence[str]
    action: Action


def judge(stages: Sequence[Stage], compared: Comparisons, chosen: RuleSet, vessel: RuleVessel) -> Judgement:
    """Apply the rules of some stages.

    Parameters
    ----------
    stages : sequence of str
        What is judged.
    compared : Comparisons
        The changes [t, m].
    chosen : RuleSet
        The rule set.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    Judgement
        The action is the gravest consequence of a failed rule; where all are kept, what the rule set does within its
        limits; "none" where no rule could be applied.
    """
    verdicts: list[Verdict] = []
    missing: list[str] = []
    for stage in stages:
        for rule in rules_for(chosen, stage, vessel):
            change, approved = compared.for_rule(rule, stage)
            verdict = _apply(rule, change, approved, chosen, vessel)
            if verdict is None:
                missing.append(_why_not(rule, change))
            else:
                verdicts.append(verdict)
    return Judgement(verdicts, missing, _action(verdicts, stages, chosen))


def worst(actions: Sequence[Action]) -> Action:
    """Return the gravest of several actions.

    Parameters
    ----------
    actions : sequence of str
        Actions; none at all counts as "none".

    Returns
    -------
    str
        The gravest.
    """
    return max(actions, key=lambda action: SEVERITY[action], default="none")


def _apply(
    rule: DeviationRule, change: Estimate | None, approved: Baseline, chosen: RuleSet, vessel: RuleVessel
) -> Verdict | None:
    if change is None:
        return None
    deviation = Deviation(rule.quantity, change.value, change.standard)
    return evaluate(rule, deviation, approved, vessel, chosen.early_warning)


def _why_not(rule: DeviationRule, change: Estimate | None) -> str:
    if change is None:
        return f"{rule.id} on {rule.quantity} was not judged: the change is not known."
    return f"{rule.id} on {rule.quantity} was not judged: its limit, {rule.limit.words()}, needs a figure not given."


def _action(verdicts: Sequence[Verdict], stages: Sequence[Stage], chosen: RuleSet) -> Action:
    if all(verdict.advisory for verdict in verdicts):
        return "none"
    failed = [verdict.consequence for verdict in verdicts if verdict.regulatory == "fail"]
    return worst(failed) if failed else chosen.actions_within.get(stages[0], "none")
