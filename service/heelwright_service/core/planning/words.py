"""What the planner says in words: what was assumed, what to look out for, where everything stands at a reading."""

from __future__ import annotations

import math

from heelwright_service.core.planning.heel_model import HeelModel
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import DEFAULT_GM_UNCERTAINTY_RELATIVE, PlanRequest

STOWING_MINUTES = 4.0
"""For an onboard crane to be stowed before a reading and made ready after it (office default)."""

PERSON_T = 0.08
SMALL_CRAFT_M = 24.0
"""Length below which extra care is asked for (IMO A.749(18) as amended by MSC.75(69), 7.1.6)."""


def cautions(outcome: Outcome, office_times: str) -> list[str]:
    """Say what was assumed and what to look out for.

    Parameters
    ----------
    outcome : Outcome
        The plan.
    office_times : str
        The office's default times, in words.

    Returns
    -------
    list of str
        Sentences.
    """
    request = outcome.request
    return [
        *assumed(request, outcome.ship.model),
        f"Duration by office defaults: {office_times}.",
        "Expected uncertainties are expanded (95 %) and rest on office defaults for reading, placing, mass, draught.",
        *_crowding(outcome),
        *_footprints(outcome),
        *_overhanging(request),
        _people(outcome),
    ]


def assumed(request: PlanRequest, model: HeelModel) -> list[str]:
    """Say what was assumed of the ship, and who decides.

    Parameters
    ----------
    request : PlanRequest
        The request.
    model : HeelModel
        Moment against heel.

    Returns
    -------
    list of str
        Sentences.
    """
    texts = [
        "This plan advises: the flag Administration, or who acts for it, decides; local codes and "
        "licensed practice stand.",
        f"Displacement, GM and the initial heel are taken as those of the ship without the weights; GM "
        f"from {request.gm_range_m[0]:.3f} m to {request.gm_range_m[1]:.3f} m, free surface included.",
        *model.assumptions,
    ]
    if request.gm_uncertainty_m is None:
        texts.append(f"No uncertainty of GM is given: {100.0 * DEFAULT_GM_UNCERTAINTY_RELATIVE:.0f} % of GM is taken.")
    return texts


def _crowding(outcome: Outcome) -> list[str]:
    spots = outcome.choice.spots
    crowded = sorted({spot + 1 for spot in spots if spots.count(spot) > 1})
    if not crowded:
        return []
    names = ", ".join(str(each) for each in crowded)
    return [
        f"Several weights stand side by side at position {names}: their centres are given as one place; mark each on "
        "deck and measure every shift from centre to centre."
    ]


def _footprints(outcome: Outcome) -> list[str]:
    request = outcome.request
    loads = any(position.deck_load_t_per_m2 is not None for position in request.positions)
    known = bool(request.stock) and all(unit.footprint_m2 is not None for unit in request.stock)
    if not loads or known:
        return []
    return ["Deck loads are given but not every weight's footprint: the deck under those weights is not checked."]


def _overhanging(request: PlanRequest) -> list[str]:
    """Places that the deck does not reach."""
    half, ends = 0.5 * request.breadth_m, _ends_m(request)
    texts = []
    for n, position in enumerate(request.positions, start=1):
        out = max(-position.y_port_m, position.y_starboard_m)
        if out > half * (1.0 + 1e-9):
            texts.append(
                f"Position {n} reaches {out:g} m off the centreline, beyond half the breadth of {half:g} m: check "
                "y_port_m, y_starboard_m and breadth_m."
            )
        if ends is not None and not ends[0] <= position.x_m <= ends[1]:
            texts.append(
                f"Position {n} at {position.x_m:g} m forward of the aft perpendicular lies beyond the ship, which "
                f"reaches from {ends[0]:g} m to {ends[1]:g} m: check x_m."
            )
    return texts


def _ends_m(request: PlanRequest) -> tuple[float, float] | None:
    """Aft and forward end [m]: of the hull form where there is one, else of the perpendiculars."""
    vessel = request.vessel
    if vessel is None:
        return None
    if vessel.hull is None:
        return (0.0, vessel.length_bp_m)
    stations = [station.x_m for station in vessel.hull.stations]
    return (min(stations), max(stations))


def _people(outcome: Outcome) -> str:
    degrees = math.degrees(math.atan(PERSON_T / outcome.stiffness_t_m))
    percent = 100.0 * PERSON_T / max(outcome.choice.plus_t_m, outcome.choice.minus_t_m)
    text = (
        f"One person of {PERSON_T * 1000:g} kg who stands 1 m off heels the ship by {degrees:.4f}° ({percent:.2f} % "
        "of the largest moment): everybody aboard has a reading position."
    )
    vessel = outcome.request.vessel
    length = None if vessel is None else (vessel.length_m or vessel.length_bp_m)
    if (length is not None and length < SMALL_CRAFT_M) or degrees > 0.02:
        return text + " On a craft this small, read by camera or remote instrument with nobody aboard."
    return text


def _side(y_m: float) -> str:
    return "starboard" if y_m > 0.0 else "port"


def reading_positions(outcome: Outcome) -> list[str]:
    """Say where everything that can move has to be at every reading.

    Parameters
    ----------
    outcome : Outcome
        The plan.

    Returns
    -------
    list of str
        One sentence for each.
    """
    crane = outcome.request.crane
    texts = []
    if crane is not None and crane.onboard:
        side = "on the centreline" if crane.y_m == 0.0 else f"{abs(crane.y_m):g} m to {_side(crane.y_m)}"
        texts.append(
            f"Ship's crane, pivot {crane.x_m:g} m forward of the aft perpendicular, {side}: jib stowed in its crutch, "
            f"hook secured, at every reading, the same in every state; {STOWING_MINUTES:g} minutes a reading for it."
        )
    elif crane is not None:
        texts.append("Shore crane: hook and slings clear of the weights and of the ship at every reading.")
    return [
        *texts,
        "Truck, lift and pallet jack: weighed, marked on deck near the centreline, back on the mark at every reading.",
        "Gang and readers: each at a marked place, the same at every reading.",
    ]
