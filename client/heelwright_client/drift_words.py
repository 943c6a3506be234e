"""A drift in sentences: what to do, by when, and why, with the figures behind it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from heelwright_client.drift_points import COVERAGE
from heelwright_client.units import SI, Dimension, System
from heelwright_client.words import chance, change, day, quantity

DEEDS = {
    "re-incline": "Incline the {} again",
    "survey": "Survey the {}",
    "amend": "Amend the stability information of the {}",
    "adopt": "Adopt the surveyed mass and centre of the {}",
    "record": "Keep the record of the {} going",
    "none": "Leave the {} as she is",
}
ACTION_WORDS = {
    "re-incline": "incline again",
    "survey": "survey",
    "amend": "amend the stability information",
    "adopt": "adopt the surveyed values",
    "record": "record",
    "none": "nothing to do",
}
BASIS_WORDS = {
    "inclining-test": "inclining test",
    "lightweight-survey": "lightweight survey",
    "calculation": "calculation",
    "sister-ship": "sister ship",
    "estimate": "estimate",
    "weighed": "weighed",
}
QUANTITY_WORDS = {
    "mass_t": "mass",
    "lcg_m": "LCG",
    "tcg_m": "TCG",
    "vcg_m": "VCG",
    "aggregate_t": "aggregate of alterations",
    "gm_m": "GM",
}
_SIGNED = ("mass_t", "lcg_m", "tcg_m", "vcg_m")
_LEAST = 0.005
"""Below half a per cent a chance is not worth its words."""
_URGENT = ("re-incline", "survey")
_DECIMALS: dict[Dimension, int] = {"mass": 2, "length": 3}


@dataclass(frozen=True)
class Finding:
    """One verdict with where it comes from, a lightship's date and basis or the log, and what follows from that."""

    verdict: Mapping[str, Any]
    evidence: str
    date: str | None
    action: str | None = None

    @property
    def half(self) -> float:
        """Half the width of the 95 % interval, in the unit of the quantity."""
        return COVERAGE * float(self.verdict.get("standard") or 0.0)

    @property
    def share(self) -> float:
        """The deviation as a part of its limit, with its sign."""
        return float(self.verdict["value"]) / self.verdict["limit"] if self.verdict["limit"] else 0.0

    @property
    def half_share(self) -> float:
        """Half the width of the interval as a part of the limit."""
        return self.half / self.verdict["limit"] if self.verdict["limit"] else 0.0

    @property
    def ends(self) -> tuple[float, float]:
        """The ends of the interval of the size of the deviation, as parts of the limit."""
        return abs(self.share) - self.half_share, abs(self.share) + self.half_share

    @property
    def past(self) -> bool:
        """Whether the rule says fail."""
        return bool(self.verdict["regulatory"] == "fail")


def findings(drift: Mapping[str, Any]) -> list[Finding]:
    """Collect all verdicts of a drift, the gravest first.

    Parameters
    ----------
    drift : Mapping
        As the service gives it.

    Returns
    -------
    list of Finding
        Failed before the rest; of equal ones the likelier to be exceeded, then the newer.
    """
    found = [*_measured(drift), *_logged(drift)]
    newest_first = sorted(found, key=lambda each: each.date or "9999", reverse=True)
    return sorted(newest_first, key=_gravity)


def deciding(drift: Mapping[str, Any], action: str | None) -> Finding | None:
    """Choose the verdict that calls for an action most strongly.

    Parameters
    ----------
    drift : Mapping
        As the service gives it.
    action : str or None
        The vessel's action.

    Returns
    -------
    Finding or None
        None where no rule could be judged, or none of those that were calls for it.
    """
    found = findings(drift)
    calling = [each for each in found if each.past and each.verdict["consequence"] == action]
    leading = [each for each in found if each.action == action]
    if is_urgent(action) and not calling:
        return None
    newest = max((each.date or "" for each in leading), default="")
    latest = [each for each in leading if (each.date or "") == newest]
    return max(calling or latest or found, key=lambda each: each.verdict["probability_exceeded"], default=None)


def was_inclined(drift: Mapping[str, Any] | None) -> bool:
    """Tell whether a vessel has an approved inclining test of her own.

    Parameters
    ----------
    drift : Mapping or None
        Her drift.

    Returns
    -------
    bool
        False for a sister that goes by her lead ship's, or where nothing can be told.
    """
    return bool(drift) and ((drift or {}).get("baseline") or {}).get("basis") == "inclining-test"


def deed(name: str, action: str | None, drift: Mapping[str, Any] | None = None) -> str:
    """Say what to do with a vessel.

    Parameters
    ----------
    name : str
        Her name.
    action : str or None
        The service's word for it; None where it could not be told.
    drift : Mapping or None
        Her drift, where it tells whether she was ever inclined.

    Returns
    -------
    str
        The beginning of a sentence.

    Examples
    --------
    >>> deed("Gannet Rock", "re-incline")
    'Incline the Gannet Rock again'
    """
    if action == "re-incline" and drift and not was_inclined(drift):
        return f"Incline the {name}"
    return DEEDS.get(action or "", "Complete the history of the {}").format(name)


def reason(finding: Finding, system: System = SI) -> str:
    """Say why, with what was found, the limit, its rule and the chance of being past it.

    Parameters
    ----------
    finding : Finding
        The deciding verdict.
    system : System
        Display units.

    Returns
    -------
    str
        The rest of the sentence.
    """
    verdict, what = finding.verdict, quantity_words(finding.verdict)
    limit = f"{limit_words(verdict, system)} ({verdict['limit_text']}, {verdict['rule']})"
    likely, force = chance(verdict["probability_exceeded"]), force_words(verdict)
    if finding.past:
        return f"{likely} chance that her {what} has passed the limit of {limit}{force}"
    found = moved(verdict, system)
    told = f"by the {finding.evidence} her {what} is {found}, within the limit of {limit}{force}"
    if verdict["probability_exceeded"] >= _LEAST:
        told = f"{told}, with a {likely} chance of being past it"
    return f"{told}; within it the calculated values are used" if finding.action == "amend" else told


def force_words(verdict: Mapping[str, Any]) -> str:
    """Say what force a limit has, where it does not bind.

    Parameters
    ----------
    verdict : Mapping
        With advisory and remark.

    Returns
    -------
    str
        Empty for a rule that binds.
    """
    if not verdict.get("advisory"):
        return ""
    return ", a yardstick where her rules have none" if "yardstick" in verdict.get("remark", "") else ", which advises"


def why_not_judged_in_a_row(drift: Mapping[str, Any]) -> str:
    """Say the same as the rest of a sentence.

    Parameters
    ----------
    drift : Mapping
        As the service gives it, without verdicts.

    Returns
    -------
    str
        Without the last full stop.
    """
    told = " ".join(why_not_judged(drift)).rstrip(".")
    return told if told[1:2].isupper() else told[:1].lower() + told[1:]


def why_not_judged(drift: Mapping[str, Any]) -> list[str]:
    """Say why no rule has been applied to a vessel, and which data each waits for.

    Parameters
    ----------
    drift : Mapping
        As the service gives it, without verdicts.

    Returns
    -------
    list of str
        Sentences.
    """
    waiting = [str(text) for text in drift.get("cautions") or () if str(text).startswith("Not judged yet")]
    logged = drift.get("logged") or {}
    if drift.get("lead") and logged.get("action") in _URGENT:
        return [str(logged["action_reason"]), *waiting]
    if not drift["items"] and not logged.get("entries"):
        since = day((drift.get("baseline") or {}).get("date"))
        nothing = f"No rule is judged: nothing newer than the baseline of {since} is on record, neither a lightship nor"
        return [f"{nothing} an alteration.", *waiting]
    reasons = [str(text) for part in (*drift["items"][-1:], logged) for text in part.get("not_assessed") or ()]
    return [*dict.fromkeys(reasons), *waiting] or ["No rule could be judged."]


def quantity_words(verdict: Mapping[str, Any]) -> str:
    """Name the quantity that a verdict is about.

    Parameters
    ----------
    verdict : Mapping
        With quantity.

    Returns
    -------
    str
        Such as ``aggregate of alterations``.
    """
    return QUANTITY_WORDS.get(verdict["quantity"], str(verdict["quantity"]))


def moved(verdict: Mapping[str, Any], system: System = SI) -> str:
    """Write how far a quantity has moved.

    Parameters
    ----------
    verdict : Mapping
        With quantity, value and standard uncertainty.
    system : System
        Display units.

    Returns
    -------
    str
        Such as ``17.1 t heavier``.
    """
    name, half = verdict["quantity"], COVERAGE * float(verdict.get("standard") or 0.0)
    if name in _SIGNED:
        return change(name, verdict["value"], system, half)
    dimension = dimension_of(name)
    return quantity(
        verdict["value"], dimension, system=system, half_width=half or None, decimals=_DECIMALS.get(dimension, 2)
    )


def limit_words(verdict: Mapping[str, Any], system: System = SI) -> str:
    """Write a limit with its unit.

    Parameters
    ----------
    verdict : Mapping
        With quantity and limit.
    system : System
        Display units.

    Returns
    -------
    str
        Such as ``6.96 t``.
    """
    dimension = dimension_of(verdict["quantity"])
    return quantity(abs(verdict["limit"]), dimension, system=system, decimals=_DECIMALS.get(dimension, 2))


def dimension_of(name: str) -> Dimension:
    """Tell the dimension of a quantity by the unit at the end of its name.

    Parameters
    ----------
    name : str
        Such as ``mass_t``.

    Returns
    -------
    str
        ``mass`` or ``length``.
    """
    return "mass" if name.endswith("_t") else "length"


def due_words(due: Mapping[str, Any] | None) -> str:
    """Say what falls due and when.

    Parameters
    ----------
    due : Mapping or None
        The service's next due date.

    Returns
    -------
    str
        Such as ``lightweight survey due by 7 May 2029``; empty where nothing is due.
    """
    if not due:
        return ""
    what, pending = BASIS_WORDS.get(due["due"], due["due"]), due.get("if_approved")
    told = f"{what} was due by {day(due['date'])}" if due["overdue"] else f"{what} due by {day(due['date'])}"
    if pending:
        return f"{told}; by {day(pending['date'])} once that of {day(pending['counted_from'])} is approved"
    return told


def is_urgent(action: str | None) -> bool:
    """Tell whether a test or survey has to be made.

    Parameters
    ----------
    action : str or None
        The vessel's action.

    Returns
    -------
    bool
        False for what is only to be written down.
    """
    return action in _URGENT


def growth_words(growth: Mapping[str, Any] | None, system: System = SI) -> str:
    """Say how fast her mass grows.

    Parameters
    ----------
    growth : Mapping or None
        The service's growth rate.
    system : System
        Display units.

    Returns
    -------
    str
        A sentence; empty where there is too little evidence.
    """
    if not growth:
        return ""
    half = (growth["high_95"] - growth["low_95"]) / 2.0
    rate, low, high = (change("mass_t", growth[end], system, half) for end in ("rate_t_per_year", "low_95", "high_95"))
    return f"Each year {rate} (95 %: {low} to {high}), by {growth['points']} lightships."


def _measured(drift: Mapping[str, Any]) -> Iterator[Finding]:
    for item in drift["items"]:
        evidence = f"{BASIS_WORDS.get(item['basis'], item['basis'])} of {day(item['date'])}"
        for verdict in item["verdicts"]:
            yield Finding(verdict, evidence, item["date"], item["action"])


def _logged(drift: Mapping[str, Any]) -> Iterator[Finding]:
    logged = drift.get("logged") or {}
    for verdict in logged.get("verdicts") or ():
        yield Finding(verdict, "logged alterations", None, logged.get("action"))


def _gravity(each: Finding) -> tuple[bool, float]:
    return each.verdict["regulatory"] != "fail", -float(each.verdict["probability_exceeded"] or 0.0)
