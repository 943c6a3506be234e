"""A drift in sentences: what to do, by when, and why, with the figures behind it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from heelwright_client.drift_points import COVERAGE
from heelwright_client.units import Dimension
from heelwright_client.web.wording import Say, day

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
_URGENT = ("re-incline", "survey")


@dataclass(frozen=True)
class Finding:
    """One verdict with where it comes from: a lightship's date and basis, or the log."""

    verdict: Mapping[str, Any]
    evidence: str
    date: str | None

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
        None where no rule could be judged.
    """
    found = findings(drift)
    calling = [each for each in found if each.verdict["consequence"] == action]
    return max(calling or found, key=lambda each: each.verdict["probability_exceeded"], default=None)


def deed(name: str, action: str | None) -> str:
    """Say what to do with a vessel.

    Parameters
    ----------
    name : str
        Her name.
    action : str or None
        The service's word for it; None where it could not be told.

    Returns
    -------
    str
        The beginning of a sentence.

    Examples
    --------
    >>> deed("Gannet Rock", "re-incline")
    'Incline the Gannet Rock again'
    """
    return DEEDS.get(action or "", "Complete the history of the {}").format(name)


def chance(probability: float) -> str:
    """Write a probability without pretending to certainty.

    Parameters
    ----------
    probability : float
        Between 0 and 1.

    Returns
    -------
    str
        In per cent.

    Examples
    --------
    >>> chance(0.999)
    'over 99\xa0% chance'
    """
    if probability > 0.99:
        return "over 99\u00a0% chance"
    if probability < 0.01:
        return "under 1\u00a0% chance"
    return f"{100 * probability:.0f}\u00a0% chance"


def reason(finding: Finding, say: Say) -> str:
    """Say why, with the chance and the limit.

    Parameters
    ----------
    finding : Finding
        The deciding verdict.
    say : Say
        The visitor's words.

    Returns
    -------
    str
        The rest of the sentence.
    """
    verdict = finding.verdict
    what = QUANTITY_WORDS.get(verdict["quantity"], verdict["quantity"])
    limit = f"{limit_words(verdict, say)} ({verdict['limit_text']})"
    return f"{chance(verdict['probability_exceeded'])} that her {what} has passed the limit of {limit}"


def moved(verdict: Mapping[str, Any], half: float, say: Say) -> str:
    """Write how far a quantity has moved.

    Parameters
    ----------
    verdict : Mapping
        With quantity and value.
    half : float
        Half the width of its 95 % interval.
    say : Say
        The visitor's words.

    Returns
    -------
    str
        Such as ``17.1 t heavier``.
    """
    name = verdict["quantity"]
    if name in _SIGNED:
        return say.change(name, verdict["value"], half)
    return say.value(verdict["value"], dimension_of(name), half)


def limit_words(verdict: Mapping[str, Any], say: Say) -> str:
    """Write a limit with its unit.

    Parameters
    ----------
    verdict : Mapping
        With quantity and limit.
    say : Say
        The visitor's words.

    Returns
    -------
    str
        Such as ``7.0 t``.
    """
    return say.value(verdict["limit"], dimension_of(verdict["quantity"]))


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
    what = BASIS_WORDS.get(due["due"], due["due"])
    return f"{what} was due by {day(due['date'])}" if due["overdue"] else f"{what} due by {day(due['date'])}"


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


def _measured(drift: Mapping[str, Any]) -> Iterator[Finding]:
    for item in drift["items"]:
        evidence = f"{BASIS_WORDS.get(item['basis'], item['basis'])} of {day(item['date'])}"
        for verdict in item["verdicts"]:
            yield Finding(verdict, evidence, item["date"])


def _logged(drift: Mapping[str, Any]) -> Iterator[Finding]:
    for verdict in (drift.get("logged") or {}).get("verdicts") or ():
        yield Finding(verdict, "logged alterations", None)


def _gravity(each: Finding) -> tuple[bool, float]:
    return each.verdict["regulatory"] != "fail", -float(each.verdict["probability_exceeded"] or 0.0)
