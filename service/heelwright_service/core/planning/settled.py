"""Water and draught that make a displacement agree with the hull or the table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules import conduct_rule

SEA_WATER_T_PER_M3 = 1.025
LARGEST_MISMATCH = 0.1


@dataclass(frozen=True)
class Settled:
    """Draught [m] and density of the water [t/m³] that go with a displacement, and what was assumed."""

    draught_m: float
    density_t_per_m3: float
    text: str


def settle(
    displacement_t: float,
    draught_m: float,
    volume_m3: Callable[[float], float],
    draughts_m: tuple[float, float],
) -> Settled:
    """Take the water in which the displacement floats at the draught, or sea water where that is none.

    Parameters
    ----------
    displacement_t, draught_m : float
        Without the weights [t], [m].
    volume_m3 : callable
        Volume at a draught on an even keel [m³].
    draughts_m : tuple of float
        Least and largest draught to look at [m].

    Returns
    -------
    Settled
        Water of a likely density at the stated draught; else sea water at the draught of the displacement.

    Raises
    ------
    CoreError
        ``draught-mismatch`` where volume and displacement differ by more than a tenth.

    Examples
    --------
    >>> found = settle(1230.0, 2.0, lambda draught: 600.0 * draught, (0.0, 5.0))
    >>> found.draught_m, found.density_t_per_m3
    (2.0, 1.025)
    """
    rule = conduct_rule("R-17")
    volume = volume_m3(draught_m)
    if volume <= 0.0 or abs(displacement_t / (volume * SEA_WATER_T_PER_M3) - 1.0) > LARGEST_MISMATCH:
        raise CoreError(
            "draught-mismatch",
            f"The hull displaces {volume * SEA_WATER_T_PER_M3:.0f} t of sea water at {draught_m:g} m, not "
            f"{displacement_t:g} t; check draught_m, displacement_t and the hull.",
            "/draught_m",
        )
    density = displacement_t / volume
    level = "The ship is taken to float on an even keel without the weights."
    if rule["minimum_t_per_m3"] <= density <= rule["maximum_t_per_m3"]:
        text = f"Water of {density:.4f} t/m³ is taken, which makes displacement and draught agree. {level}"
        return Settled(draught_m, density, text)
    low, high = draughts_m
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = volume_m3(middle) * SEA_WATER_T_PER_M3 > displacement_t
        low, high = (low, middle) if above else (middle, high)
    text = (
        f"At a draught of {draught_m:g} m the hull does not displace {displacement_t:g} t in any likely water; the "
        f"displacement is kept, in sea water of {SEA_WATER_T_PER_M3} t/m³ at a draught of {high:.3f} m. {level}"
    )
    return Settled(high, SEA_WATER_T_PER_M3, text)
