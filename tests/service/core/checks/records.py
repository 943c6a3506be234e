"""Records to be judged: a test on a box that keeps every rule, changed one thing at a time."""

from __future__ import annotations

import json
from collections.abc import Sequence
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from heelwright_service.core.checks import CheckInput, Judgement, judge
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import Method, work_out
from heelwright_service.core.results import Check

Document = dict[str, Any]

SIMULATED = Path(__file__).parents[3] / "reference" / "simulated"
SIMULATED_NAMES = tuple(sorted(path.name.split(".")[0] for path in SIMULATED.glob("*.record.json")))

# Displacement 2500 t in water of 1.025, breadth 14 m and KM 7.100 m ask T/2 + B²/(12·T) = KM, so T = 2.8877 m and
# L = Δ/(ρ·B·T): the perfect test of a wall-sided hull, GM 0.950 m, four weights of 3 t shifted by 12 m.
DENSITY = 1.025
BREADTH_M = 14.0
DEPTH_M = 8.0
DRAUGHT_M = 7.1 - (7.1**2 - BREADTH_M**2 / 6.0) ** 0.5
LENGTH_M = 2500.0 / (DENSITY * BREADTH_M * DRAUGHT_M)
SLOPE = 1.0 / (2500.0 * 0.950)
MOMENTS_T_M = (0.0, 36.0, 72.0, 36.0, 0.0, -36.0, -72.0, -36.0, 0.0)
LENGTHS_M = {"P1": 6.0, "P2": 5.5, "P3": 5.0}
HOMES = {"A": (20.0, -6.0), "B": (22.0, -6.0), "C": (38.0, 6.0), "D": (40.0, 6.0)}
ACROSS = ("", "A", "AB", "B", "", "C", "CD", "D", "")


def box_tank(
    name: str, x_m: float, y_m: float, low_m: float, high_m: float, length_m: float, breadth_m: float
) -> Document:
    """A rectangular tank with its table."""
    height, area = high_m - low_m, length_m * breadth_m
    rows = [
        {
            "sounding_m": sounding,
            "volume_m3": area * sounding,
            "x_m": x_m,
            "y_m": y_m,
            "z_m": low_m + sounding / 2,
            "i_t_m4": length_m * breadth_m**3 / 12,
            "i_l_m4": length_m**3 * breadth_m / 12,
        }
        for sounding in np.linspace(0.0, height, 11).tolist()
    ]
    pipe = {"x_m": x_m, "y_m": y_m, "zero_z_m": low_m}
    return {"name": name, "capacity_m3": area * height, "pipe": pipe, "table": rows}


def readings(tangents: Sequence[float], lengths_m: dict[str, float] = LENGTHS_M) -> list[Document]:
    """The tangents of the states as every pendulum shows them."""
    return [
        {"state": state, "instrument": name, "value_mm": 1000.0 * length * tangent}
        for state, tangent in enumerate(tangents)
        for name, length in lengths_m.items()
    ]


def states(across: Sequence[str] = ACROSS) -> list[Document]:
    """The states in which the named weights stand on the other side."""
    return [
        {
            "number": number,
            "positions": {name: [x, -y if name in moved else y, DEPTH_M + 0.5] for name, (x, y) in HOMES.items()},
        }
        for number, moved in enumerate(across)
    ]


def hull_table(trims_m: Sequence[float] = (0.0,)) -> Document:
    """The box as a hydrostatic table; its trimmed rows are those of the upright wall-sided box."""
    rows = []
    for draught in np.linspace(2.0, 4.0, 9).tolist():
        for trim in trims_m:
            longitudinal = LENGTH_M**2 / (12 * draught)
            rows.append(
                {
                    "draught_m": draught,
                    "trim_m": trim,
                    "volume_m3": LENGTH_M * BREADTH_M * draught,
                    "lcb_m": LENGTH_M / 2 - longitudinal * trim / LENGTH_M,
                    "vcb_m": draught / 2,
                    "km_t_m": draught / 2 + BREADTH_M**2 / (12 * draught),
                    "lcf_m": LENGTH_M / 2,
                    "km_l_m": draught / 2 + longitudinal,
                }
            )
    return {"rows": rows}


def clean() -> Document:
    """A record that keeps every rule."""
    contour = [[0.0, 0.0], [BREADTH_M / 2, 0.0], [BREADTH_M / 2, DEPTH_M]]
    return {
        "vessel": {
            "name": "Box of the tests",
            "length_bp_m": LENGTH_M,
            "breadth_m": BREADTH_M,
            "depth_m": DEPTH_M,
            "hull": {"stations": [{"x_m": x, "contour_m": contour} for x in (0.0, LENGTH_M)]},
            "marks": [
                {"name": f"{where} {side}", "x_m": share * LENGTH_M, "y_m": sign * BREADTH_M / 2, "zero_z_m": 0.0}
                for where, share in (("aft", 0.05), ("midship", 0.5), ("forward", 0.95))
                for side, sign in (("port", -1.0), ("starboard", 1.0))
            ],
            "tanks": [
                box_tank("FW 1", 20.0, 0.0, 0.5, 2.5, 10.0, 6.0),
                box_tank("WB 2P", 30.0, -3.0, 0.0, 1.2, 8.0, 5.0),
                box_tank("WB 2S", 30.0, 3.0, 0.0, 1.2, 8.0, 5.0),
                box_tank("WB 3P", 40.0, -3.0, 0.0, 1.2, 8.0, 5.0),
                box_tank("WB 3S", 40.0, 3.0, 0.0, 1.2, 8.0, 5.0),
            ],
        },
        "test": {"date": "2024-03-05", "rule_set": "solas-2020"},
        "water": {"samples": [{"density_t_per_m3": DENSITY, "depth_m": depth} for depth in (0.5, 1.5, 2.8)]},
        "freeboards": [
            {"x_m": x, "y_m": sign * 7.0, "point_z_m": DEPTH_M, "reading_m": DEPTH_M - DRAUGHT_M}
            for x in (3.0, 16.0, 30.0, 44.0, 57.0)
            for sign in (-1.0, 1.0)
        ],
        "soundings": [
            _sounding("FW 1", "slack", 1.0),
            _sounding("WB 2P", "empty", 0.0),
            _sounding("WB 2S", "empty", 0.0),
            _sounding("WB 3P", "pressed", 1.2),
            _sounding("WB 3S", "pressed", 1.2),
        ],
        "items": [
            _item("Tools in the workshop", "surplus", 4.0, 40.0, 0.0, 6.0),
            _item("Liferafts", "missing", 3.5, 25.0, 0.0, 14.0),
            _item("Paint of the holds", "missing", 6.0, 30.0, 0.0, 6.0),
        ],
        "persons": [
            {"name": name, "mass_t": 0.08, "x_m": 33.0, "y_m": y, "z_m": 9.0} for name, y in (("one", -1), ("two", 1))
        ],
        "inclining_weights": [{"id": name, "mass_t": 3.0} for name in HOMES],
        "states": states(),
        "instruments": [{"id": name, "kind": "pendulum", "length_m": length} for name, length in LENGTHS_M.items()],
        "readings": readings([SLOPE * moment for moment in MOMENTS_T_M]),
    }


def _sounding(tank: str, state: str, sounding_m: float) -> Document:
    return {
        "tank": tank,
        "state": state,
        "sounding_m": sounding_m,
        "density_t_per_m3": 1.0 if tank.startswith("FW") else DENSITY,
        "evidence": "sounded",
    }


def _item(description: str, kind: str, mass_t: float, x_m: float, y_m: float, z_m: float) -> Document:
    return {"description": description, "kind": kind, "mass_t": mass_t, "x_m": x_m, "y_m": y_m, "z_m": z_m}


def survey() -> Document:
    """The same ship surveyed for weight only."""
    record = clean()
    for name in ("states", "readings", "instruments", "inclining_weights"):
        del record[name]
    return record


@cache
def _simulated_text(name: str) -> str:
    return (SIMULATED / f"{name}.record.json").read_text()


def simulated(name: str) -> Document:
    """A record made elsewhere, by floating a hull of triangles."""
    record: Document = json.loads(_simulated_text(name))
    return record


def changed(record: Document, *path: str | int, to: object) -> Document:
    """A copy of a record with one thing changed."""
    copy = deepcopy(record)
    place: Any = copy
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = to
    return copy


def given_of(record: Document, u95_m: float | None = 0.02, method: Method | None = None) -> CheckInput:
    """What the checks look at."""
    return _given(json.dumps(record), u95_m, method)


@cache
def _given(text: str, u95_m: float | None, method: Method | None) -> CheckInput:
    work = work_out(from_document(TestRecord, json.loads(text)), method)
    return CheckInput(work.test, work.outcome, u95_m, work.hull, work.table)


def judged(record: Document, u95_m: float | None = 0.02, method: Method | None = None) -> Judgement:
    """The judgement of a record, worked out once."""
    return _judged(json.dumps(record), u95_m, method)


@cache
def _judged(text: str, u95_m: float | None, method: Method | None) -> Judgement:
    return judge(_given(text, u95_m, method))


def check(record: Document, check_id: str, u95_m: float | None = 0.02, method: Method | None = None) -> Check:
    """One check of a record."""
    found = [each for each in judged(record, u95_m, method).checks if each.id == check_id]
    assert len(found) == 1, (check_id, found)
    return found[0]


def statuses(record: Document) -> dict[str, str]:
    """Status by check."""
    return {each.id: each.status for each in judged(record).checks}
