"""What logged alterations make of a lightship by calculation, step by step, for drawing beside what was measured.

Only for drawing: the service adds up the log and judges it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.drift_points import decimal_year

_AXES = {"lcg_m": "x", "tcg_m": "y", "vcg_m": "z"}


def logged_steps(
    baseline: Mapping[str, Any], alterations: Sequence[Mapping[str, Any]], quantity: str
) -> list[tuple[float, float]]:
    """Follow a quantity through the alterations logged since the baseline.

    Parameters
    ----------
    baseline : Mapping
        Date, mass [t] and centre [m] of the approved lightship.
    alterations : sequence of Mapping
        Those in force, in any order.
    quantity : str
        ``mass_t``, ``lcg_m``, ``tcg_m`` or ``vcg_m``.

    Returns
    -------
    list of (float, float)
        Decimal year and change since the baseline after each, in SI; empty where the quantity is not known. The mass is
        M + sum(m), a centre (M c + sum(m x)) / (M + sum(m)): the definition of a centre of mass.
    """
    start = baseline.get(quantity)
    if start is None:
        return []
    mass = float(baseline["mass_t"])
    moment = mass * start
    found = []
    for each in sorted(alterations, key=lambda each: str(each["date"])):
        if str(each["date"])[:10] <= str(baseline["date"])[:10]:
            continue
        gained, turned = _effect(each, _AXES.get(quantity, "x"))
        mass, moment = mass + gained, moment + turned
        value = mass - start if quantity == "mass_t" else moment / mass - start
        found.append((decimal_year(each["date"]), value))
    return found


def _effect(each: Mapping[str, Any], axis: str) -> tuple[float, float]:
    """Mass gained [t] and moment gained about the origin [t·m]."""
    mass, place = float(each["mass_t"]), float(each[f"{axis}_m"] or 0.0)
    if each["kind"] == "relocated":
        return 0.0, mass * (float(each[f"to_{axis}_m"] or 0.0) - place)
    sign = -1.0 if each["kind"] == "removed" else 1.0
    return sign * mass, sign * mass * place
