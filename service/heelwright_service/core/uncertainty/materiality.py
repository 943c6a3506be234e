"""Materiality: below which mass times distance an item of the survey need not be listed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heelwright_service.core.errors import CoreError

WIDENING_ALLOWED = 0.05
"""What all unlisted items together may widen the uncertainty of VCG by (office default)."""

UNLISTED_ITEMS = 50
"""How many items are assumed to stay unlisted (office default)."""


@dataclass(frozen=True)
class Materiality:
    """Limits below which an item need not be listed, and what the unlisted remainder brings to the budget.

    Parameters
    ----------
    item_moment_t_m : float
        Mass times height above or below the lightship's VCG [t·m].
    item_mass_t : float or None
        Mass at the lightship's own VCG, where it moves the mass alone [t]; None without a target for the mass.
    lump_standard_m : float
        Standard uncertainty of VCG that the unlisted items together bring [m].
    unlisted_moment_t_m, unlisted_mass_t : float, float or None
        The same as standard uncertainties of moment [t·m] and mass [t], to be stated in the record's uncertainties so
        that they stay in the budget.
    sentence : str
        The rule for people.
    """

    item_moment_t_m: float
    item_mass_t: float | None
    lump_standard_m: float
    unlisted_moment_t_m: float
    unlisted_mass_t: float | None
    sentence: str


def materiality(
    target_vcg_standard_m: float,
    target_mass_standard_t: float | None,
    lightship_mass_t: float,
    unlisted_items: int = UNLISTED_ITEMS,
) -> Materiality:
    """Find the size below which survey items do not matter.

    Parameters
    ----------
    target_vcg_standard_m : float
        Standard uncertainty of VCG that the test aims at [m].
    target_mass_standard_t : float or None
        Standard uncertainty of the mass that it aims at [t].
    lightship_mass_t : float
        Lightship mass [t].
    unlisted_items : int
        How many items are thought to stay unlisted.

    Returns
    -------
    Materiality
        The limits.

    Raises
    ------
    CoreError
        ``materiality-target`` when a target, the mass or the number is not positive.

    Notes
    -----
    An unlisted item of moment m moves VCG by m/W. With n of them, each anywhere up to the limit L to either side
    (rectangular), they bring u = L·√(n/3)/W; together they may widen the target by 5 %, so u = 0.32·target.
    (JCGM 100:2008, 4.3.7 for the rectangular distribution; the shares are office defaults.)

    Examples
    --------
    >>> limits = materiality(0.02, 5.0, 1200.0)
    >>> round(limits.item_moment_t_m, 2), round(limits.item_mass_t or 0.0, 2)
    (1.88, 0.39)
    """
    given = (target_vcg_standard_m, lightship_mass_t, unlisted_items, target_mass_standard_t)
    if any(value is not None and not value > 0 for value in given):
        raise CoreError("materiality-target", "Targets, lightship mass and the number of items must be positive.", "")
    share = float(np.sqrt((1.0 + WIDENING_ALLOWED) ** 2 - 1.0))
    one_of_many = float(np.sqrt(3.0 / unlisted_items))
    lump = share * target_vcg_standard_m
    moment = lump * lightship_mass_t * one_of_many
    lump_mass = None if target_mass_standard_t is None else share * target_mass_standard_t
    mass = None if lump_mass is None else lump_mass * one_of_many
    both = "" if mass is None else f" and its mass below {mass:.2g} t"
    sentence = (
        f"An item need not be listed by itself when its mass times its height from the VCG is below {moment:.2g} t·m"
        f"{both}; up to {unlisted_items} such items together widen the interval by 5 %."
    )
    return Materiality(moment, mass, lump, lump * lightship_mass_t, lump_mass, sentence)
