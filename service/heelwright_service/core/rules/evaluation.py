"""The one evaluator: a rule, a deviation, a baseline and a vessel give a verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.rules.decisions import Measured, decide, passes, probability_exceeded, size
from heelwright_service.core.rules.definitions import (
    CONFIDENCE_WORDS,
    Action,
    Baseline,
    Comparison,
    Confidence,
    Deviation,
    DeviationRule,
    Direction,
    EarlyWarning,
    LengthBasis,
    Quantity,
    RuleVessel,
)
from heelwright_service.core.rules.limits import PercentByLength, PercentOfLength, length_on

Regulatory = Literal["pass", "fail"]
Colour = Literal["green", "amber", "red"]


@dataclass(frozen=True)
class Verdict:
    """One rule applied to one deviation.

    Parameters
    ----------
    rule, text : str
        Identifier of the rule and what it asks.
    quantity : str
        What was judged; its unit ends the name.
    value, standard, limit : float
        Signed deviation, its standard uncertainty and what is allowed, in the unit of the quantity.
    limit_text : str
        The limit formula in words.
    length_basis : {"L", "Ls", "LBP"} or None
        The length that the limit was computed with, where it depends on one.
    comparison : {"exceeds", "reaches"}
        Whether a deviation equal to the limit passes ("exceeds") or fails ("reaches").
    direction : {"absolute", "rise", "fall"}
        Which deviations count.
    regulatory : {"pass", "fail"}
        The measured value against the limit, regardless of its uncertainty, and of the force that the rule has:
        beyond a limit nothing reads "pass". What force a "fail" has, `advisory` says.
    measured : {"within", "exceeded", "undecided"}
        The same with the uncertainty.
    probability_exceeded : float
        Probability that the true deviation is beyond the limit.
    early_warning : {"green", "amber", "red"}
        Office thresholds, beside the regulatory verdict.
    distance_to_limit : float
        What is left before the limit, in the unit of the quantity; negative beyond it.
    consequence : str
        The action due when the limit is passed.
    advisory : bool
        True where the limit has no force of its own: its source is too weak to fail a vessel on, or it is borrowed
        from another rule set as a yardstick. Its consequence is then advice.
    source, confidence, confidence_text : str
        Public document and paragraph, and how sure we are of it.
    remark : str
        What was assumed; empty when nothing was.
    compared_with : str
        Which lightship the value is measured from; empty where the caller has but one.
    """

    rule: str
    text: str
    quantity: Quantity
    value: float
    standard: float
    limit: float
    limit_text: str
    length_basis: LengthBasis | None
    comparison: Comparison
    direction: Direction
    regulatory: Regulatory
    measured: Measured
    probability_exceeded: float
    early_warning: Colour
    distance_to_limit: float
    consequence: Action
    advisory: bool
    source: str
    confidence: Confidence
    confidence_text: str
    remark: str
    compared_with: str = ""

    @property
    def passed_limit(self) -> bool:
        """Whether the measured value is beyond the limit, advice or not."""
        return not passes(size(self.value, self.direction), self.limit, self.comparison)


def evaluate(
    rule: DeviationRule,
    deviation: Deviation,
    baseline: Baseline,
    vessel: RuleVessel,
    warning: EarlyWarning | None = None,
) -> Verdict | None:
    """Judge one deviation by one rule.

    Parameters
    ----------
    rule : DeviationRule
        The rule.
    deviation : Deviation
        Signed deviation of the rule's quantity with its standard uncertainty [t or m].
    baseline : Baseline
        The approved values [t, m].
    vessel : RuleVessel
        The vessel; only its dimensions are used here, `applies_to` answers whether the rule is for her.
    warning : EarlyWarning, optional
        Thresholds of amber and red; the office default when absent.

    Returns
    -------
    Verdict or None
        None where the rule cannot be applied: another quantity, or a figure that the limit needs is not known.

    Examples
    --------
    >>> from heelwright_service.core.rules import rule
    >>> ship = RuleVessel(kind="passenger", length_m=105.0)
    >>> verdict = evaluate(rule("D-07"), Deviation("mass_t", 80.001, 16.0), Baseline(mass_t=4000.0), ship)
    >>> verdict.limit, verdict.regulatory, verdict.measured
    (80.0, 'fail', 'undecided')
    """
    limit = rule.limit.amount(baseline, vessel)
    if limit is None or deviation.quantity != rule.quantity:
        return None
    found = size(deviation.value, rule.direction)
    kept = passes(found, limit, rule.comparison)
    chance = probability_exceeded(deviation.value, deviation.standard, limit, rule.direction, rule.comparison)
    basis, remark = _length_basis(rule, vessel)
    return Verdict(
        rule=rule.id,
        text=rule.text,
        quantity=rule.quantity,
        value=deviation.value,
        standard=deviation.standard,
        limit=limit,
        limit_text=rule.limit.words(),
        length_basis=basis,
        comparison=rule.comparison,
        direction=rule.direction,
        regulatory="pass" if kept else "fail",
        measured=decide(deviation.value, deviation.standard, limit, rule.direction, rule.comparison),
        probability_exceeded=chance,
        early_warning=early_warning(found, limit, chance, warning or EarlyWarning()),
        distance_to_limit=limit - found,
        consequence=rule.consequence,
        advisory=not rule.enforceable,
        source=rule.source,
        confidence=rule.confidence,
        confidence_text=CONFIDENCE_WORDS[rule.confidence],
        remark=remark,
    )


def early_warning(found: float, limit: float, probability: float, thresholds: EarlyWarning) -> Colour:
    """Return the office colour of a deviation.

    Parameters
    ----------
    found, limit : float
        Size of the deviation and its limit, in one unit.
    probability : float
        Probability that the true deviation is beyond the limit.
    thresholds : EarlyWarning
        When amber and red begin.

    Returns
    -------
    {"green", "amber", "red"}
        Red above the red probability; amber beyond the amber share of the limit or above the amber probability.

    Examples
    --------
    >>> early_warning(41.0, 80.0, 0.0, EarlyWarning())
    'amber'
    """
    if probability > thresholds.red_probability:
        return "red"
    beyond = not passes(found, thresholds.amber_fraction_of_limit * limit)
    return "amber" if beyond or probability > thresholds.amber_probability else "green"


_LENGTHS: dict[LengthBasis, str] = {
    "L": "the length L",
    "Ls": "the subdivision length Ls",
    "LBP": "the length between perpendiculars",
}


def _length_basis(rule: DeviationRule, vessel: RuleVessel) -> tuple[LengthBasis | None, str]:
    if not isinstance(rule.limit, PercentOfLength | PercentByLength):
        return None, ""
    used = length_on(rule.limit.basis, vessel)[1]
    if used == rule.limit.basis:
        return used, ""
    return used, f"Written with {_LENGTHS[rule.limit.basis]}, which is not given; L was used."
