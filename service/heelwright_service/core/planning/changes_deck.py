"""What would have to change about the deck and the crane: reach and load, room, footprints, places."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from heelwright_service.core.planning.deck import safe_working_load
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import Crane, DeckPosition, PlanRequest
from heelwright_service.core.planning.trials import Change, Trials, with_positions
from heelwright_service.core.words import counted

FOOTPRINT_STEP_M2 = 0.01
RADIUS_STEP_M = 0.1
NEARER_PARTS = 50
USUAL_STEP_M = 0.1


def stronger_crane(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """A crane for the lifts of the best plan without one.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The hardest lifts named.
    """
    if base.crane is None:
        return
    found = trials.best(replace(base, crane=None))
    if found is None:
        return
    lifts = _lifts(found, base.crane)
    beyond = sorted(
        {(mass, radius) for mass, radius, allowed in lifts if mass > allowed * (1.0 - 1e-9)}, key=lambda lift: -lift[1]
    )
    if beyond:
        mass, radius = beyond[0]
        heaviest = max(mass for mass, _ in beyond)
        text = f"a crane that lifts {mass:g} t at a radius of {radius:.1f} m"
        text += f" and {heaviest:g} t nearer" if heaviest > mass else ""
        yield Change(text, replace(base, crane=_strong_enough(base.crane, lifts)))


def _lifts(found: Outcome, crane: Crane) -> list[tuple[float, float, float]]:
    """Mass [t], radius [m] and safe working load [t] at both ends of every shift."""
    places = [(mass, found.place(w, across)) for w, mass in enumerate(found.masses_t) for across in (False, True)]
    return [
        (mass, math.hypot(x - crane.x_m, y - crane.y_m), float(safe_working_load(crane, x, y)))
        for mass, (x, y, _) in places
    ]


def _strong_enough(crane: Crane, lifts: list[tuple[float, float, float]]) -> Crane:
    """The same crane with a curve that holds every lift: its own, raised and lengthened where need be."""
    radii = [radius for _, radius, _ in lifts]
    farthest = max(crane.radius_max_m, math.ceil(max(radii) / RADIUS_STEP_M - 1e-9) * RADIUS_STEP_M)
    nearest = min(crane.curve[0][0], math.floor(min(radii) / RADIUS_STEP_M) * RADIUS_STEP_M)
    heaviest = max(mass for mass, _, _ in lifts)
    inner = [(radius, max(load, heaviest)) for radius, load in crane.curve if nearest < radius < farthest]
    return replace(
        crane,
        radius_max_m=round(farthest, 6),
        curve=[(round(nearest, 6), max(heaviest, crane.curve[0][1])), *inner, (round(farthest, 6), heaviest)],
    )


def more_room(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Room for the weights of the best plan that looks at no position's number and mass.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        Every position that is too small named.
    """
    bare = with_positions(base, units_per_side=None, max_mass_t=None)
    if list(base.positions) == list(bare.positions):
        return
    found = trials.best(bare)
    if found is None:
        return
    texts, positions = [], list(base.positions)
    for s, position in enumerate(base.positions):
        masses = [mass for mass, spot in zip(found.masses_t, found.choice.spots, strict=True) if spot == s]
        positions[s] = _with_room(position, len(masses), math.fsum(masses))
        if positions[s] != position:
            texts.append(
                f"room for {counted(len(masses), 'weight')}, {math.fsum(masses):g} t, on one side of position {s + 1}"
            )  # fmt: skip
    if texts:
        yield Change(" and ".join(texts), replace(base, positions=positions))


def _with_room(position: DeckPosition, units: int, mass_t: float) -> DeckPosition:
    most_units, most_t = position.units_per_side, position.max_mass_t
    return replace(
        position,
        units_per_side=None if most_units is None else max(most_units, units),
        max_mass_t=None if most_t is None else max(most_t, round(mass_t, 6)),
    )


def larger_footprints(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Footprints or spreaders under the weights of the best plan that looks at no deck's load.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        Every weight that needs one named.
    """
    if all(each.deck_load_t_per_m2 is None for each in base.positions) or not base.stock:
        return
    found = trials.best(with_positions(base, deck_load_t_per_m2=None))
    if found is None:
        return
    texts, stock = [], list(base.stock)
    for w, (kind, spot) in enumerate(zip(found.choice.kinds, found.choice.spots, strict=True)):
        allowed, unit = base.positions[spot].deck_load_t_per_m2, base.stock[kind]
        if allowed is None or unit.footprint_m2 is None or unit.mass_t <= allowed * unit.footprint_m2 * (1.0 + 1e-9):
            continue
        needed = round(math.ceil(unit.mass_t / allowed / FOOTPRINT_STEP_M2 - 1e-9) * FOOTPRINT_STEP_M2, 6)
        texts.append(f"{needed:.2f} m² under {found.ids[w]}")
        stock[kind] = replace(unit, footprint_m2=max(needed, stock[kind].footprint_m2 or 0.0))
    if texts:
        text = f"footprints or spreaders that bring the deck's load down: {', '.join(texts)}"
        yield Change(text, replace(base, stock=stock))


def wider_places(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Positions further out, up to half the breadth.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The least that will do, in steps of the shifts.
    """
    half = 0.5 * base.breadth_m
    room = max(min(half + p.y_port_m, half - p.y_starboard_m) for p in base.positions)

    def changed(steps: int) -> PlanRequest:
        return replace(base, positions=[_wider(p, steps * base.shift_step_m, half) for p in base.positions])

    found = trials.least(math.floor(room / base.shift_step_m), changed)
    if found is not None:
        pairs = zip(base.positions, found.positions, strict=True)
        out = max(max(old.y_port_m - new.y_port_m, new.y_starboard_m - old.y_starboard_m) for old, new in pairs)
        yield Change(f"every position {out:.1f} m further out on both sides, if the deck allows", found)


def _wider(position: DeckPosition, out_m: float, half_m: float) -> DeckPosition:
    return replace(
        position,
        y_port_m=round(min(position.y_port_m, max(-half_m, position.y_port_m - out_m)), 9),
        y_starboard_m=round(max(position.y_starboard_m, min(half_m, position.y_starboard_m + out_m)), 9),
    )


def nearer_places(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """Positions nearer to the centre of flotation, where weights trim the ship less.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The least that will do, in parts of the distance; nothing where the model takes no account of trim.
    """
    centre = trials.ship.model.centre_x_m
    if centre is None:
        return

    def changed(parts: int) -> PlanRequest:
        share = 1.0 - parts / NEARER_PARTS
        return replace(
            base, positions=[replace(p, x_m=round(centre + (p.x_m - centre) * share, 2)) for p in base.positions]
        )

    found = trials.least(NEARER_PARTS, changed)
    if found is not None:
        moved = zip(base.positions, found.positions, strict=True)
        texts = [f"position {n} at {new.x_m:g} m instead of {old.x_m:g} m" for n, (old, new) in enumerate(moved, 1)]
        text = f"{', '.join(texts)} forward of the aft perpendicular, nearer to the centre of flotation"
        yield Change(text, found)


def finer_shifts(trials: Trials, base: PlanRequest) -> Iterator[Change]:
    """A finer step of the shifts.

    Parameters
    ----------
    trials : Trials
        For trying it.
    base : PlanRequest
        The request to change.

    Yields
    ------
    Change
        The usual tenth of a metre, where the step is coarser.
    """
    changed = replace(base, shift_step_m=min(USUAL_STEP_M, base.shift_step_m))
    if changed.shift_step_m < base.shift_step_m and trials.has_plan(changed):
        yield Change(f"shifts in steps of {changed.shift_step_m:g} m instead of {base.shift_step_m:g} m", changed)
