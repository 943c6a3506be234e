"""A box barge whose every figure is known in closed form, as a test record.

50 x 12 m, 1 260 t in water of 1.025 t/m³ (T 2.049 m, KM 6.882 m), everything aboard at 5.000 m (GM 1.882 m); one move
of 10 t over 8 m heels her by 1.93°, 135 mm on a pendulum of 4.0 m; lightship 1 200 t at 5.000 m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from heelwright_service.core.equilibrium import float_free
from heelwright_service.core.hull import Hull
from heelwright_service.core.record import (
    DraughtReading,
    HullDocument,
    IncliningWeight,
    Instrument,
    Item,
    Mark,
    Reading,
    State,
    StatedUncertainties,
    Station,
    TestRecord,
    Vessel,
    Water,
    WaterSample,
)

LENGTH_M, BREADTH_M, DEPTH_M, DENSITY = 50.0, 12.0, 6.0, 1.025
DISPLACEMENT_T, KG_M, LIGHT_T = 1260.0, 5.0, 1200.0
DRAUGHT_M = DISPLACEMENT_T / (DENSITY * LENGTH_M * BREADTH_M)
KM_M = DRAUGHT_M / 2.0 + BREADTH_M**2 / (12.0 * DRAUGHT_M)
PENDULUM_M, WEIGHT_T, SHIFT_M = 4.0, 10.0, 8.0
SIDES = {"A": -1.0, "B": 1.0}
MOVES: Sequence[str] = ("", "A", "", "B", "")
MIDDLE_M = LENGTH_M / 2.0

_CONTOUR = [(0.0, 0.0), (BREADTH_M / 2.0, 0.0), (BREADTH_M / 2.0, DEPTH_M)]
_MARKS = [
    Mark(f"{place} {side}", x, y, 0.0)
    for place, x in (("aft", 0.0), ("midship", MIDDLE_M), ("forward", LENGTH_M))
    for side, y in (("port", -6.0), ("starboard", 6.0))
]


def box_record(moves: Sequence[str] = MOVES, pendulums: int = 1, **stated: float) -> TestRecord:
    """The test of the box, read without error; further arguments are its stated standard uncertainties."""
    document = HullDocument([Station(0.0, _CONTOUR), Station(LENGTH_M, _CONTOUR)])
    places = [{name: _place(name, moved) for name in SIDES} for moved in moves]
    instruments = [Instrument(f"P{i + 1}", "pendulum", PENDULUM_M) for i in range(pendulums)]
    tangents = _tangents(Hull.from_document(document, LENGTH_M), places)
    surplus = DISPLACEMENT_T - LIGHT_T - WEIGHT_T * len(SIDES)
    return TestRecord(
        Vessel(LENGTH_M, breadth_m=BREADTH_M, depth_m=DEPTH_M, hull=document, marks=_MARKS),
        Water([WaterSample(DENSITY)]),
        draughts=[DraughtReading(mark.name, DRAUGHT_M) for mark in _MARKS],
        items=[Item("stores", "surplus", surplus, MIDDLE_M, 0.0, KG_M)],
        inclining_weights=[IncliningWeight(name, WEIGHT_T) for name in SIDES],
        states=[State(k, place) for k, place in enumerate(places)],
        instruments=instruments,
        readings=[
            Reading(k, one.id, value_mm=1000.0 * PENDULUM_M * tangent)
            for k, tangent in enumerate(tangents)
            for one in instruments
        ],
        uncertainties=StatedUncertainties(**stated),
    )


def misread(record: TestRecord, standard_m: float, seed: int) -> TestRecord:
    """The record with a normal error on every reading."""
    errors = 1000.0 * standard_m * np.random.default_rng(seed).standard_normal(len(record.readings))
    readings = [
        replace(one, value_mm=(one.value_mm or 0.0) + float(error))
        for one, error in zip(record.readings, errors, strict=True)
    ]
    return replace(record, readings=readings)


def without_doubt(**stated: float) -> dict[str, Any]:
    """Standard uncertainties of zero for everything but what is named."""
    return {**dict.fromkeys(StatedUncertainties.__dataclass_fields__, 0.0), **stated}


def _place(name: str, moved: str) -> tuple[float, float, float]:
    side = -SIDES[name] if name in moved else SIDES[name]
    return (MIDDLE_M, side * SHIFT_M / 2.0, KG_M)


def _tangents(hull: Hull, places: Sequence[dict[str, tuple[float, float, float]]]) -> list[float]:
    moments = [sum(WEIGHT_T * place[1] for place in state.values()) for state in places]
    across = np.array(moments) / DISPLACEMENT_T
    return [float(t) for t in float_free(hull, DISPLACEMENT_T, MIDDLE_M, across, KG_M, DENSITY).slope_y]
