"""What to say where there is not even a nearest plan: what stands in the way, and what has to be settled first."""

from __future__ import annotations

import math

from heelwright_service.core.planning.bounds import Ship
from heelwright_service.core.planning.changes_weights import shortage
from heelwright_service.core.planning.limits import TOLERANCE
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.solving import full_counts
from heelwright_service.core.rules import conduct_rule
from heelwright_service.core.words import counted


def no_plan_at_all(request: PlanRequest, ship: Ship) -> str:
    """Name what stands in the way where there is not even a nearest plan.

    Parameters
    ----------
    request : PlanRequest
        The request.
    ship : Ship
        The ship.

    Returns
    -------
    str
        Identifier and sentence.
    """
    low, high = request.gm_range_m
    short = shortage(request)
    if short:
        needed = min(full_counts(request))
        return f"stock: {counted(needed - short, 'weight')} at hand, {needed} are needed"
    if low <= 0.0:
        return (
            f"stability: GM lies between {low:.2f} m and {high:.2f} m (gm_m {request.gm_m:g} m ± "
            f"{request.gm_expanded_m:g} m), so the ship may not stay upright and no heel can be predicted; at least "
            f"{_least_gm_m(request):.2f} m is asked"
        )
    widest = max(position.y_starboard_m - position.y_port_m for position in request.positions)
    if request.shift_step_m > widest * (1.0 + TOLERANCE):
        return (
            f"shift-step: shifts are multiples of {request.shift_step_m:g} m and the widest position allows "
            f"{widest:g} m, so no weight can move"
        )
    return _sunk_or_capsized(request, ship)


def what_is_needed(request: PlanRequest, binds: str, *, complete: bool) -> str:
    """Say what has to be known or changed before any plan can be made.

    Parameters
    ----------
    request : PlanRequest
        The request.
    binds : str
        What stands in the way, by `no_plan_at_all`.
    complete : bool
        Whether every change was tried.

    Returns
    -------
    str
        A sentence.
    """
    tried = (
        "No change of weights, places, crane, instruments, heel band, list or GM that was tried gives a plan, singly "
        "or together"
        if complete
        else "Not every change could be tried, and none that was gives a plan"
    )
    return f"{tried}: {_FIRST_STEP.get(binds.partition(':')[0], _ANY_STEP)(request)}."


def _stable_first(request: PlanRequest) -> str:
    least = _least_gm_m(request)
    return (
        f"first make sure that GM is {least:.2f} m or more at the lower end of its range, by knowing gm_m "
        f"({request.gm_m:g} m ± {request.gm_expanded_m:g} m) better or by weights down and free surfaces pressed up, "
        "and check displacement, breadth, depth and draught of the ship"
    )


def _weights_first(request: PlanRequest) -> str:
    return f"first find out which {min(full_counts(request))} weights can be had, and check the ship's own figures"


def _freeboard_first(request: PlanRequest) -> str:
    freeboard = request.depth_m - request.draught_m
    return (
        f"first check depth_m and draught_m, {freeboard:.3g} m of freeboard, or lighten the ship until the heel wanted "
        "leaves her deck edge dry"
    )


def _step_first(request: PlanRequest) -> str:
    return "first check shift_step_m and the reach of the positions to port and to starboard"


def _ship_first(request: PlanRequest) -> str:
    return "first check displacement, GM, breadth, depth and draught, and where the weights may stand"


_ANY_STEP = _ship_first
_FIRST_STEP = {
    "stability": _stable_first,
    "stock": _weights_first,
    "deck-edge": _freeboard_first,
    "shift-step": _step_first,
}


def _sunk_or_capsized(request: PlanRequest, ship: Ship) -> str:
    """What the lightest weights at the lowest place make of the ship."""
    count, low_deg = min(full_counts(request)), request.heel_band_deg[0]
    units = [unit.mass_t for unit in request.stock for _ in range(min(unit.count, count))]
    mass = sum(sorted(units)[:count]) if units else count * (request.weight_step_t or 0.0)
    edge_deg = math.degrees(math.atan(float(ship.deck_edge_tangent(mass))))
    lowest = min(position.z_m for position in request.positions)
    gain = float(ship.model.gain_t_m(mass, mass * request.positions[0].x_m))
    gm = (ship.soft_t_m - mass * lowest + gain) / (request.displacement_t + mass)
    if gm < _least_gm_m(request):
        percent = 100.0 * mass / request.displacement_t
        return (
            f"stability: the {count} lightest weights, {mass:g} t or {percent:.1f} % of the "
            f"displacement at {lowest:g} m above the baseline, leave a GM of {gm:.2f} m at the lower end of its range"
        )
    if edge_deg < low_deg:
        return f"deck-edge: at {edge_deg:.2f}° the deck edge goes under, and a heel of at least {low_deg:g}° is wanted"
    return (
        f"stability: the ship does not stay upright under any arrangement of {count} weights that was found, "
        f"{mass:g} t at the least"
    )


def _least_gm_m(request: PlanRequest) -> float:
    return conduct_rule("P-22", request.rule_set)["minimum_gm_m"]
