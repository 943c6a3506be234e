"""One way to turn a rule and a yes or no into a check."""

from __future__ import annotations

from heelwright_service.core.results import Check, Status
from heelwright_service.core.rules import conduct_rule


def judged(
    rule_id: str,
    text: str,
    ok: bool | None,
    value: float | None = None,
    limit: float | None = None,
    *,
    rule_set: str | None = None,
    side: str | None = None,
) -> Check:
    """Judge by a rule of planning or conduct.

    Parameters
    ----------
    rule_id : str
        Identifier such as ``K-02``; its source and severity are looked up.
    text : str
        One sentence with what was found.
    ok : bool or None
        The outcome; None where it cannot be assessed.
    value, limit : float, optional
        What was found and what is allowed, in the unit that the text names.
    rule_set : str, optional
        Rule set whose figures are meant.
    side : {"safe", "unsafe"}, optional
        Which way breaking the rule pushes the result.

    Returns
    -------
    Check
        Failed only by rules that may fail a test; others warn.

    Examples
    --------
    >>> judged("K-08", "Tank 'Aft peak' is planned 98.5 % full.", False).status
    'fail'
    """
    rule = conduct_rule(rule_id, rule_set)
    return Check(rule_id, text, status_of(ok, rule.may_fail), value, limit, rule.cited_source, side)


def status_of(ok: bool | None, may_fail: bool) -> Status:
    """Return the status of an outcome: not assessed, passed, failed, or a warning where the rule cannot fail."""
    if ok is None:
        return "not-assessed"
    if ok:
        return "pass"
    return "fail" if may_fail else "warn"


def not_ok(checks: list[Check]) -> list[Check]:
    """Return the checks that warn or fail, failures first."""
    return sorted((each for each in checks if each.status in ("warn", "fail")), key=lambda each: each.status != "fail")
