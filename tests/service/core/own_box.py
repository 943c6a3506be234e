"""Tests of a wall-sided box in closed form: Δ·(GM·t + BM·t³/2) is the heeling moment, t the tangent of the heel."""

from __future__ import annotations

import math
from typing import Any

from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import reduce_record
from heelwright_service.core.test_result import TestResult
from scipy.optimize import brentq

Document = dict[str, Any]

LENGTH_M, BREADTH_M, DEPTH_M, DENSITY, DISPLACEMENT_T, GM_M = 50.0, 12.0, 6.0, 1.025, 1260.0, 1.88
DRAUGHT_M = DISPLACEMENT_T / DENSITY / LENGTH_M / BREADTH_M
BM_M = BREADTH_M**2 / 12.0 / DRAUGHT_M
KG_M = DRAUGHT_M / 2.0 + BM_M - GM_M
WEIGHT_T, HOMES = 6.0, {"A": (20.0, -4.5), "B": (30.0, -4.5), "C": (20.0, 4.5), "D": (30.0, 4.5)}
SEQUENCE = ("", "A", "AB", "B", "", "C", "CD", "D", "")
LIGHT_T = DISPLACEMENT_T - 4.0 * WEIGHT_T
WEIGHT_Z_M = 7.0
VCG_M = (DISPLACEMENT_T * KG_M - 4.0 * WEIGHT_T * WEIGHT_Z_M) / LIGHT_T


def tangents(list_deg: float = 0.0, sequence: tuple[str, ...] = SEQUENCE) -> list[float]:
    """Tangents of the heel in each state of a ship with that list in the first."""
    first = math.tan(math.radians(list_deg))
    start = DISPLACEMENT_T * (GM_M * first + BM_M / 2.0 * first**3)
    found = []
    for moved in sequence:
        moment = start + sum(-2.0 * WEIGHT_T * HOMES[name][1] for name in moved)
        found.append(brentq(lambda t, m=moment: DISPLACEMENT_T * (GM_M * t + BM_M / 2.0 * t**3) - m, -0.4, 0.4,
                            xtol=1e-15))  # fmt: skip
    return found


def box_record(list_deg: float = 0.0, sequence: tuple[str, ...] = SEQUENCE, zero_deg: float | None = None) -> Document:
    """A record without error: two pendulums, or two inclinometers whose zeros stand at the given angle."""
    contour = [[0.0, 0.0], [BREADTH_M / 2, 0.0], [BREADTH_M / 2, DEPTH_M]]
    marks = [
        {"name": f"{end}{side}", "x_m": x, "y_m": y, "zero_z_m": 0.0}
        for end, x in (("A", 3.0), ("M", 25.0), ("F", 47.0))
        for side, y in (("P", -6.0), ("S", 6.0))
    ]
    heel = tangents(list_deg, sequence)
    instruments = {"P1": 4.0, "P2": 5.0}
    readings = [
        {"state": k, "instrument": name}
        | (
            {"value_mm": 1000.0 * length * t}
            if zero_deg is None
            else {"value_deg": math.degrees(math.atan(t)) + zero_deg}
        )
        for k, t in enumerate(heel)
        for name, length in instruments.items()
    ]
    return {
        "vessel": {
            "length_bp_m": LENGTH_M,
            "breadth_m": BREADTH_M,
            "depth_m": DEPTH_M,
            "hull": {"stations": [{"x_m": x, "contour_m": contour} for x in (0.0, LENGTH_M)]},
            "marks": marks,
        },
        "water": {"samples": [{"density_t_per_m3": DENSITY, "depth_m": 1.1}] * 3},
        "draughts": [{"mark": m["name"], "reading_m": DRAUGHT_M + heel[0] * m["y_m"]} for m in marks],
        "inclining_weights": [{"id": name, "mass_t": WEIGHT_T} for name in HOMES],
        "states": [
            {
                "number": k,
                "positions": {w: [x, -y if w in moved else y, WEIGHT_Z_M] for w, (x, y) in HOMES.items()},
            }
            for k, moved in enumerate(sequence)
        ],
        "instruments": [
            {"id": name, "kind": "pendulum", "length_m": length}
            if zero_deg is None
            else {"id": name, "kind": "inclinometer"}
            for name, length in instruments.items()
        ],
        "readings": readings,
    }


def reduced(record: Document, uncertainty: str = "none", draws: int | None = None) -> TestResult:
    """The reduction of a document."""
    return reduce_record(from_document(TestRecord, record), uncertainty=uncertainty, draws=draws)
