"""What the planner says in words: what stands in the way, what was assumed, what to look out for."""

from __future__ import annotations

import math

from heelwright_service.core.planning.limits import Limits, deflection_tangent
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import DEFAULT_GM_UNCERTAINTY_RELATIVE
from heelwright_service.core.planning.solving import Solution

PERSON_T = 0.08
SMALL_CRAFT_M = 24.0
"""Length below which extra care is asked for (IMO A.749(18) as amended by MSC.75(69), 7.1.6)."""


def binding(solution: Solution, outcome: Outcome, limits: Limits) -> str | None:
    """Name what no plan could keep.

    Parameters
    ----------
    solution : Solution
        The solution.
    outcome : Outcome
        The nearest plan.
    limits : Limits
        The limits as they were asked for.

    Returns
    -------
    str or None
        Identifier and sentence; None for a feasible plan.
    """
    if not outcome.which.complete:
        return _too_few_states(outcome)
    if solution.lacking == "angles":
        return _worst_angle(outcome, limits)
    if solution.lacking == "deflection":
        return _deflection(outcome)
    return {
        "nothing": None,
        "states": _too_few_states(outcome),
        "target": "target-uncertainty: no plan within the other limits reaches the target for the uncertainty of GM",
        "crane": "P-30: the crane cannot make the lifts of any plan, by its reach or its load curve",
        "deck": "P-23: no weight may stand anywhere under the decks' allowed loads",
        "capacity": "capacity: the positions do not take the weights, by number, mass, crane or deck load together",
    }[solution.lacking]


def _too_few_states(outcome: Outcome) -> str:
    which = outcome.which
    return (
        f"C-01: {which.count} weights give {which.nonzero} states off zero, "
        f"{which.distinct_per_side} moment a side; six states and two moments a side are needed"
    )


def _worst_angle(outcome: Outcome, limits: Limits) -> str:
    excess = outcome.excess_deg(limits)
    low, high = excess["low"], excess["high"]
    if low > 1e-6 and high > 1e-6:
        return (
            f"band: the range of GM is too wide for the band: the heel is {outcome.least_change_deg:.2f}° at its upper "
            f"end (at least {limits.low_deg:g}°) and {outcome.most_change_deg:.2f}° at its lower "
            f"(at most {limits.high_deg:g}°)"
        )
    texts = {
        "low": f"band: the weights heel the ship by {outcome.least_change_deg:.2f}° at the upper end of GM, at least "
        f"{limits.low_deg:g}° is wanted",
        "high": f"band: the weights heel the ship by {outcome.most_change_deg:.2f}° at the lower end of GM, at most "
        f"{limits.high_deg:g}° is wanted",
        "list": f"P-18: the initial list is {outcome.list_deg:.2f}°, at most {limits.list_deg:g}° is allowed",
        "heel": f"W-01: the heel with the list is {outcome.heel_deg:.2f}°, at most {limits.heel_deg:g}° is allowed",
        "deck-edge": f"deck-edge: at {outcome.deck_edge_deg:.2f}° the deck edge goes under, the heel is "
        f"{outcome.heel_deg:.2f}°",
        "deflection": _deflection(outcome),
    }
    angles = {name: value for name, value in excess.items() if name != "deflection"}
    worst = max(angles, key=lambda name: (angles[name], name))
    return texts[worst if angles[worst] > 0.0 else "deflection"]


def _deflection(outcome: Outcome) -> str:
    request = outcome.request
    worst = max(request.instruments, key=lambda each: deflection_tangent(each, request.rule_set))
    needed = deflection_tangent(worst, request.rule_set)
    length = worst.length_m or 0.0
    found = 1000.0 * length * math.tan(math.radians(min(outcome.sides_deg(outcome.stiff))))
    rule = "H-04" if worst.kind == "pendulum" else "H-12"
    return (
        f"{rule}: within the heel allowed, {worst.id} ({length:g} m) shows {found:.0f} mm at the upper end of GM; "
        f"{1000.0 * length * needed:g} mm are needed"
    )


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
    texts = [
        "This plan advises: the flag Administration, or who acts for it, decides; local codes and "
        "licensed practice stand.",
        f"Displacement, GM and the initial heel are taken as those of the ship without the weights; GM "
        f"from {request.gm_range_m[0]:.3f} m to {request.gm_range_m[1]:.3f} m, free surface included.",
        *outcome.ship.model.assumptions,
        f"Duration by office defaults: {office_times}.",
        "Expected uncertainties are expanded (95 %) and rest on office defaults for reading, placing, mass, draught.",
    ]
    if request.gm_uncertainty_m is None:
        texts.append(f"No uncertainty of GM is given: {DEFAULT_GM_UNCERTAINTY_RELATIVE:.0%} of GM is taken.")
    return texts + _crowding(outcome) + _footprints(outcome) + [_people(outcome)]


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


def _people(outcome: Outcome) -> str:
    degrees = math.degrees(math.atan(PERSON_T / outcome.stiffness_t_m))
    share = PERSON_T / max(outcome.choice.plus_t_m, outcome.choice.minus_t_m)
    text = (
        f"One person of {PERSON_T * 1000:g} kg who stands 1 m off heels the ship by {degrees:.4f}° ({share:.2%} of the "
        "largest moment): everybody aboard has a reading position."
    )
    vessel = outcome.request.vessel
    length = None if vessel is None else (vessel.length_m or vessel.length_bp_m)
    if (length is not None and length < SMALL_CRAFT_M) or degrees > 0.02:
        return text + " On a craft this small, read by camera or remote instrument with nobody aboard."
    return text


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
        texts.append("Ship's crane: jib stowed in its crutch, hook secured, at every reading; the same in every state.")
    elif crane is not None:
        texts.append("Shore crane: hook and slings clear of the weights and of the ship at every reading.")
    return [
        *texts,
        "Truck, lift and pallet jack: weighed, marked on deck near the centreline, back on the mark at every reading.",
        "Gang and readers: each at a marked place, the same at every reading.",
    ]
