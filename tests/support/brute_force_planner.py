"""The weight plan by trying everything: every kind at every place with every shift in every part of the sequence.

Independent of the planner: it floats a box with the weights aboard, state by state, and looks at each limit as it is
worded. Only fit for small cases. Takes a request as the plain document.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

CLOSE = 1e-9
CLOSE_DEG = 3e-9
"""The relative closeness of moments, as an angle of a few degrees."""
STATES = {
    2: ["", "A", "", "B", ""],
    4: ["", "A", "AC", "C", "", "B", "BD", "D", ""],
    6: ["", "A", "AC", "ACE", "CE", "E", "", "B", "BD", "BDF", "DF", "F", ""],
}
WATER = 1.025


@dataclass(frozen=True)
class Best:
    """The best plan, or the nearest one and what it lacks."""

    lacking: str
    widened_deg: float
    mass_t: float
    lifts: int
    gm_uncertainty_m: float
    kinds: tuple[int, ...]
    spots: tuple[int, ...]
    steps: tuple[int, ...]
    largest_t_m: tuple[float, float]


def brute_force(request: dict[str, Any]) -> Best | None:
    counts = request["weights_count"]
    tables = [_candidates(request, count) for count in ([counts] if isinstance(counts, int) else counts) if count > 2]
    target = request.get("target_gm_uncertainty_m", math.inf)
    steady = np.concatenate([t["steady"] for t in tables])
    if not steady.any():
        return None
    violation, short, precision, mass, lifts = (
        np.concatenate([t[name] for t in tables]) for name in ("violation", "short", "precision", "mass", "lifts")
    )
    nearest = 0.01 * math.ceil((violation[steady].min() - CLOSE_DEG) * 100)
    within, deep = steady & (violation <= CLOSE_DEG), ~short
    for name, kept in (
        ("nothing", within & deep & (precision <= target * (1 + CLOSE))),
        ("target", within & deep),
        ("deflection", within),
        ("angles", steady & (violation <= nearest + CLOSE_DEG)),
    ):
        if kept.any():
            widened = 0.0 if name != "angles" else nearest
            return _first(tables, kept, mass, lifts, precision, name, widened)
    raise AssertionError("the last set is never empty")


def _first(
    tables: list[dict[str, Any]], kept: NDArray[np.bool_], mass: Array, lifts: Array, precision: Array, name: str,
    widened: float,
) -> Best:  # fmt: skip
    for value in (mass, lifts, precision):
        kept = kept & (value <= value[kept].min() * (1 + CLOSE))
    ties = np.flatnonzero(kept)
    starts = np.cumsum([0] + [len(t["mass"]) for t in tables])
    which = np.searchsorted(starts, ties, side="right") - 1
    rows = [(int(t), int(n - starts[t])) for t, n in zip(which, ties, strict=True)]
    keys = [_key(tables[t], n) for t, n in rows]
    t, n = rows[min(range(len(rows)), key=lambda i: keys[i])]
    table = tables[t]
    largest = (float(table["plus"][n]), float(table["minus"][n]))
    at = starts[t] + n
    return Best(
        name, widened, float(mass[at]), int(lifts[at]), float(precision[at]), *(
            tuple(int(v) for v in table[what][n]) for what in ("kinds", "spots", "steps")
        ), largest,
    )  # fmt: skip


def _key(table: dict[str, Any], n: int) -> tuple[Any, ...]:
    square = float(np.sum(table["moments"][n] ** 2))
    return (
        tuple(table["kinds"][n]), tuple(table["spots"][n]), -round(float(table["plus"][n]), 7), round(square, 6),
        tuple(table["steps"][n][0::2]), tuple(table["steps"][n][1::2]),
    )  # fmt: skip


def size(request: dict[str, Any]) -> int:
    """Number of plans that would be tried."""
    counts = request["weights_count"]
    total = 0
    for count in [counts] if isinstance(counts, int) else counts:
        items = _items(request, count)
        kinds = [item[0] for item in items]
        total += len(items) ** count if "stock" in request else sum(kinds.count(k) ** count for k in set(kinds))
    return total


def _candidates(request: dict[str, Any], count: int) -> dict[str, Any]:
    items = _items(request, count)
    names = "ABCDEF"[:count]
    alike = [items] if "stock" in request else [[i for i in items if i[0] == k] for k in {item[0] for item in items}]
    rows = [row for group in alike for row in itertools.product([items.index(i) for i in group], repeat=count)]
    grid = np.array(rows, dtype=int).reshape(-1, count)
    kinds, spots, steps = (np.array([item[i] for item in items], dtype=int)[grid] for i in (0, 1, 2))
    weight = np.array([item[3] for item in items])[grid]
    grid, kinds, spots, steps, weight = _in_stock(request, grid, kinds, spots, steps, weight)
    place = [request["positions"][s] for s in range(len(request["positions"]))]
    z = np.array([p["z_m"] for p in place])[spots]
    middle = np.array([(p["y_port_m"] + p["y_starboard_m"]) / 2 for p in place])[spots]
    half = steps * request.get("shift_step_m", 0.1) / 2
    port, starboard = middle - half, middle + half
    across = []
    for state in STATES[count]:
        y = np.where(np.arange(count) % 2 == 0, port, starboard)
        for letter in state:
            w = names.index(letter)
            y[:, w] = starboard[:, w] if w % 2 == 0 else port[:, w]
        across.append(y)
    keep = _capacity_kept(request, weight, spots, across)
    return _judged(request, count, keep, kinds, spots, steps, weight, z, across)


def _items(request: dict[str, Any], count: int) -> list[tuple[int, int, int, float]]:
    """Every kind at every place with every shift that deck and crane allow."""
    step = request.get("shift_step_m", 0.1)
    items = []
    for k, unit in enumerate(_stock(request, count)):
        for s, place in enumerate(request["positions"]):
            if _overloads(unit, place):
                continue
            for n in range(1, int((place["y_starboard_m"] - place["y_port_m"]) / step + CLOSE) + 1):
                middle = (place["y_port_m"] + place["y_starboard_m"]) / 2
                ends = (middle - n * step / 2, middle + n * step / 2)
                if all(_crane_lifts(request.get("crane"), unit["mass_t"], place["x_m"], y) for y in ends):
                    items.append((k, s, n, unit["mass_t"]))
    return items


def _stock(request: dict[str, Any], count: int) -> list[dict[str, Any]]:
    if "stock" in request:
        return list(request["stock"])
    step, counts = request["weight_step_t"], request["weights_count"]
    smallest = counts if isinstance(counts, int) else min(counts)
    most = int(0.2 * request["displacement_t"] / smallest / step + CLOSE)
    return [{"mass_t": step * (k + 1), "count": 99} for k in range(max(most, 1))]


def _overloads(unit: dict[str, Any], place: dict[str, Any]) -> bool:
    if "footprint_m2" not in unit or "deck_load_t_per_m2" not in place:
        return False
    return bool(unit["mass_t"] / unit["footprint_m2"] > place["deck_load_t_per_m2"] * (1 + CLOSE))


def _crane_lifts(crane: dict[str, Any] | None, mass: float, x: float, y: float) -> bool:
    if crane is None:
        return True
    radius = math.hypot(x - crane["x_m"], y - crane["y_m"])
    if radius > crane["radius_max_m"] + 1e-8:
        return False
    for (r0, w0), (r1, w1) in itertools.pairwise(crane["curve"]):
        if r0 - 1e-8 <= radius <= r1 + 1e-8:
            share = min(max((radius - r0) / (r1 - r0), 0.0), 1.0)
            return bool(mass <= (w0 + share * (w1 - w0)) * (1 + CLOSE))
    return False


def _in_stock(request: dict[str, Any], grid: Array, kinds: Array, *others: Array) -> tuple[Array, ...]:
    keep = np.ones(len(kinds), dtype=bool)
    for k, unit in enumerate(request.get("stock", [])):
        keep &= (kinds == k).sum(axis=1) <= unit["count"]
    return tuple(each[keep] for each in (grid, kinds, *others))


def _capacity_kept(request: dict[str, Any], weight: Array, spots: Array, across: list[Array]) -> NDArray[np.bool_]:
    keep = np.ones(len(weight), dtype=bool)
    for s, place in enumerate(request["positions"]):
        middle = (place["y_port_m"] + place["y_starboard_m"]) / 2
        for y in across:
            for side in (y < middle, y > middle):
                standing = (spots == s) & side
                keep &= standing.sum(axis=1) <= place.get("units_per_side", 99)
                keep &= (standing * weight).sum(axis=1) <= place.get("max_mass_t", math.inf) * (1 + CLOSE)
    return keep


def _stiffness(request: dict[str, Any], gm: float, weight: Array, z: Array) -> Array:
    """Displacement times GM of a box with the weights aboard, by KB, BM and KG before and after."""
    mass, draught = request["displacement_t"], request["draught_m"]
    volume, inertia = mass / WATER, 1000.0
    kg = draught / 2 + inertia / volume - gm
    added = weight.sum(axis=1)
    deeper = draught + added / (mass / draught)
    after = volume + added / WATER
    kg_after = (mass * kg + (weight * z).sum(axis=1)) / (mass + added)
    return np.asarray((mass + added) * (deeper / 2 + inertia / after - kg_after))


def _degrees(tangent: Array) -> Array:
    return np.degrees(np.arctan(tangent))


def _judged(
    request: dict[str, Any], count: int, keep: NDArray[np.bool_], kinds: Array, spots: Array, steps: Array,
    weight: Array, z: Array, across: list[Array],
) -> dict[str, Any]:  # fmt: skip
    kinds, spots, steps, weight, z = (each[keep] for each in (kinds, spots, steps, weight, z))
    across = [y[keep] for y in across]
    gm, low, high = request["gm_m"], *request.get("heel_band_deg", [2.0, 3.0])
    doubt = request.get("gm_uncertainty_m", 0.15 * gm)
    tan0 = math.tan(math.radians(request.get("initial_heel_deg", 0.0)))
    soft, middle_p, stiff = (_stiffness(request, each, weight, z) for each in (gm - doubt, gm, gm + doubt))
    steady = (soft > 0) & (middle_p / (request["displacement_t"] + weight.sum(axis=1)) >= 0.20 * (1 - CLOSE))
    moment = np.stack([(weight * y).sum(axis=1) for y in across])
    change = moment - moment[0]
    violation = np.zeros(len(weight))
    sunk = request["draught_m"] * (1 + weight.sum(axis=1) / request["displacement_t"])
    edge = _degrees((request["depth_m"] - sunk) / (request["breadth_m"] / 2))
    with np.errstate(divide="ignore", invalid="ignore"):
        for p, each in ((soft, gm - doubt), (stiff, gm + doubt)):
            tangents = (request["displacement_t"] * each * tan0 + moment) / p
            violation = np.maximum(violation, np.abs(_degrees(tangents[0])) - 0.5)
            violation = np.maximum(violation, np.abs(_degrees(tangents)).max(axis=0) - np.minimum(4.0, edge))
        nonzero = [i for i, state in enumerate(STATES[count]) if state]
        plus, minus = change.max(axis=0), -change.min(axis=0)
        lowest = np.minimum(plus, minus)
        if request.get("band_applies_to") == "every":
            lowest = np.abs(change[nonzero]).min(axis=0)
        violation = np.maximum(violation, low - _degrees(lowest / stiff))
        violation = np.maximum(violation, _degrees(np.maximum(plus, minus) / soft) - high)
        needs = [0.15 / i["length_m"] for i in request["instruments"] if i["kind"] != "inclinometer"]
        short = np.minimum(plus, minus) / stiff < max(needs, default=0.0) * (1 - CLOSE)
        precision = _precision(request, count, weight, middle_p, plus, minus)
    step = request.get("shift_step_m", 0.1)
    return {
        "steady": steady, "violation": violation, "short": short, "precision": precision,
        "mass": weight.sum(axis=1), "lifts": np.full(len(weight), len(STATES[count]) - 1),
        "kinds": kinds, "spots": spots, "steps": steps,
        "plus": plus, "minus": minus, "moments": weight * steps * step,
    }  # fmt: skip


def _precision(
    request: dict[str, Any], count: int, weight: Array, stiffness: Array, plus: Array, minus: Array
) -> Array:
    """Expanded uncertainty of GM, states between at half the largest moment (office defaults)."""
    readings, lengths = [], []
    for each in request["instruments"]:
        if each["kind"] == "inclinometer":
            u = math.radians(math.sqrt(each.get("resolution_deg", 0.01) ** 2 / 12 + 0.005**2))
            readings, lengths = [*readings, u], [*lengths, 0.0]
        else:
            u = math.sqrt((each.get("resolution_mm", 1.0) / 1000) ** 2 / 12 + 0.001**2) / each["length_m"]
            readings, lengths = [*readings, u], [*lengths, 0.002 / each["length_m"]]
    weights = [1 / u**2 for u in readings]
    reading2 = 1 / sum(weights)
    length2 = sum((w / sum(weights) * u) ** 2 for w, u in zip(weights, lengths, strict=True))
    fractions = [
        (1.0 if len(state) == count // 2 else 0.5) * (1 if state[:1] in ("A", "C", "E") else -1) if state else 0.0
        for state in STATES[count]
    ]
    nominal = np.stack([f * plus if f > 0 else f * minus for f in fractions])
    scatter = ((nominal - nominal.mean(axis=0)) ** 2).sum(axis=0)
    sides = np.maximum((weight[:, 0::2] ** 2).sum(axis=1), (weight[:, 1::2] ** 2).sum(axis=1))
    common = 0.005**2 + length2 + (0.005 / math.sqrt(6) / request["draught_m"]) ** 2 + 0.002**2 + (0.0005 / 1.025) ** 2
    relative = np.sqrt((reading2 * stiffness**2 + 2 * 0.01**2 * sides) / scatter + common)
    return np.asarray(2 * relative * stiffness / (request["displacement_t"] + weight.sum(axis=1)))
