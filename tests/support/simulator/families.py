"""Families of hulls, each drawn by a generator: no real vessel, only the shapes that trouble a reduction."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from .forms import HullShape, Section, bilge_curve, plan_curve, polyline, shares

Array = NDArray[np.float64]


def hull_of(family: str, rng: np.random.Generator) -> HullShape:
    """Draw a hull of a named family."""
    return FAMILIES[family](rng)


def box_barge(rng: np.random.Generator) -> HullShape:
    """Rectangular everywhere: the closed form is exact."""
    length, breadth, depth, draught = _dimensions(rng, (45, 90), (4.2, 5.2), (5.5, 8.0), (1.7, 2.3))
    contour = polyline([(0.0, 0.0), (breadth / 2, 0.0), (breadth / 2, depth)], [8, 16])
    return _monohull(length, breadth, depth, draught, lambda x, run: contour)


def raked_barge(rng: np.random.Generator) -> HullShape:
    """A barge whose bottom rises in straight rakes through the waterline; the knuckles are stations given twice."""
    length, breadth, depth, draught = _dimensions(rng, (45, 90), (4.2, 5.2), (5.5, 8.0), (1.7, 2.3))
    aft, forward = rng.uniform(0.08, 0.14) * length, (1.0 - rng.uniform(0.1, 0.16)) * length
    rise = rng.uniform(0.8, 1.25) * draught

    def section(x: float, run: int) -> Array:
        keel = rise * max(0.0, (aft - x) / aft, (x - forward) / (length - forward))
        return polyline([(0.0, keel), (breadth / 2, keel), (breadth / 2, depth)], [8, 16])

    return _monohull(length, breadth, depth, draught, section, runs_m=(0.0, aft, forward, length))


def wall_sided(rng: np.random.Generator) -> HullShape:
    """Upright sides at every waterline that is reached, round bilges under it, pointed waterlines forward."""
    length, breadth, depth, draught = _dimensions(rng, (50, 130), (5.2, 6.5), (3.2, 4.2), (2.0, 2.5))
    plan = _plan(rng, aft_end=rng.uniform(0.4, 0.7))
    bilge, power = 0.5 * draught / depth, rng.uniform(2.2, 3.0)
    height = shares()

    def section(x: float, run: int) -> Array:
        half = breadth / 2 * plan(x / length) * bilge_curve(height, bilge, power)
        return np.column_stack([half, depth * height])

    return _monohull(length, breadth, depth, draught, section)


def round_bilge(rng: np.random.Generator) -> HullShape:
    """Round bilges, flare forward, sheer, and a counter stern that leaves the water inside the length."""
    length, breadth, depth, draught = _dimensions(rng, (45, 130), (5.4, 6.6), (3.2, 4.2), (2.0, 2.5))
    section = _round_section(rng, length, breadth, depth, counter_m=rng.uniform(1.15, 1.35) * draught)
    return _monohull(length, breadth, depth, draught, section)


def hard_chine(rng: np.random.Generator) -> HullShape:
    """A planing form: deadrise, chine and flared sides, warped forward, with an immersed transom."""
    length, breadth, depth, draught = _dimensions(rng, (14, 30), (3.4, 4.2), (4.0, 5.2), (2.4, 2.9))
    chine_m, chine_half = rng.uniform(0.5, 0.75) * draught, rng.uniform(0.76, 0.84) * breadth / 2
    plan = _plan(rng, aft_end=1.0, forward=0.5)

    def section(x: float, run: int) -> Array:
        fore = max(0.0, x / length - 0.5) / 0.5
        width = plan(x / length)
        keel = 0.3 * draught * fore**3
        chine_z = keel + chine_m * (1.0 + 0.9 * fore**2)
        corners = [(0.0, keel), (chine_half * width, chine_z), (breadth / 2 * width**0.8, depth)]
        return polyline(corners, [20, 20])

    return _monohull(length, breadth, depth, draught, section)


def tumblehome(rng: np.random.Generator) -> HullShape:
    """Sides that lean inwards above the widest height, which lies under the waterline."""
    length, breadth, depth, draught = _dimensions(rng, (60, 140), (5.8, 6.8), (3.2, 4.2), (2.0, 2.5))
    plan = _plan(rng, aft_end=rng.uniform(0.4, 0.6))
    widest, lean = rng.uniform(0.5, 0.75) * draught / depth, rng.uniform(0.2, 0.32)
    power, height = rng.uniform(2.2, 3.0), shares(power=1.0)

    def section(x: float, run: int) -> Array:
        inward = lean * np.maximum(0.0, height - widest) / (1.0 - widest)
        half = breadth / 2 * plan(x / length) * (bilge_curve(height, widest, power) - inward)
        return np.column_stack([half, depth * height])

    return _monohull(length, breadth, depth, draught, section)


def catamaran(rng: np.random.Generator) -> HullShape:
    """Two demihulls, each a closed contour clear of the centreline."""
    length, breadth, depth, draught = _dimensions(rng, (20, 45), (2.9, 3.5), (5.5, 7.0), (2.0, 2.5))
    half_demi = breadth * rng.uniform(0.12, 0.15)
    middle, plan = breadth / 2 - half_demi, _plan(rng, aft_end=0.8)
    bilge, power, height = 0.7 * draught / depth, rng.uniform(2.0, 2.6), shares(21)

    def section(x: float, run: int) -> Array:
        flare = 1.0 + 0.12 * np.maximum(0.0, height - bilge)
        half = half_demi / 1.12 * plan(x / length) * bilge_curve(height, bilge, power) * flare
        outer = np.column_stack([middle + half, depth * height])
        inner = np.column_stack([middle - half, depth * height])[:0:-1]
        return np.concatenate([outer, inner])

    room = (middle, half_demi, 0.42 * breadth)
    runs = (0.0, length)
    return HullShape(length, breadth, depth, draught, section, runs, *room, closed=True, most_weight_relative=0.08)


def bulbous_bow(rng: np.random.Generator) -> HullShape:
    """A flared bow over a bulb that bulges under the waterline and reaches ahead of the forward perpendicular."""
    length, breadth, depth, draught = _dimensions(rng, (80, 160), (5.6, 6.6), (3.2, 4.0), (2.0, 2.4))
    main = _round_section(rng, length, breadth, depth, counter_m=rng.uniform(1.1, 1.25) * draught)
    tip, start = rng.uniform(1.02, 1.035) * length, 0.86 * length
    bulb_z, bulb_h, bulb_b = 0.45 * draught, 0.38 * draught, rng.uniform(0.08, 0.12) * breadth / 2 * 1.4
    around = np.linspace(0.0, np.pi, len(shares()))

    def bulge(x: float) -> float:
        if x < length:
            return float(np.sin(np.pi / 2 * (x - start) / (length - start)) ** 2) if x > start else 0.0
        return float(np.sqrt(max(0.0, 1.0 - ((x - length) / (tip - length)) ** 2)))

    def section(x: float, run: int) -> Array:
        if run == 1:
            z = bulb_z - bulb_h * np.cos(around) * bulge(x)
            half = bulb_b * np.sin(around) * bulge(x)
            half[[0, -1]] = 0.0
            return np.column_stack([half, z])
        points = main(x, run)
        swell = np.sqrt(np.maximum(0.0, 1.0 - ((points[:, 1] - bulb_z) / bulb_h) ** 2))
        points[:, 0] = np.hypot(points[:, 0], bulb_b * bulge(x) * swell)
        return points

    return _monohull(length, breadth, depth, draught, section, runs_m=(0.0, length, tip))


def transom_cargo(rng: np.random.Generator) -> HullShape:
    """Parallel middle body, flat of bottom and of side, an immersed transom and waterlines fuller towards the deck."""
    length, breadth, depth, draught = _dimensions(rng, (90, 170), (5.8, 6.6), (3.4, 4.4), (2.0, 2.4))
    radius, transom = rng.uniform(0.12, 0.2) * breadth / 2, rng.uniform(0.75, 0.9)
    aft, forward, foot = rng.uniform(0.25, 0.32), rng.uniform(0.62, 0.72), rng.uniform(0.8, 0.92) * draught
    turn = np.linspace(0.0, np.pi / 2, 12)
    side = np.linspace(0.0, 1.0, 22)[1:]

    def section(x: float, run: int) -> Array:
        position = x / length
        keel = foot * max(0.0, 1.0 - position / aft) ** 2.5
        bilge = np.column_stack([breadth / 2 - radius + radius * np.sin(turn), radius * (1.0 - np.cos(turn))])
        upright = np.column_stack([np.full(side.shape, breadth / 2), radius + (depth - radius) * side])
        flat = np.linspace(0.0, breadth / 2 - radius, 8, endpoint=False)
        points = np.concatenate([np.column_stack([flat, np.zeros(8)]), bilge, upright])
        fuller = points[:, 1] / depth
        width = [plan_curve(position, transom, aft, forward, 2.5, 2.0 + 1.2 * share) for share in fuller]
        return np.column_stack([points[:, 0] * width, keel + points[:, 1] * (1.0 - keel / depth)])

    return _monohull(length, breadth, depth, draught, section)


def asymmetric(rng: np.random.Generator) -> HullShape:
    """A round-bilge hull whose port side is slacker in the bilge and narrower than its starboard side."""
    length, breadth, depth, draught = _dimensions(rng, (45, 110), (5.0, 6.2), (3.2, 4.0), (1.9, 2.4))
    plan, height = _plan(rng, aft_end=rng.uniform(0.5, 0.7)), shares()
    bilge, flare = 0.8 * draught / depth, rng.uniform(0.02, 0.06)

    def half(x: float, power: float, share: float) -> Array:
        return share * breadth / 2 * plan(x / length) * (bilge_curve(height, bilge, power) + flare * height**2)

    def section(x: float, run: int) -> Array:
        return np.column_stack([half(x, 2.8, 1.0), depth * height])

    port_share = rng.uniform(0.96, 0.985)

    def port(x: float, run: int) -> Array:
        return np.column_stack([-half(x, 2.3, port_share), depth * height])

    return _monohull(length, breadth, depth, draught, section, port_section=port)


def knuckle_step(rng: np.random.Generator) -> HullShape:
    """A hull that grows narrower and shallower in one step along its length, the station there given twice."""
    length, breadth, depth, draught = _dimensions(rng, (40, 100), (4.8, 6.0), (3.2, 4.2), (1.9, 2.3))
    step, narrower = rng.uniform(0.55, 0.7) * length, rng.uniform(0.92, 0.97)
    rise, plan, height = rng.uniform(0.03, 0.08) * draught, _plan(rng, aft_end=0.75), shares()
    bilge, power = 0.6 * draught / depth, rng.uniform(2.4, 3.2)

    def section(x: float, run: int) -> Array:
        keel, share = (rise, narrower) if run else (0.0, 1.0)
        half = share * breadth / 2 * plan(x / length) * bilge_curve(height, bilge, power)
        return np.column_stack([half, keel + (depth - keel) * height])

    return _monohull(length, breadth, depth, draught, section, runs_m=(0.0, step, length))


FAMILIES: dict[str, Callable[[np.random.Generator], HullShape]] = {
    family.__name__: family
    for family in (
        box_barge,
        raked_barge,
        wall_sided,
        round_bilge,
        hard_chine,
        tumblehome,
        catamaran,
        bulbous_bow,
        transom_cargo,
        asymmetric,
        knuckle_step,
    )
}

Range = tuple[float, float]


def _dimensions(
    rng: np.random.Generator, length: Range, slenderness: Range, beaminess: Range, freeboard: Range
) -> tuple[float, float, float, float]:
    """Length, breadth, depth, draught from ranges of L, L/B, B/T and D/T, to the centimetre."""
    length_m = round(rng.uniform(*length), 2)
    breadth_m = round(length_m / rng.uniform(*slenderness), 2)
    draught_m = round(breadth_m / rng.uniform(*beaminess), 2)
    return length_m, breadth_m, round(draught_m * rng.uniform(*freeboard), 2), draught_m


def _plan(rng: np.random.Generator, aft_end: float, forward: float | None = None) -> Callable[[float], float]:
    aft = rng.uniform(0.25, 0.4)
    start = rng.uniform(0.5, 0.65) if forward is None else forward
    power_aft, power = rng.uniform(2.0, 2.6), rng.uniform(2.0, 2.8)
    return lambda position: plan_curve(position, aft_end, aft, start, power_aft, power)


def _round_section(rng: np.random.Generator, length: float, breadth: float, depth: float, counter_m: float) -> Section:
    plan, height = _plan(rng, aft_end=rng.uniform(0.45, 0.65)), shares()
    rise_from, bilge, power = rng.uniform(0.18, 0.26), rng.uniform(0.45, 0.6), rng.uniform(2.0, 2.7)
    flare, sheer = rng.uniform(0.12, 0.24), rng.uniform(0.02, 0.08)

    def section(x: float, run: int) -> Array:
        position = min(x / length, 1.0)
        keel = counter_m * max(0.0, 1.0 - position / rise_from) ** 2
        top = depth * (1.0 + sheer * (2.0 * position - 1.0) ** 2)
        fore = max(0.0, (position - 0.55) / 0.45) ** 2
        half = plan(position) * bilge_curve(height, bilge, power) + flare * fore * height**2
        return np.column_stack([breadth / 2 * half, keel + (top - keel) * height])

    return section


def _monohull(
    length: float,
    breadth: float,
    depth: float,
    draught: float,
    section: Section,
    runs_m: tuple[float, ...] | None = None,
    port_section: Section | None = None,
) -> HullShape:
    runs = runs_m or (0.0, length)
    room = (0.14 * breadth, 0.2 * breadth, 0.36 * breadth)
    return HullShape(length, breadth, depth, draught, section, runs, *room, port_section)
