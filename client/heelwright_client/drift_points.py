"""What a picture of a drift shows, read from the service's answer: changes over the years, limits, verdicts."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

COVERAGE = 1.96
"""Half width of a 95 % interval in standard deviations of a normal distribution."""

_MEASURED = ("exceeded", "undecided", "within")


@dataclass(frozen=True)
class Change:
    """A change against the baseline on a date: decimal year, value and half width of its 95 % interval, in SI."""

    year: float
    value: float
    half_width: float
    basis: str


def decimal_year(date: str) -> float:
    """Turn a date into a decimal year.

    Parameters
    ----------
    date : str
        ISO 8601, the day at least.

    Returns
    -------
    float
        Such as 2026.5.

    Examples
    --------
    >>> decimal_year("2026-01-01")
    2026.0
    """
    day = datetime.date.fromisoformat(date[:10])
    first = datetime.date(day.year, 1, 1)
    return day.year + (day - first).days / (datetime.date(day.year + 1, 1, 1) - first).days


def changes(drift: Mapping[str, Any], quantity: str) -> list[Change]:
    """Collect the changes of one quantity, the baseline first.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.
    quantity : str
        ``mass_t``, ``lcg_m``, ``tcg_m`` or ``vcg_m``.

    Returns
    -------
    list of Change
        By date; what was not measured is left out.
    """
    found = []
    baseline = drift.get("baseline")
    if baseline:
        found.append(Change(decimal_year(baseline["date"]), 0.0, 0.0, "baseline"))
    for item in drift["items"]:
        delta = (item.get("delta") or {}).get(quantity)
        if delta is not None:
            half = COVERAGE * (delta.get("standard") or 0.0)
            found.append(Change(decimal_year(item["date"]), delta["value"], half, item["basis"]))
    return sorted(found, key=lambda change: change.year)


def verdicts(drift: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Collect the verdicts on the newest evidence, the gravest first.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.

    Returns
    -------
    list of Mapping
        Failed before undecided before within; of equal ones, the likelier to be exceeded first.
    """
    judged = [item for item in drift["items"] if item.get("verdicts")]
    newest = max(judged, key=lambda item: str(item["date"]))["verdicts"] if judged else []
    return sorted(newest, key=_gravity)


def limits(drift: Mapping[str, Any], quantity: str) -> list[float]:
    """Collect the limits of a quantity.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.
    quantity : str
        Such as ``mass_t``.

    Returns
    -------
    list of float
        Without repeats, smallest first.
    """
    return sorted({float(v["limit"]) for v in verdicts(drift) if v["quantity"] == quantity and v["limit"]})


def any_limit_passed(drift: Mapping[str, Any]) -> bool:
    """Tell whether any evidence since the baseline, or the log, has failed a rule.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.

    Returns
    -------
    bool
        True when a rule says fail, whatever the uncertainty; a later survey does not undo it, a new baseline does.
    """
    return any(verdict["regulatory"] == "fail" for verdict in all_verdicts(drift))


def all_verdicts(drift: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Collect the verdicts on all evidence since the baseline and on the log, the gravest first.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.

    Returns
    -------
    list of Mapping
        In the order of `verdicts`.
    """
    found = [verdict for item in drift["items"] for verdict in item.get("verdicts") or []]
    return sorted([*found, *logged_verdicts(drift)], key=_gravity)


def logged_verdicts(drift: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Collect the verdicts on the logged alterations, the gravest first.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.

    Returns
    -------
    list of Mapping
        Empty where nothing is logged.
    """
    return sorted((drift.get("logged") or {}).get("verdicts") or [], key=_gravity)


def _gravity(verdict: Mapping[str, Any]) -> tuple[bool, int, float]:
    measured = _MEASURED.index(verdict["measured"]) if verdict["measured"] in _MEASURED else len(_MEASURED)
    return verdict["regulatory"] != "fail", measured, -float(verdict.get("probability_exceeded") or 0.0)


def worst_share(found: Sequence[Mapping[str, Any]]) -> float:
    """Return the largest change as a part of its limit.

    Parameters
    ----------
    found : sequence of Mapping
        Verdicts.

    Returns
    -------
    float
        1 at a limit; 0 where there is no limit.
    """
    return max((abs(v["value"]) / v["limit"] for v in found if v["limit"]), default=0.0)
