"""Small random weight-plan requests, feasible and not, for the planner to be compared with trying everything."""

from __future__ import annotations

import random
from typing import Any


def random_request(seed: int) -> dict[str, Any]:
    """A request with few kinds, places and long steps of shift, so that every plan can be tried."""
    draw = random.Random(seed)
    count = draw.choice([4, 4, 4, 6])
    displacement, gm = draw.choice([100.0, 500.0, 1250.0]), draw.choice([0.6, 0.8, 1.0, 1.5])
    step = draw.choice([0.5, 1.0, 2.0]) if count == 4 else draw.choice([2.0, 3.0])
    half = step * (draw.uniform(1.2, 2.6) if count == 4 else draw.uniform(0.6, 1.2))
    need = displacement * gm * 0.044 / (count / 2) / (2 * half)
    request: dict[str, Any] = {
        "displacement_t": displacement, "gm_m": gm, "breadth_m": 10.0, "depth_m": draw.choice([5.0] * 9 + [3.3]),
        "draught_m": 3.0, "weights_count": count, "shift_step_m": step,
        "heel_band_deg": draw.choice([[2, 3], [1, 3], [1, 4], [2.5, 3.5]]),
        "gm_uncertainty_m": gm * draw.choice([0.02, 0.05, 0.1, 0.15, 0.2]),
        "positions": _positions(draw, count, half, need, displacement * gm),
        "instruments": [{"id": "P1", "kind": "pendulum", "length_m": draw.choice([3.0, 4.0, 5.0, 6.0])}],
    }  # fmt: skip
    if draw.random() < 0.5:
        request["instruments"].append({"id": "I1", "kind": "inclinometer"})
    if draw.random() < 0.75:
        request["stock"] = _stock(draw, count, need)
    else:
        request["weight_step_t"] = round(need * draw.uniform(0.5, 1.5), 2)
    _extras(draw, request, need)
    return request


def _positions(draw: random.Random, count: int, half: float, need: float, stiffness: float) -> list[dict[str, Any]]:
    places = []
    for _ in range(draw.choice([1, 2, 2, 3]) if count == 4 else draw.choice([1, 2])):
        port, starboard = (half, half) if draw.random() < 0.5 else (half * draw.uniform(0.7, 1) for _ in range(2))
        place: dict[str, Any] = {
            "x_m": draw.choice([10.0, 20.0, 30.0]), "y_port_m": -port, "y_starboard_m": starboard,
            "z_m": draw.choice([3.0, 5.0, 6.5]),
        }  # fmt: skip
        if draw.random() < 0.4:
            place["units_per_side"] = draw.choice([2, 3, 4, 6])
        if draw.random() < 0.2:
            place["max_mass_t"] = stiffness * draw.choice([0.03, 0.06, 0.1]) / half
        if draw.random() < 0.2:
            place["deck_load_t_per_m2"] = need * draw.choice([1.0, 2.0, 4.0])
        places.append(place)
    return places


def _stock(draw: random.Random, count: int, need: float) -> list[dict[str, Any]]:
    kinds = draw.choice([1, 2, 2, 3]) if count == 4 else draw.choice([1, 2])
    stock = [
        {
            "mass_t": round(need * draw.uniform(0.6, 1.8), 2),
            "count": draw.choice([2, 4, 4, 6]),
            "footprint_m2": draw.choice([0.2, 0.5, 1.0]),
        }
        for _ in range(kinds)
    ]
    stock[0]["count"] += max(0, count - sum(unit["count"] for unit in stock))
    return stock


def _extras(draw: random.Random, request: dict[str, Any], need: float) -> None:
    if draw.random() < 0.3:
        request["band_applies_to"] = "every"
        request["heel_band_deg"] = draw.choice([[0.5, 3], [1, 3], [1, 4]])
    if draw.random() < 0.3:
        request["initial_heel_deg"] = draw.choice([0.1, -0.3, 0.45, -0.6, 0.8])
    if draw.random() < 0.35:
        request["target_gm_uncertainty_m"] = request["gm_m"] * draw.uniform(0.0112, 0.0128)
    if draw.random() < 0.25:
        request["crane"] = {
            "x_m": 20.0, "y_m": draw.choice([0.0, -6.0, 8.0]), "radius_max_m": draw.choice([12.0, 15.0, 20.0]),
            "curve": [[1.0, need * 5], [10.0, need * 2], [18.0, need * 1.1]], "onboard": False, "minutes_per_lift": 5.0,
        }  # fmt: skip
