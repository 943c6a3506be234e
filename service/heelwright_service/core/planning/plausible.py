"""Whether the figures asked with can be those of one ship: bounds by plain geometry, without a hull form.

A body within a box of length L, breadth B and draught T displaces ρ·C_B·L·B·T with a block coefficient C_B of 1 at the
most, so L is at least displacement/(ρ·B·T). Where every section is convex and reaches the draught, its area is at
least b·T/2 for a local breadth b, and I = ∫b³/12 dx ≤ B²/12·∫b dx; so BM = I/V ≤ B²/(6·T), and KB ≤ T:

    KM ≤ T + B²/(6·T)

for one hull without hollow sections, and T/2 + B²/(12·T) for a box. (All derived here.)
"""

from __future__ import annotations

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning.request import DeckPosition, PlanRequest
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule

SOURCE = "derived here, from the box about the ship"
CONTRADICTION = "contradiction"

KM_MARGIN = 1.25
"""So much more than the bound of one hull is refused (office default: twin hulls have more, and show their form)."""

LONGEST_IN_BREADTHS = 20.0
USUAL_IN_BREADTHS = (0.1, 12.0)
"""Least length in breadths: no ship is longer than the first, few lie outside the others (common practice)."""

SHORTEST_IN_BREADTHS = 0.02
OVER_PERPENDICULARS = 1.1
"""A waterline is hardly longer than so many lengths between perpendiculars (common practice)."""

HIGHEST_IN_BREADTHS = 2.0
USUAL_HEIGHT_IN_BREADTHS = 1.0
"""Heights of weights above the deck edge, in breadths: more than the first is refused (office default)."""


def refuse_contradictions(request: PlanRequest) -> None:
    """Refuse displacement, GM and places that cannot belong to a ship of that breadth, depth and draught.

    Parameters
    ----------
    request : PlanRequest
        A request whose fields make sense by themselves.

    Raises
    ------
    CoreError
        ``contradiction``, naming the fields that contradict each other. A hull form or table is not looked at: it
        has its own displacement and KM to be held against.
    """
    if not _has_form(request):
        _check_length(request)
        _check_gm(request)
    for i, position in enumerate(request.positions):
        _check_height(request, position, f"/positions/{i}")


def box_length_m(request: PlanRequest) -> float:
    """Length of a box of the ship's breadth, draught and displacement: she is at least as long.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    float
        Displacement/(ρ·B·T), in the densest water that is likely [m].
    """
    density = conduct_rule("R-17", request.rule_set)["maximum_t_per_m3"]
    return request.displacement_t / (density * request.breadth_m * request.draught_m)


def box_km_m(request: PlanRequest) -> float:
    """KM of a box of the ship's breadth and draught.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    float
        T/2 + B²/(12·T) [m].
    """
    return 0.5 * request.draught_m + request.breadth_m**2 / (12.0 * request.draught_m)


def one_hull_km_m(request: PlanRequest) -> float:
    """Most KM of one hull of that breadth and draught without hollow sections.

    Parameters
    ----------
    request : PlanRequest
        The request.

    Returns
    -------
    float
        T + B²/(6·T) [m].
    """
    return request.draught_m + request.breadth_m**2 / (6.0 * request.draught_m)


def plausibility_checks(request: PlanRequest) -> list[Check]:
    """Judge what is unlikely, yet no contradiction.

    Parameters
    ----------
    request : PlanRequest
        The request as it was asked.

    Returns
    -------
    list of Check
        GM against the KM of a box, displacement against breadth and draught, height of the places.
    """
    return [_gm(request), _length(request), _heights(request)]


def _has_form(request: PlanRequest) -> bool:
    vessel = request.vessel
    return vessel is not None and (vessel.hull is not None or vessel.hydrostatic_table is not None)


def _check_length(request: PlanRequest) -> None:
    box, breadth = box_length_m(request), request.breadth_m
    found = (
        f"displacement_t of {request.displacement_t:g} t with breadth_m {breadth:g} m and draught_m "
        f"{request.draught_m:g} m"
    )
    length = None if request.vessel is None else request.vessel.length_bp_m
    if length is not None and box > OVER_PERPENDICULARS * length:
        raise _contradiction(
            f"{found} is a block coefficient of {box / length:.2f} on a length of {length:g} m; it cannot be more than "
            "1: check the four and their units.",
            "/displacement_t",
        )
    if not SHORTEST_IN_BREADTHS <= box / breadth <= LONGEST_IN_BREADTHS:
        raise _contradiction(
            f"{found} fills a box of {box:.3g} m length, {box / breadth:.3g} breadths; between "
            f"{SHORTEST_IN_BREADTHS:g} and {LONGEST_IN_BREADTHS:g} breadths can be a ship: check the three and their "
            "units.",
            "/displacement_t",
        )


def _check_gm(request: PlanRequest) -> None:
    most = KM_MARGIN * one_hull_km_m(request)
    if request.gm_m > most:
        raise _contradiction(
            f"gm_m of {request.gm_m:g} m is more than KM can be with breadth_m {request.breadth_m:g} m and draught_m "
            f"{request.draught_m:g} m: {box_km_m(request):.1f} m for a box, at most {most:.1f} m for any hull without "
            "hollow sections, margin included; check the three and their units, or give the hull form or hydrostatic "
            "table of a ship with several hulls.",
            "/gm_m",
        )


def _check_height(request: PlanRequest, position: DeckPosition, pointer: str) -> None:
    highest = request.depth_m + HIGHEST_IN_BREADTHS * request.breadth_m
    if not 0.0 <= position.z_m <= highest:
        raise _contradiction(
            f"z_m of {position.z_m:g} m does not go with depth_m {request.depth_m:g} m and breadth_m "
            f"{request.breadth_m:g} m: weights stand between 0 m and {highest:g} m above the baseline; check the three "
            "and their units.",
            f"{pointer}/z_m",
        )


def _contradiction(text: str, pointer: str) -> CoreError:
    return CoreError(CONTRADICTION, text, pointer)


def _gm(request: PlanRequest) -> Check:
    box = box_km_m(request)
    text = f"GM is {request.gm_m:.2f} m; a box of that breadth and draught has a KM of {box:.2f} m."
    if _has_form(request):
        text += " The hull or table given bounds it in its place."
        return Check("gm-of-box", text, "pass", request.gm_m, None, SOURCE)
    if request.gm_m <= box:
        return Check("gm-of-box", text, "pass", request.gm_m, box, SOURCE)
    text += " Only V-shaped, hollow or several hulls have more: check gm_m, breadth_m and draught_m, or give the hull."
    return Check("gm-of-box", text, "warn", request.gm_m, box, SOURCE, "unsafe")


def _length(request: PlanRequest) -> Check:
    box = box_length_m(request)
    low, high = (share * request.breadth_m for share in USUAL_IN_BREADTHS)
    text = f"Displacement, breadth and draught fill a box of {box:.1f} m length; the ship is at least as long."
    usual = low <= box <= high
    if not usual:
        text += f" From {low:.1f} m to {high:.1f} m is usual: check the three."
    return Check("length-of-box", text, "pass" if usual else "warn", box, low if box < low else high, SOURCE)


def _heights(request: PlanRequest) -> Check:
    highest = max(position.z_m for position in request.positions)
    limit = request.depth_m + USUAL_HEIGHT_IN_BREADTHS * request.breadth_m
    text = f"The highest place for weights is {highest:g} m above the baseline, the deck edge {request.depth_m:g} m."
    if highest <= limit:
        return Check("height-of-places", text, "pass", highest, limit, SOURCE)
    text += f" More than {limit:g} m is more than a breadth above it: check z_m and depth_m."
    return Check("height-of-places", text, "warn", highest, limit, SOURCE)
