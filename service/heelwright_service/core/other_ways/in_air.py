"""A small craft inclined in air: hung from a pivot of known height, tilted by a weight moved across it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import CoreError
from ..linefit import common_slope

LONGEST_LEVER_M = 1000.0
LEAST_SHARE_LEFT = 1e-6
"""What is left of the swinging mass without its gear must be more than this share of it."""


@dataclass(frozen=True)
class Swing:
    """A craft on its pivot: everything that swings, the pivot's height, the shifts and what the instruments showed.

    Moments are changes from the first state, tangents of the angle, both to starboard positive; instruments number
    each reading's instrument.
    """

    swinging_mass_t: float
    pivot_z_m: float
    moments_t_m: Sequence[float]
    tangents: Sequence[float]
    instruments: Sequence[int]


@dataclass(frozen=True)
class SwingUncertainty:
    """Standard uncertainties of a swing beside the scatter of its readings."""

    pivot_m: float = 0.003
    mass_relative: float = 0.0004
    weight_relative: float = 0.0005
    instrument_length_relative: float = 0.0005


@dataclass(frozen=True)
class Attached:
    """What swings with the craft and is not of it: weights, cradle, beam; with standard uncertainties."""

    mass_t: float
    z_m: float
    mass_standard_uncertainty_t: float = 0.0
    height_standard_uncertainty_m: float = 0.0


@dataclass(frozen=True)
class HeightInAir:
    """Height of the craft's centre with its standard uncertainty, and of all that swings."""

    vcg_m: float
    standard_uncertainty_m: float
    swinging_vcg_m: float
    below_pivot_m: float


def vcg_in_air(
    swing: Swing,
    attached: Sequence[Attached] = (),
    uncertainty: SwingUncertainty | None = None,
) -> HeightInAir:
    """Find the height of a hung craft's centre from the angles that known shifts give it.

    Parameters
    ----------
    swing : Swing
        The craft on its pivot, shifts and readings.
    attached : sequence of Attached
        Weights and gear that swing with the craft, taken off in the end; the weights at the height they kept.
    uncertainty : SwingUncertainty, optional
        Standard uncertainties; office defaults without it.

    Returns
    -------
    HeightInAir
        VCG of the craft above its baseline [m].

    Raises
    ------
    CoreError
        Those of `linefit.common_slope`; ``not-positive`` masses; ``swing-reversed`` when the craft tilted away from the
        weight, ``swing-still`` when it hardly tilts; ``nothing-left`` when the gear is as heavy as the whole.

    Notes
    -----
    A body on a frictionless pivot hangs with its centre below the pivot. A shift w·d across moves the centre by w·d/W
    in the body's own axes, so `tan φ = w·d/(W·(z_p − KG))` at any angle and `KG = z_p − w·d/(W·tan φ)` (derived here).
    There is no water, no metacentre and no hydrostatics in it. The lever is `1/(b·W)` with b the slope of tangent on
    moment; uncertainties by linear propagation (JCGM 100:2008, 5.1.2).

    Examples
    --------
    >>> swing = Swing(10.0, 4.0, [0.0, 0.1, 0.2, 0.0], [0.0, 0.004, 0.008, 0.0], [0, 0, 0, 0])
    >>> round(vcg_in_air(swing).swinging_vcg_m, 6)
    1.5
    """
    doubt = uncertainty or SwingUncertainty()
    if not swing.swinging_mass_t > 0.0:
        raise CoreError(
            "not-positive", f"swinging_mass_t is {swing.swinging_mass_t}; it must be above zero.", "/swinging_mass_t"
        )
    fit = common_slope(swing.moments_t_m, swing.tangents, swing.instruments)
    if not fit.slope > 0.0:
        raise CoreError(
            "swing-reversed",
            "The craft tilted away from the weight, or not at all; check the signs: to starboard is positive.",
            "/tangents",
        )
    stiffness = 1.0 / fit.slope
    lever = stiffness / swing.swinging_mass_t
    if not lever < LONGEST_LEVER_M:
        raise CoreError(
            "swing-still",
            f"By these readings the centre hangs {lever:.3g} m below the pivot, for the craft hardly tilts; check the "
            "units of the readings and the masses.",
            "/tangents",
        )
    gear = math.fsum(a.mass_t for a in attached)
    left = swing.swinging_mass_t - gear
    if not left > LEAST_SHARE_LEFT * swing.swinging_mass_t:
        raise CoreError("nothing-left", f"{swing.swinging_mass_t} t swing and {gear} t of it are gear.", "/attached")
    gear_moment = math.fsum(a.mass_t * a.z_m for a in attached)
    vcg = (swing.swinging_mass_t * swing.pivot_z_m - stiffness - gear_moment) / left
    relative = math.hypot(fit.slope_standard_error / fit.slope, doubt.weight_relative, doubt.instrument_length_relative)
    parts = [
        swing.swinging_mass_t * doubt.pivot_m,
        stiffness * relative,
        (swing.pivot_z_m - vcg) * swing.swinging_mass_t * doubt.mass_relative,
        *((vcg - a.z_m) * a.mass_standard_uncertainty_t for a in attached),
        *(a.mass_t * a.height_standard_uncertainty_m for a in attached),
    ]
    return HeightInAir(vcg, math.hypot(*parts) / left, swing.pivot_z_m - lever, lever)


def pivot_height_m(aft_x_m: float, aft_z_m: float, fwd_x_m: float, fwd_z_m: float, lcg_m: float) -> float:
    """Return the height of the swinging axis above a craft's centre when it hangs in two hooks.

    Parameters
    ----------
    aft_x_m, aft_z_m, fwd_x_m, fwd_z_m : float
        The two hooks in the craft's axes [m].
    lcg_m : float
        Longitudinal place of the centre of what swings [m].

    Returns
    -------
    float
        Height of the line through both hooks at the centre [m].

    Raises
    ------
    CoreError
        ``zero-divisor`` when both hooks are at the same place, ``centre-outside-hooks`` where she could not hang so.

    Examples
    --------
    >>> pivot_height_m(2.0, 5.0, 8.0, 5.6, 5.0)
    5.3
    """
    if fwd_x_m == aft_x_m:
        raise CoreError("zero-divisor", "Both hooks are at the same x; they make no axis.", "/fwd_x_m")
    if not min(aft_x_m, fwd_x_m) <= lcg_m <= max(aft_x_m, fwd_x_m):
        raise CoreError(
            "centre-outside-hooks",
            f"The centre at x {lcg_m:g} m is not between the hooks at x {aft_x_m:g} m and {fwd_x_m:g} m, so she could "
            "not hang in them; check that all three count from the same point.",
            "/lcg_m",
        )
    return aft_z_m + (fwd_z_m - aft_z_m) * (lcg_m - aft_x_m) / (fwd_x_m - aft_x_m)
