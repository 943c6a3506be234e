"""Tests in which the section changes at the waterline: the hull tells KG where the straight line does not.

The moments of the states are those of the hull's own righting arms at whole heels, so KG is known exactly; boxes,
chines and tumblehome are prisms.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import reduce_record
from heelwright_service.core.test_result import TestResult

Document = dict[str, Any]
LENGTH_M, DRAUGHT_M, KG_M, DENSITY, WEIGHT_T = 60.0, 3.0, 3.5, 1.025, 20.0
HEELS_DEG = (0.0, 1.5, 3.0, 1.5, 0.0, -1.5, -3.0, -1.5, 0.0)
LENGTHS_MM = {"P1": 6000.0, "P2": 5000.0}

LOW_DECK = [[0.0, 0.0], [6.0, 0.0], [6.0, 3.2]]
CHINE = [[0.0, 0.0], [5.0, 0.0], [5.0, 3.05], [8.0, 5.5]]
TUMBLEHOME = [[0.0, 0.0], [6.0, 0.0], [6.0, 3.02], [4.6, 5.0]]
WALL = [[0.0, 0.0], [6.0, 0.0], [6.0, 6.0]]


def _polygon(half: list[list[float]]) -> np.ndarray[Any, Any]:
    starboard = np.array(half)
    return np.vstack([starboard, starboard[::-1] * [-1.0, 1.0]])


def _cut(points: np.ndarray[Any, Any], height: float, tangent: float) -> np.ndarray[Any, Any]:
    """The part of a polygon under the line z = height + tangent·y (edge by edge, Sutherland and Hodgman 1974)."""
    kept = []
    for one, other in zip(points, np.roll(points, -1, axis=0), strict=True):
        under = [height + tangent * p[0] - p[1] for p in (one, other)]
        if under[0] >= 0.0:
            kept.append(one)
        if under[0] * under[1] < 0.0:
            kept.append(one + under[0] / (under[0] - under[1]) * (other - one))
    return np.array(kept)


def _centroid(points: np.ndarray[Any, Any]) -> tuple[float, float, float]:
    y, z = points.T
    cross = y * np.roll(z, -1) - np.roll(y, -1) * z
    area = cross.sum() / 2.0
    centre = [float(((v + np.roll(v, -1)) * cross).sum() / (6.0 * area)) for v in (y, z)]
    return abs(float(area)), centre[0], centre[1]


def _arm_m(half: list[list[float]], area: float, tangent: float) -> float:
    """y_B + t·(z_B − KG): what the weights' moment over the displacement is at this heel."""
    low, high = -5.0, 10.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if _centroid(_cut(_polygon(half), middle, tangent))[0] > area else (middle, high)
    _, y, z = _centroid(_cut(_polygon(half), 0.5 * (low + high), tangent))
    return y + tangent * (z - KG_M)


def reduced(half: list[list[float]]) -> TestResult:
    area = _centroid(_cut(_polygon(half), DRAUGHT_M, 0.0))[0]
    tangents = np.tan(np.radians(HEELS_DEG))
    moments = [DENSITY * area * LENGTH_M * _arm_m(half, area, t) for t in tangents]
    side = max(point[0] for point in half)
    places = [(a, x, s) for a, x in (("aft", 2.0), ("mid", 30.0), ("fwd", 58.0)) for s in (-1.0, 1.0)]
    marks = [{"name": f"{a} {s:+g}", "x_m": x, "y_m": s * side, "zero_z_m": 0.0} for a, x, s in places]
    rng = np.random.default_rng(4)
    record: Document = {
        "vessel": {
            "length_bp_m": LENGTH_M,
            "hull": {"stations": [{"x_m": x, "contour_m": half} for x in (0.0, LENGTH_M)]},
            "marks": marks,
        },
        "water": {"samples": [{"density_t_per_m3": DENSITY}]},
        "draughts": [{"mark": mark["name"], "reading_m": DRAUGHT_M} for mark in marks],
        "inclining_weights": [{"id": "A", "mass_t": WEIGHT_T}],
        "states": [
            {"number": k, "positions": {"A": [LENGTH_M / 2.0, moment / WEIGHT_T, KG_M]}}
            for k, moment in enumerate(moments)
        ],
        "instruments": [{"id": name, "kind": "pendulum", "length_m": mm / 1e3} for name, mm in LENGTHS_MM.items()],
        "readings": [
            {"state": k, "instrument": name, "value_mm": float(mm * t + rng.normal(0.0, 0.3))}
            for k, t in enumerate(tangents)
            for name, mm in LENGTHS_MM.items()
        ],
    }
    return reduce_record(from_document(TestRecord, record))


def told(result: TestResult, word: str) -> str:
    return next((text for text in result.cautions if word in text), "")


@pytest.mark.parametrize("half", [WALL, CHINE, TUMBLEHOME, LOW_DECK])
def test_the_heeled_hull_gives_the_height_that_made_the_readings(half: list[list[float]]) -> None:
    result = reduced(half)
    assert result.heeled_equilibrium is not None
    assert result.heeled_equilibrium.kg_m == pytest.approx(KG_M, abs=0.003)


def test_a_deck_edge_that_goes_under_is_named_as_the_cause() -> None:
    """The straight line is 0.26 m too high here: the arms fall off once the deck is wet."""
    result = reduced(LOW_DECK)
    assert result.small_angle is not None
    assert result.small_angle.kg_m > KG_M + 0.2
    assert "A deck edge goes under at the larger heels" in told(result, "readings show")
    assert "a deck edge goes under in some state" in told(result, "methods differ")
    assert {check.id: check.status for check in result.checks}["deck-edge"] == "fail"


def test_a_chine_is_told_from_a_deck_edge_and_pushes_to_the_unsafe_side() -> None:
    result = reduced(CHINE)
    assert "Next: nothing on board" in told(result, "readings show")
    differ = told(result, "methods differ")
    assert differ.startswith("Unsafe side")
    assert "flare or a chine" in differ
    assert "deck edge" not in differ


def test_tumblehome_pushes_to_the_safe_side_and_vertical_sides_nowhere() -> None:
    differ = told(reduced(TUMBLEHOME), "methods differ")
    assert differ.startswith("Safe side")
    assert "tumblehome" in differ
    assert told(reduced(WALL), "methods differ") == ""
