"""What would have to change for a plan to keep every limit: each change is tried by searching again with it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from heelwright_service.core.planning.deck import Deck, safe_working_load
from heelwright_service.core.planning.limits import Limits, deflection_tangent
from heelwright_service.core.planning.modelling import ship_of
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.precision import SlopeUncertainty
from heelwright_service.core.planning.request import PlanInstrument, PlanRequest
from heelwright_service.core.planning.search import Search
from heelwright_service.core.planning.solving import Solution, full_counts

LENGTH_STEP_M = 0.1
LONGEST_M = 15.0
GM_PARTS = 100
TARGET_STEP_M = 0.001
BAND_STEP_DEG = 0.1
WIDEST_DEG = 3.0
NUMBERS = {2: "two", 4: "four", 6: "six"}


def changes(solution: Solution, outcome: Outcome) -> list[str]:
    """Find changes that make a plan feasible.

    Parameters
    ----------
    solution : Solution
        The nearest plan's solution.
    outcome : Outcome
        The nearest plan.

    Returns
    -------
    list of str
        Sentences, the change nearest at hand first; empty where none of those tried is enough by itself.
    """
    if solution.lacking in ("crane", "deck", "capacity"):
        return [_placing(solution, outcome)]
    tried: tuple[Callable[[Outcome], Iterator[str]], ...] = (
        _longer_instruments,
        _one_more,
        _other_count,
        _stronger_crane,
        _more_room,
        _better_gm,
        _less_list,
        _wider_places,
        _wider_band,
        _easier_target,
    )
    return [text for each in tried for text in each(outcome)]


def _feasible(outcome: Outcome, request: PlanRequest) -> bool:
    """Whether a changed request has a plan; the model of the ship is that of the first request."""
    if max(request.counts) < 4:
        return False
    precision = outcome.ship.precision
    same = request.instruments == outcome.request.instruments or not isinstance(precision, SlopeUncertainty)
    ship = ship_of(request, outcome.ship.model, precision if same else SlopeUncertainty.of(request))
    limits = Limits.of(request)
    return Search(Deck.of(request), ship, full_counts(request), limits.every).has_plan(limits)


def _smallest(count: int, holds: Callable[[int], bool]) -> int | None:
    """Smallest number from 1 to a count for which a condition holds, taken to hold from there on."""
    if count < 1 or not holds(count):
        return None
    low, high = 0, count
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def _longer_instruments(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    lengths = [each.length_m for each in request.instruments if each.length_m is not None]
    if not lengths or deflection_tangent(_shortest(request), request.rule_set) == 0.0:
        return
    shortest = min(lengths)
    first = math.floor(shortest / LENGTH_STEP_M + 1e-9)

    def changed(steps: int) -> PlanRequest:
        least = round((first + steps) * LENGTH_STEP_M, 3)
        longer = [
            each if each.length_m is None else replace(each, length_m=max(each.length_m, least))
            for each in request.instruments
        ]
        return replace(request, instruments=longer)

    steps = round(LONGEST_M / LENGTH_STEP_M) - first
    found = _smallest(steps, lambda n: _feasible(outcome, changed(n)))
    if found is not None:
        length = (first + found) * LENGTH_STEP_M
        yield from _length_texts(request, length)


def _length_texts(request: PlanRequest, length_m: float) -> Iterator[str]:
    short = [each for each in request.instruments if each.length_m is not None and each.length_m < length_m - 1e-9]
    parts = [f"a {length_m:.1f} m {_what(each)} instead of {each.length_m:g} m ({each.id})" for each in short]
    yield " and ".join(parts)


def _what(instrument: PlanInstrument) -> str:
    return "pendulum" if instrument.kind == "pendulum" else "spacing of the U-tube's legs"


def _shortest(request: PlanRequest) -> PlanInstrument:
    return min(request.instruments, key=lambda each: math.inf if each.length_m is None else each.length_m)


def _one_more(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    for mass in sorted({unit.mass_t for unit in request.stock}):
        first = next(i for i, unit in enumerate(request.stock) if unit.mass_t == mass)
        for more in (1, 2):
            unit = request.stock[first]
            if unit.count + more > max(request.counts):
                break
            stock = [
                replace(each, count=each.count + more) if i == first else each for i, each in enumerate(request.stock)
            ]
            if _feasible(outcome, replace(request, stock=stock)):
                yield f"{'one' if more == 1 else 'two'} more {mass:g} t weight{'' if more == 1 else 's'}"
                return


def _other_count(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    for count in (4, 6):
        available = sum(unit.count for unit in request.stock) if request.stock else count
        if count in request.counts or available < count:
            continue
        if _feasible(outcome, replace(request, weights_count=count)):
            yield f"{NUMBERS[count]} weights instead of {NUMBERS[request.counts[-1]]}"
    if request.stock and max(request.counts) >= 4:
        yield from _equal_weights(outcome)


def _equal_weights(outcome: Outcome) -> Iterator[str]:
    """Equal weights of any mass: the least, to a tenth of the lightest in stock."""
    request = outcome.request
    step = max(0.01, round(0.1 * min(unit.mass_t for unit in request.stock), 2))
    free = replace(request, stock=(), weight_step_t=step)
    limits = Limits.of(free)
    ship = ship_of(free, outcome.ship.model, outcome.ship.precision)
    found = Search(Deck.of(free), ship, full_counts(free), limits.every).lightest(limits)
    if found is not None:
        yield f"{NUMBERS[found.which.count]} equal weights of {step * (found.kinds[0] + 1):g} t in place of the stock"


def _stronger_crane(outcome: Outcome) -> Iterator[str]:
    if outcome.request.crane is not None:
        found = _best(outcome, replace(outcome.request, crane=None))
        if found is not None:
            yield _crane_needed(outcome.request, found)


def _more_room(outcome: Outcome) -> Iterator[str]:
    positions = [replace(each, units_per_side=None, max_mass_t=None) for each in outcome.request.positions]
    if list(outcome.request.positions) != positions:
        found = _best(outcome, replace(outcome.request, positions=positions))
        if found is not None:
            yield _room_needed(found)


def _best(outcome: Outcome, request: PlanRequest) -> Outcome | None:
    limits = Limits.of(request)
    found = Search(Deck.of(request), outcome.ship, full_counts(request), limits.every).lightest(limits)
    return None if found is None or not found.which.complete else Outcome(request, outcome.ship, found)


def _better_gm(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    step = request.gm_m / GM_PARTS
    most = math.floor(request.gm_expanded_m / step * (1.0 - 1e-9))

    def changed(steps: int) -> PlanRequest:
        return replace(request, gm_uncertainty_m=(most + 1 - steps) * step)

    found = _smallest(most, lambda n: _feasible(outcome, changed(n)))
    if found is not None:
        left = (most + 1 - found) * step
        yield f"GM known to within {left:.3f} m ({left / request.gm_m:.0%}) instead of {request.gm_expanded_m:.3f} m"


def _less_list(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    heel = abs(request.initial_heel_deg)
    steps = math.ceil(heel / BAND_STEP_DEG - 1e-9)

    def changed(n: int) -> PlanRequest:
        left = max(0.0, (steps - n) * BAND_STEP_DEG)
        return replace(request, initial_heel_deg=math.copysign(left, request.initial_heel_deg))

    found = _smallest(steps, lambda n: _feasible(outcome, changed(n)))
    if found is not None:
        side = "starboard" if request.initial_heel_deg > 0.0 else "port"
        yield f"the ship brought to {max(0.0, (steps - found) * BAND_STEP_DEG):.1f}° or less to {side} before the test"


def _wider_places(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    half = 0.5 * request.breadth_m
    room = max(min(half + p.y_port_m, half - p.y_starboard_m) for p in request.positions)

    def changed(steps: int) -> PlanRequest:
        out = steps * request.shift_step_m
        wider = [
            replace(
                p,
                y_port_m=min(p.y_port_m, max(-half, p.y_port_m - out)),
                y_starboard_m=max(p.y_starboard_m, min(half, p.y_starboard_m + out)),
            )
            for p in request.positions
        ]
        return replace(request, positions=wider)

    found = _smallest(math.floor(room / request.shift_step_m), lambda n: _feasible(outcome, changed(n)))
    if found is not None:
        yield f"every position {found * request.shift_step_m:.1f} m further out on both sides, if the deck allows"


def _wider_band(outcome: Outcome) -> Iterator[str]:
    low, high = outcome.request.heel_band_deg

    def changed(steps: int) -> tuple[float, float]:
        wide = steps * BAND_STEP_DEG
        return max(low - wide, min(low, BAND_STEP_DEG)), high + wide

    found = _smallest(
        round(WIDEST_DEG / BAND_STEP_DEG),
        lambda n: _feasible(outcome, replace(outcome.request, heel_band_deg=changed(n))),
    )
    if found is not None:
        new = changed(found)
        yield f"a heel band of {new[0]:.1f}° to {new[1]:.1f}° instead of {low:g}° to {high:g}°"


def _easier_target(outcome: Outcome) -> Iterator[str]:
    request = outcome.request
    target = request.target_gm_uncertainty_m
    if target is None:
        return
    first = math.floor(target / TARGET_STEP_M + 1e-9)
    found = _smallest(
        math.ceil(request.gm_m / TARGET_STEP_M),
        lambda n: _feasible(outcome, replace(request, target_gm_uncertainty_m=(first + n) * TARGET_STEP_M)),
    )
    if found is not None:
        yield f"a target for the uncertainty of GM of {first + found} mm instead of {target * 1000:g} mm"


def _placing(solution: Solution, outcome: Outcome) -> str:
    """What the nearest plan, made without the limit that is lacking, asks of crane or deck."""
    if solution.lacking == "crane":
        return _crane_needed(outcome.request, outcome)
    if solution.lacking == "deck":
        return f"footprints or spreaders that bring the deck's load down: {_spreading(outcome)}"
    return _room_needed(outcome)


def _crane_needed(request: PlanRequest, planned: Outcome) -> str:
    crane = request.crane
    places = [planned.place(w, across) for w in range(len(planned.masses_t)) for across in (False, True)]
    lifts = [(planned.masses_t[i // 2], x, y) for i, (x, y, _) in enumerate(places)]
    beyond = [
        (mass, math.hypot(x - crane.x_m, y - crane.y_m))
        for mass, x, y in lifts
        if crane is not None and mass > float(safe_working_load(crane, x, y)) * (1.0 - 1e-9)
    ]
    texts = [
        f"{mass:g} t at a radius of {radius:.1f} m" for mass, radius in sorted(set(beyond), key=lambda lift: -lift[1])
    ]
    return f"a crane that lifts {texts[0]}" if texts else "another crane"


def _room_needed(planned: Outcome) -> str:
    spots = planned.choice.spots
    full = max(set(spots), key=lambda s: (spots.count(s), -s))
    mass = sum(m for m, s in zip(planned.masses_t, spots, strict=True) if s == full)
    return f"room for {spots.count(full)} weights, {mass:g} t, on one side of position {full + 1}"


def _spreading(outcome: Outcome) -> str:
    needs = []
    for w, (mass, spot) in enumerate(zip(outcome.masses_t, outcome.choice.spots, strict=True)):
        allowed = outcome.request.positions[spot].deck_load_t_per_m2
        if allowed is not None:
            needs.append(f"{mass / allowed:.2f} m² under {outcome.ids[w]}")
    return ", ".join(needs)
