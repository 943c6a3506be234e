"""Finding rule sets and rules by name, and the set that a vessel falls under when none is named."""

from __future__ import annotations

from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules import international, national
from heelwright_service.core.rules.applicability import applies_to, kind_of
from heelwright_service.core.rules.definitions import CalendarRule, DeviationRule, Quantity, RuleSet, RuleVessel, Stage

DEFAULT_RULE_SET = international.SOLAS_2020_SET.id
RULE_SETS: dict[str, RuleSet] = {each.id: each for each in (*international.SETS, *national.SETS)}


def rule_set(name: str | None = None, pointer: str = "/rule_set") -> RuleSet:
    """Return a rule set by its identifier.

    Parameters
    ----------
    name : str, optional
        Identifier such as ``solas-2020``, the default.
    pointer : str
        JSON Pointer to name in the error.

    Returns
    -------
    RuleSet
        The set.

    Raises
    ------
    CoreError
        ``unknown-rule-set`` with the names there are.

    Examples
    --------
    >>> rule_set().name
    'SOLAS 2020'
    """
    found = RULE_SETS.get(name or DEFAULT_RULE_SET)
    if found is None:
        raise CoreError("unknown-rule-set", f"'{name}' is no rule set; there are {', '.join(RULE_SETS)}.", pointer)
    return found


def rule(rule_id: str, name: str | None = None, quantity: Quantity | None = None) -> DeviationRule:
    """Return a deviation rule by its identifier.

    Parameters
    ----------
    rule_id : str
        Identifier such as ``D-07``.
    name : str, optional
        Rule set to look in; without it the default set and then all others.
    quantity : str, optional
        Needed where one identifier limits several quantities; without it the first is returned.

    Returns
    -------
    DeviationRule
        The rule.

    Raises
    ------
    CoreError
        ``unknown-rule`` or ``unknown-rule-set``.

    Examples
    --------
    >>> rule("D-12").limit.words()
    '1 % of approved VCG'
    """
    sets = [rule_set(name)] if name else [rule_set(), *RULE_SETS.values()]
    for each in (candidate for one in sets for candidate in one.rules):
        if each.id == rule_id and quantity in (None, each.quantity):
            return each
    raise CoreError("unknown-rule", f"'{rule_id}' is no deviation rule of {name or 'any rule set'}.", "")


def calendar_rule(rule_id: str) -> CalendarRule:
    """Return a calendar rule by its identifier.

    Parameters
    ----------
    rule_id : str
        Identifier such as ``T-05``.

    Returns
    -------
    CalendarRule
        The rule of the first rule set that has it.

    Raises
    ------
    CoreError
        ``unknown-rule``.
    """
    for each in (candidate for one in RULE_SETS.values() for candidate in one.calendar):
        if each.id == rule_id:
            return each
    raise CoreError("unknown-rule", f"'{rule_id}' is no calendar rule of any rule set.", "")


def rules_for(chosen: RuleSet, stage: Stage, vessel: RuleVessel) -> list[DeviationRule]:
    """Return the rules of a set that judge one stage of one vessel.

    Parameters
    ----------
    chosen : RuleSet
        The rule set.
    stage : str
        What is judged: a survey, calculated alterations, a survey against the calculation, a sister, a prediction.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    list of DeviationRule
        In the order of the set.
    """
    return [each for each in chosen.rules if stage in each.stages and applies_to(each.applies, vessel)]


def calendar_for(chosen: RuleSet, vessel: RuleVessel) -> list[CalendarRule]:
    """Return the due dates of a set that concern one vessel.

    Parameters
    ----------
    chosen : RuleSet
        The rule set.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    list of CalendarRule
        In the order of the set.
    """
    return [each for each in chosen.calendar if applies_to(each.applies, vessel)]


def default_rule_set(vessel: RuleVessel) -> tuple[RuleSet, str]:
    """Choose the rule set for a vessel whose request names none, and say why.

    Parameters
    ----------
    vessel : RuleVessel
        The vessel; ISO dates compare as text.

    Returns
    -------
    tuple of (RuleSet, str)
        The set and one sentence with the reason.

    Examples
    --------
    >>> default_rule_set(RuleVessel(kind="cargo", length_m=90.0, keel_laid="1998-05-04"))[0].id
    'solas-pre-2009'
    """
    if kind_of(vessel.kind) == "fishing" and vessel.length_m >= 24.0:
        return national.FISHING_24_SET, "No rule set was named; fishing vessels of 24 m and over have their own."
    why = "No rule set was named; {} by the date of keel laying. Application dates differ for some ships: name the set."
    if vessel.keel_laid is not None and vessel.keel_laid < "2009-01-01":
        return international.SOLAS_PRE_2009_SET, why.format("SOLAS before 2009 was chosen")
    if vessel.keel_laid is not None and vessel.keel_laid < "2020-01-01":
        return international.SOLAS_2009_SET, why.format("SOLAS 2009 to 2019 was chosen")
    return rule_set(), "No rule set was named; SOLAS 2020 was used as the yardstick."
