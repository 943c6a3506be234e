"""Looking up the rules of planning, conduct and reduction by identifier and rule set."""

from __future__ import annotations

from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules.conduct_data import PROFILES, RULES
from heelwright_service.core.rules.conduct_definitions import TestRule
from heelwright_service.core.rules.library import rule_set as find_rule_set


def get(rule_id: str, rule_set: str | None = None) -> TestRule:
    """Return a rule of planning, conduct or reduction.

    Parameters
    ----------
    rule_id : str
        Identifier such as ``W-01``.
    rule_set : str, optional
        Rule set whose figures are meant; some differ from the general ones (``class-10cm``, ``fishing-24m``,
        ``france-cargo-500``).

    Returns
    -------
    TestRule
        The rule.

    Raises
    ------
    CoreError
        ``unknown-rule`` or ``unknown-rule-set``.

    Examples
    --------
    >>> get("H-04")["minimum_deflection_mm"], get("H-04", "class-10cm")["minimum_deflection_mm"]
    (150.0, 100.0)
    """
    changed = PROFILES.get(find_rule_set(rule_set).id, {}) if rule_set else {}
    if rule_id in changed:
        return changed[rule_id]
    if rule_id not in RULES:
        raise CoreError("unknown-rule", f"'{rule_id}' is no rule of planning, conduct or reduction.", "")
    return RULES[rule_id]
