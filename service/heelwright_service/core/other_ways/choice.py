"""When inclining is a poor instrument for KG, and how large its uncertainty would be."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..errors import CoreError


@dataclass(frozen=True)
class InstrumentChoice:
    """Whether inclining is worth it: the rule's answer and the measured one, in words too."""

    calculation_allowed: bool
    better: str
    kg_uncertainty_inclining_m: float
    kg_uncertainty_other_m: float
    reason: str


def kg_uncertainty_of_inclining_m(
    gm_m: float,
    displacement_relative: float,
    slope_relative: float,
    km_m: float,
    free_surface_m: float = 0.0,
) -> tuple[float, float]:
    """Return the standard uncertainties of GM and KG that an inclining test would have.

    Parameters
    ----------
    gm_m : float
        Expected GM [m].
    displacement_relative : float
        Relative standard uncertainty of the displacement [-].
    slope_relative : float
        Relative standard uncertainty of the slope of tangent on moment, weights and lengths included [-].
    km_m : float
        Standard uncertainty of KM [m].
    free_surface_m : float
        Standard uncertainty of the free surface correction [m].

    Returns
    -------
    tuple of float
        `u(GM) = GM·√(u_Δ² + u_b²)` and `u(KG) = √(u(GM)² + u(KM)² + u(FSC)²)` [m].

    Notes
    -----
    JCGM 100:2008, 5.1.2, the inputs taken as independent; the draught enters both Δ and KM, which a full budget
    follows and this estimate does not.

    Examples
    --------
    >>> gm, kg = kg_uncertainty_of_inclining_m(0.95, 0.004, 0.003, 0.005, 0.003)
    >>> round(1000 * gm, 3), round(1000 * kg, 3)
    (4.75, 7.521)
    """
    of_gm = gm_m * math.hypot(displacement_relative, slope_relative)
    return of_gm, math.hypot(of_gm, km_m, free_surface_m)


def compare_instruments(
    kg_m: float, gm_m: float, kg_uncertainty_inclining_m: float, kg_uncertainty_other_m: float
) -> InstrumentChoice:
    """Say whether another way to KG beats an inclining test.

    Parameters
    ----------
    kg_m : float
        Estimated KG [m].
    gm_m : float
        Estimated transverse GM [m].
    kg_uncertainty_inclining_m : float
        Standard uncertainty of KG that the test would have, such as from `kg_uncertainty_of_inclining_m` [m].
    kg_uncertainty_other_m : float
        Standard uncertainty of KG weighed, calculated or inclined in air [m].

    Returns
    -------
    InstrumentChoice
        Whether the rule opens the way to a calculated KG, and which way knows KG better.

    Raises
    ------
    CoreError
        ``not-positive`` for a height or an uncertainty.

    Notes
    -----
    2000 HSC Code 2.7.2: KG may be calculated where it is less than one third of GM (equal is not less), with the
    displacement then within 2 % and the LCG within 1 % of the length of the estimate. For other craft it is advice:
    a small part of a large GM is a large part of KG.

    Examples
    --------
    >>> choice = compare_instruments(2.00, 6.50, 0.060, 0.040)
    >>> choice.calculation_allowed, choice.better
    (True, 'other')
    """
    for name, value in (
        ("kg_m", kg_m),
        ("gm_m", gm_m),
        ("kg_uncertainty_inclining_m", kg_uncertainty_inclining_m),
        ("kg_uncertainty_other_m", kg_uncertainty_other_m),
    ):
        if not value > 0.0:
            raise CoreError("not-positive", f"{name} is {value}; it must be above zero.", f"/{name}")
    other_wins = kg_uncertainty_other_m < kg_uncertainty_inclining_m
    ratio = kg_m / gm_m
    reason = (
        f"KG is {ratio:.2f} of GM; inclining would know it to {1000 * kg_uncertainty_inclining_m:.0f} mm, "
        f"the other way to {1000 * kg_uncertainty_other_m:.0f} mm (standard uncertainties)."
    )
    return InstrumentChoice(
        calculation_allowed=3.0 * kg_m < gm_m * (1.0 - 1e-9),
        better="other" if other_wins else "inclining",
        kg_uncertainty_inclining_m=kg_uncertainty_inclining_m,
        kg_uncertainty_other_m=kg_uncertainty_other_m,
        reason=reason,
    )
