"""The lightship as a ledger: rows, and a sum that equals the rows as they are printed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

_MOMENTS = (("lcg_m", "moment_x_t_m"), ("tcg_m", "moment_y_t_m"), ("vcg_m", "moment_z_t_m"))
_TOLERANCE = 1e-6


@dataclass(frozen=True)
class Sum:
    """Rows and their sum: mass [t], moments [t·m], centre [m]; None where a row's is unknown."""

    rows: list[Mapping[str, Any]]
    mass_t: float
    moments_t_m: dict[str, float | None]
    centre_m: dict[str, float | None]
    agrees: bool


def add_up(rows: Sequence[Mapping[str, Any]], lightship: Mapping[str, Any]) -> Sum:
    """Add up the rows of a lightship table and compare with the lightship that the service gives.

    Parameters
    ----------
    rows : sequence of Mapping
        The lightship table, the last group being the lightship itself; deducted rows have a negative mass.
    lightship : Mapping
        ``mass_t``, ``lcg_m``, ``tcg_m``, ``vcg_m``.

    Returns
    -------
    Sum
        With `agrees` False where the sum is not the lightship.
    """
    rows = [row for row in rows if row["group"] != "lightship"]
    mass = math.fsum(row["mass_t"] for row in rows)
    moments = {centre: _total(rows, moment) for centre, moment in _MOMENTS}
    centres = {name: None if total is None or not mass else total / mass for name, total in moments.items()}
    pairs = [(mass, lightship["mass_t"]), *((centres[name], lightship.get(name)) for name, _ in _MOMENTS)]
    return Sum(rows, mass, moments, centres, all(_same(ours, theirs) for ours, theirs in pairs))


def _total(rows: Sequence[Mapping[str, Any]], name: str) -> float | None:
    found = [row.get(name) for row in rows]
    return None if any(each is None for each in found) else math.fsum(each for each in found if each is not None)


def _same(ours: float | None, theirs: float | None) -> bool:
    if ours is None or theirs is None:
        return True
    return math.isclose(ours, theirs, rel_tol=_TOLERANCE, abs_tol=_TOLERANCE)
