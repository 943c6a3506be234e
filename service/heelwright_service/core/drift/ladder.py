"""From verdicts to the action that is due: re-incline, survey, amend, adopt or record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from heelwright_service.core.drift.answer import Estimate, Force
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
    rule_set,
    rules_for,
)
from heelwright_service.core.words import number

QUANTITY_WORDS: Mapping[Quantity, str] = {
    "mass_t": "mass",
    "lcg_m": "LCG",
    "tcg_m": "TCG",
    "vcg_m": "VCG",
    "aggregate_t": "the sum of alterations",
    "gm_m": "GM",
}
SEVERITY: Mapping[Action, int] = {"none": 0, "record": 1, "adopt": 2, "amend": 3, "survey": 4, "re-incline": 5}
STRENGTH: Mapping[Force, int] = {"none": 0, "yardstick": 1, "advisory": 2, "binding": 3}
MEASURED_STAGES: tuple[Stage, ...] = ("survey", "survey-against-calculation")
STAGES: Mapping[Basis, tuple[Stage, ...]] = {
    "inclining-test": MEASURED_STAGES,
    "lightweight-survey": MEASURED_STAGES,
    "weighed": MEASURED_STAGES,
    "calculation": ("alterations",),
    "estimate": ("alterations",),
    "sister-ship": ("sister",),
}
YARDSTICK: Mapping[Stage, tuple[Stage, ...]] = {
    "survey": ("survey",),
    "alterations": ("alterations",),
    "sister": ("alterations",),
}
"""By which stage of the general ladder evidence is measured where the rule set has no rule for it."""

NOT_JUDGED = "No rule was applied to it."


@dataclass(frozen=True)
class Compared:
    """One lightship held against another.

    Parameters
    ----------
    changes : mapping of str to Estimate
        New less old [t, m]; what either does not know is left out.
    approved : Baseline
        The old one's values, which limits are a share of [t, m].
    name : str
        Which the old one is.
    """

    changes: Mapping[Quantity, Estimate]
    approved: Baseline
    name: str


@dataclass(frozen=True)
class Comparisons:
    """What a lightship is held against.

    Parameters
    ----------
    baseline, original : Compared
        The last approved inclining test, and the first.
    calculation : Compared or None
        The lightship that the log leads to.
    lead : Compared or None
        The lead ship's, with the known differences of the sister.
    information : Compared or None
        The stability information approved since the baseline.
    """

    baseline: Compared
    original: Compared
    calculation: Compared | None = None
    lead: Compared | None = None
    information: Compared | None = None

    def for_rule(self, rule: DeviationRule, stage: Stage) -> list[Compared]:
        """Return what a rule compares with; of two the graver counts."""
        if stage == "survey-against-calculation":
            return [] if self.calculation is None else [self.calculation]
        if stage == "sister":
            return [self.lead or self.baseline]
        if rule.reference == "original":
            return [self.original]
        both = stage == "survey" and self.information is not None
        return [self.baseline, self.information] if both and self.information else [self.baseline]


@dataclass(frozen=True)
class Judgement:
    """Verdicts of one lightship, what could not be judged, the action, by what it is due, and why."""

    verdicts: Sequence[Verdict] = ()
    not_assessed: Sequence[str] = ()
    action: Action = "none"
    force: Force = "none"
    reason: str = NOT_JUDGED


def judge(
    stages: Sequence[Stage], compared: Comparisons, chosen: RuleSet, vessel: RuleVessel, within: Action | None = None
) -> Judgement:
    """Apply the rules of some stages.

    Parameters
    ----------
    stages : sequence of str
        What is judged; the first says what kind of evidence it is.
    compared : Comparisons
        The changes [t, m].
    chosen : RuleSet
        The rule set.
    vessel : RuleVessel
        The vessel.
    within : str, optional
        The action while every limit is kept; what the rule set says, or "record".

    Returns
    -------
    Judgement
        The action is the gravest consequence of a limit that is passed, whether its rule binds or only advises: which
        of the two, `force` says. Where the set has no rule for the evidence, the limits of the default set (SOLAS 2020)
        are the yardstick: its verdicts are advisory and say so, and no evidence is left without an action.

    Notes
    -----
    A survey is compared with the last approved inclining test, since changes add up from there (MSC.429(98)/Rev.2,
    explanatory notes to SOLAS II-1/5.4, third paragraph), and with the stability information approved since, which is
    what SOLAS 1974 II-1/5.5 names ("in comparison with the approved stability information", wording from memory). Where
    both are known, the verdict of the graver comparison is given.
    """
    kept = within or chosen.actions_within.get(stages[0], "record")
    verdicts, missing = _verdicts(stages, compared, chosen, vessel)
    if verdicts:
        return _decided(verdicts, missing, kept, "advisory")
    general = rule_set()
    borrowed, _ = _verdicts(YARDSTICK.get(stages[0], ()), compared, general, vessel)
    if not borrowed or chosen.id == general.id:
        return Judgement(verdicts, missing, kept, "yardstick", NOT_JUDGED)
    remark = f"No rule of {chosen.name} could be applied to this; the limit of {general.name} stands in as a yardstick."
    marked = [replace(each, advisory=True, remark=remark) for each in borrowed]
    return _decided(marked, missing, kept, "yardstick")


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


def _verdicts(
    stages: Sequence[Stage], compared: Comparisons, chosen: RuleSet, vessel: RuleVessel
) -> tuple[list[Verdict], list[str]]:
    """What the rules of some stages say, and what they cannot."""
    verdicts: list[Verdict] = []
    missing: list[str] = []
    for stage in stages:
        for rule in rules_for(chosen, stage, vessel):
            found = [_apply(rule, each, chosen, vessel) for each in compared.for_rule(rule, stage)]
            known = [each for each in found if each is not None]
            if known:
                verdicts.append(
                    max(known, key=lambda each: -each.distance_to_limit / each.limit if each.limit else 0.0)
                )
            else:
                missing.append(_why_not(rule, compared.for_rule(rule, stage)))
    return verdicts, missing


def _apply(rule: DeviationRule, against: Compared, chosen: RuleSet, vessel: RuleVessel) -> Verdict | None:
    change = against.changes.get(rule.quantity)
    if change is None:
        return None
    deviation = Deviation(rule.quantity, change.value, change.standard)
    found = evaluate(rule, deviation, against.approved, vessel, chosen.early_warning)
    return None if found is None else replace(found, compared_with=against.name)


def _why_not(rule: DeviationRule, against: Sequence[Compared]) -> str:
    what = f"{rule.id} on {QUANTITY_WORDS[rule.quantity]}"
    if not any(rule.quantity in each.changes for each in against):
        return f"{what} was not judged: the change is not known."
    needs = getattr(rule.limit, "needs", "a figure")
    return f"{what} was not judged: its limit, {rule.limit.words()}, needs {needs}; not given."


def _decided(verdicts: Sequence[Verdict], missing: Sequence[str], kept: Action, weak: Force) -> Judgement:
    failed = [each for each in verdicts if each.regulatory == "fail"]
    action = worst([each.consequence for each in failed]) if failed else kept
    asking = [each for each in failed if each.consequence == action] or verdicts
    binding = [each for each in asking if not each.advisory]
    force: Force = "binding" if binding else weak
    return Judgement(verdicts, missing, action, force, _reason(binding or asking, bool(failed)))


def _reason(asking: Sequence[Verdict], failed: bool) -> str:
    if not failed:
        rules = dict.fromkeys(each.rule for each in asking)
        return f"Within the limits of {', '.join(rules)}."
    told = max(asking, key=lambda each: -each.distance_to_limit / each.limit if each.limit else 0.0)
    unit, decimals = ("t", 1) if told.quantity.endswith("_t") else ("m", 3)
    changed = number(told.value, decimals, beside=told.limit)
    return (
        f"{told.rule}: {QUANTITY_WORDS[told.quantity]} has changed by {changed} {unit} from the {told.compared_with} "
        f"against a limit of {told.limit:.4g} {unit}, {told.limit_text} ({told.source})."
    )
