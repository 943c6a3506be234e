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
_URGENT = ("re-incline", "survey")
_DECIMALS: dict[Dimension, int] = {"mass": 2, "length": 3}


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


def reason(finding: Finding, system: System = SI) -> str:
    """Say why, with the chance and the limit.

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
    verdict = finding.verdict
    limit = f"{limit_words(verdict, system)} ({verdict['limit_text']})"
    likely = chance(verdict["probability_exceeded"])
    return f"{likely} chance that her {quantity_words(verdict)} has passed the limit of {limit}"


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
            yield Finding(verdict, evidence, item["date"])


def _logged(drift: Mapping[str, Any]) -> Iterator[Finding]:
    for verdict in (drift.get("logged") or {}).get("verdicts") or ():
        yield Finding(verdict, "logged alterations", None)


def _gravity(each: Finding) -> tuple[bool, float]:
    return each.verdict["regulatory"] != "fail", -float(each.verdict["probability_exceeded"] or 0.0)
