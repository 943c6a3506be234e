"""The difference of two lightships, and where the weight between them would have to be, with uncertainty.

Linear propagation of independent standard uncertainties, JCGM 100:2008, 5.1.2 equation 10.
"""

from __future__ import annotations

import math

from heelwright_service.core.drift.answer import Centre, Delta, Estimate, ImpliedCentre, LightshipValues
from heelwright_service.core.rules import COVERAGE_FACTOR, RuleVessel

OVERHANG_SHARE_OF_LENGTH = 0.05  # office default where the ends of the vessel are not given
TOP_OVER_VCG = 3.0  # office default where the highest part is not given
TOP_OVER_DEPTH = 2.5  # office default where only the depth is given


def difference(new: LightshipValues, old: LightshipValues) -> Delta:
    """Return how one lightship differs from another.

    Parameters
    ----------
    new, old : LightshipValues
        Masses [t] and centres [m] with standard uncertainties, taken as independent.

    Returns
    -------
    Delta
        New less old; None for a centre that either does not know.
    """
    return Delta(
        mass_t=_less(new.mass_t, new.standard.mass_t, old.mass_t, old.standard.mass_t),
        lcg_m=_less(new.lcg_m, new.standard.lcg_m, old.lcg_m, old.standard.lcg_m),
        tcg_m=_less_or_none(new.tcg_m, new.standard.tcg_m, old.tcg_m, old.standard.tcg_m),
        vcg_m=_less_or_none(new.vcg_m, new.standard.vcg_m, old.vcg_m, old.standard.vcg_m),
    )


def implied_coordinate(new_mass: Estimate, new_centre: Estimate, old_mass: Estimate, old_centre: Estimate) -> Estimate:
    """Return one coordinate of the centre of the weight between two lightships.

    Parameters
    ----------
    new_mass, old_mass : Estimate
        Masses [t]; they must differ.
    new_centre, old_centre : Estimate
        The coordinate of their centres [m].

    Returns
    -------
    Estimate
        ``c = (W1 z1 - W0 z0)/(W1 - W0)`` [m]; its sensitivities are ``W1/dW``, ``-W0/dW`` to the centres and
        ``(z1 - c)/dW``, ``(c - z0)/dW`` to the masses.

    Examples
    --------
    1200 t at 6.00 m and 1230 t at 6.05 m, 30 mm standard uncertainty of each height:

    >>> centre = implied_coordinate(Estimate(1230, 0), Estimate(6.05, 0.03), Estimate(1200, 0), Estimate(6.0, 0.03))
    >>> round(centre.value, 2), round(centre.standard, 2)
    (8.05, 1.72)
    """
    gained = new_mass.value - old_mass.value
    centre = (new_mass.value * new_centre.value - old_mass.value * old_centre.value) / gained
    terms = (
        new_mass.value * new_centre.standard,
        old_mass.value * old_centre.standard,
        (new_centre.value - centre) * new_mass.standard,
        (centre - old_centre.value) * old_mass.standard,
    )
    return Estimate(centre, math.hypot(*terms) / abs(gained))


def implied_centre(new: LightshipValues, old: LightshipValues, vessel: RuleVessel) -> ImpliedCentre:
    """Return where the weight between two lightships would have to be, and whether that is inside the ship.

    Parameters
    ----------
    new, old : LightshipValues
        The two lightships.
    vessel : RuleVessel
        Bounds of the ship where they are known.

    Returns
    -------
    ImpliedCentre
        No centre where the mass change is nil or below twice its standard uncertainty.
    """
    mass = difference(new, old).mass_t
    if mass.value == 0.0 or abs(mass.value) < COVERAGE_FACTOR * mass.standard:
        remark = (
            f"Undefined: the mass change of {abs(mass.value):.3g} t is within its expanded uncertainty of "
            f"{COVERAGE_FACTOR * mass.standard:.3g} t."
        )
        return ImpliedCentre(None, remark, False)
    centre = Centre(
        x=_implied(new, old, new.lcg_m, new.standard.lcg_m, old.lcg_m, old.standard.lcg_m),
        y=_implied_or_none(new, old, new.tcg_m, new.standard.tcg_m, old.tcg_m, old.standard.tcg_m),
        z=_implied_or_none(new, old, new.vcg_m, new.standard.vcg_m, old.vcg_m, old.standard.vcg_m),
    )
    outside = [
        text for text in (_along(centre.x, vessel), _across(centre.y, vessel), _up(centre.z, vessel, old)) if text
    ]
    if not outside:
        return ImpliedCentre(centre, f"{_place(centre)}: inside the ship, so weight is plausible.", False)
    return ImpliedCentre(centre, f"{'; '.join(outside)}: an error is likelier than weight.", True)


def _less(new: float, new_standard: float | None, old: float, old_standard: float | None) -> Estimate:
    return Estimate(new - old, math.hypot(new_standard or 0.0, old_standard or 0.0))


def _less_or_none(
    new: float | None, new_standard: float | None, old: float | None, old_standard: float | None
) -> Estimate | None:
    return None if new is None or old is None else _less(new, new_standard, old, old_standard)


def _implied(
    new: LightshipValues,
    old: LightshipValues,
    new_value: float,
    new_standard: float | None,
    old_value: float,
    old_standard: float | None,
) -> Estimate:
    return implied_coordinate(
        Estimate(new.mass_t, new.standard.mass_t or 0.0),
        Estimate(new_value, new_standard or 0.0),
        Estimate(old.mass_t, old.standard.mass_t or 0.0),
        Estimate(old_value, old_standard or 0.0),
    )


def _implied_or_none(
    new: LightshipValues,
    old: LightshipValues,
    new_value: float | None,
    new_standard: float | None,
    old_value: float | None,
    old_standard: float | None,
) -> Estimate | None:
    if new_value is None or old_value is None:
        return None
    return _implied(new, old, new_value, new_standard, old_value, old_standard)


def _place(centre: Centre) -> str:
    known = [f"{centre.x.value:.4g} m forward of the aft perpendicular"]
    if centre.y is not None:
        known.append(f"{abs(centre.y.value):.3g} m to {'starboard' if centre.y.value >= 0.0 else 'port'}")
    known.append("height unknown" if centre.z is None else f"{centre.z.value:.4g} m above the baseline")
    return ", ".join(known)


def _reach(centre: Estimate, beyond_m: float) -> str:
    """Whether the expanded uncertainty brings the centre back into the ship."""
    near = COVERAGE_FACTOR * centre.standard >= beyond_m
    return ", though its uncertainty reaches into the ship" if near else ", beyond its uncertainty"


def ends(vessel: RuleVessel) -> tuple[float, float]:
    """Return how far a vessel reaches aft and forward of her aft perpendicular.

    Parameters
    ----------
    vessel : RuleVessel
        The vessel; an office allowance for overhangs stands in where her ends are not given.

    Returns
    -------
    tuple of float
        Aft and forward end [m].

    Examples
    --------
    >>> ends(RuleVessel(kind="cargo", length_m=100.0))
    (-5.0, 105.0)
    """
    length = vessel.length_bp_m or vessel.length_m
    aft = -OVERHANG_SHARE_OF_LENGTH * length if vessel.aft_x_m is None else vessel.aft_x_m
    forward = (1.0 + OVERHANG_SHARE_OF_LENGTH) * length if vessel.forward_x_m is None else vessel.forward_x_m
    return aft, forward


def _along(centre: Estimate, vessel: RuleVessel) -> str:
    aft, forward = ends(vessel)
    if centre.value < aft:
        return f"{-centre.value:.3g} m abaft the aft perpendicular{_reach(centre, aft - centre.value)}"
    if centre.value > forward:
        return f"{centre.value:.4g} m forward, beyond the bow{_reach(centre, centre.value - forward)}"
    return ""


def _across(centre: Estimate | None, vessel: RuleVessel) -> str:
    if centre is None or vessel.breadth_m is None or abs(centre.value) <= vessel.breadth_m / 2.0:
        return ""
    side = "starboard" if centre.value > 0.0 else "port"
    beyond = abs(centre.value) - vessel.breadth_m / 2.0
    return f"{abs(centre.value):.3g} m to {side}, outside the breadth{_reach(centre, beyond)}"


def _up(centre: Estimate | None, vessel: RuleVessel, old: LightshipValues) -> str:
    if centre is None:
        return ""
    if centre.value < 0.0:
        return f"{-centre.value:.3g} m below the keel{_reach(centre, -centre.value)}"
    top, why = top_of(vessel, old)
    if centre.value > top:
        return f"{centre.value:.3g} m above the baseline, above {why} ({top:.3g} m){_reach(centre, centre.value - top)}"
    return ""


def top_of(vessel: RuleVessel, old: LightshipValues) -> tuple[float, str]:
    """Return how high a vessel can carry weight, and what that height is.

    Parameters
    ----------
    vessel : RuleVessel
        The vessel.
    old : LightshipValues
        A lightship of hers, whose VCG is the last resort.

    Returns
    -------
    tuple of (float, str)
        Height above the baseline [m], infinite where nothing is known; and its name in words.
    """
    if vessel.top_z_m is not None:
        return vessel.top_z_m, "the highest part of the ship"
    if vessel.depth_m is not None:
        return TOP_OVER_DEPTH * vessel.depth_m, f"{TOP_OVER_DEPTH:g} times the depth, an office default"
    if old.vcg_m is None or old.vcg_m <= 0.0:
        return math.inf, "any deck"
    return TOP_OVER_VCG * old.vcg_m, f"{TOP_OVER_VCG:g} times the VCG, an office default for the highest deck"
