"""What a disturbance looks like in the readings of ships of eight kinds, and whether its cause is named.

Readings of simulated tests (another code floats the ships) with the scatter of a careful day; on top of it a moment
that nobody knows of, as a change of the tangent that it makes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest
from heelwright_service.core.checks import CheckInput
from heelwright_service.core.checks.line import moment_line
from heelwright_service.core.checks.outliers import outlier
from heelwright_service.core.checks.pattern_hints import cautions, telling_pattern
from heelwright_service.core.checks.patterns import patterns
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import work_out

from tests.support.simulator import Noise, Options, simulate

Document = dict[str, Any]
Moment = Callable[[float, float, float], float]
"""Change of the tangent by the change of heel, the largest heel and how much of the test is done."""

KINDS = (
    "box_barge", "raked_barge", "wall_sided", "round_bilge", "hard_chine", "catamaran", "transom_cargo", "bulbous_bow",
)  # fmt: skip

DISTURBANCES: Mapping[str, tuple[Moment, str, str]] = {
    "nothing": (lambda t, most, done: 0.0, "none", ""),
    "a line that holds to starboard": (
        lambda t, most, done: -0.08 * max(t, 0.0), "starboard-stiffness", "starboard side heels less",
    ),
    "a line that holds to port": (
        lambda t, most, done: -0.08 * min(t, 0.0), "starboard-stiffness", "port side heels less",
    ),
    "the bottom met at the largest heel to starboard": (
        lambda t, most, done: -0.5 * max(t - 0.75 * most, 0.0), "starboard-stop", "sound the depth on the starboard",
    ),
    "the bottom met at the largest heel to port": (
        lambda t, most, done: -0.5 * min(t + 0.75 * most, 0.0), "port-stop", "sound the depth on the port",
    ),
    "fenders met on both sides": (
        lambda t, most, done: -0.4 * float(np.sign(t)) * max(abs(t) - 0.6 * most, 0.0), "bend", "less than in propor",
    ),
    "liquid nobody counted": (
        lambda t, most, done: 0.06 * most * float(np.tanh(t / (0.25 * most))), "bend", "pool of liquid",
    ),
    "wind while she lay to starboard": (
        lambda t, most, done: 0.05 * most if t > 0.05 * most else 0.0, "starboard-step", "wind",
    ),
    "a zero that wanders": (lambda t, most, done: 0.05 * most * done, "drift", "open valve"),
}  # fmt: skip


@cache
def read_with_scatter(kind: str) -> Document:
    made = simulate(kind, 31, options=Options(refine=1, weights=4, instruments=["pendulum"] * 3))
    return made.noisy(np.random.default_rng([31, len(kind)]), Noise.usual()).record


def disturbed(record: Document, moment: Moment) -> Document:
    lengths = {one["id"]: 1e3 * one["length_m"] for one in record["instruments"]}
    zeros = {one["instrument"]: one["value_mm"] for one in record["readings"] if one["state"] == 0}
    change = {
        (one["state"], one["instrument"]): (one["value_mm"] - zeros[one["instrument"]]) / lengths[one["instrument"]]
        for one in record["readings"]
    }
    most, last = max(map(abs, change.values())), max(state for state, _ in change)
    rows = []
    for one in record["readings"]:
        t = change[one["state"], one["instrument"]]
        more = moment(t, most, one["state"] / last) * lengths[one["instrument"]]
        rows.append(one | {"value_mm": one["value_mm"] + more})
    return record | {"readings": rows}


def named(record: Document) -> tuple[str, str]:
    """The pattern told, and the sentence."""
    work = work_out(from_document(TestRecord, record))
    given = CheckInput(work.test, work.outcome, None, work.hull, work.table)
    line = moment_line(given)
    assert line is not None
    if outlier(given, line) is not None:
        return "outlier", ""
    pattern = telling_pattern(given, patterns(given, line))
    return ("none", "") if pattern is None else (pattern.name, cautions(given)[0].text)


@pytest.mark.parametrize("disturbance", sorted(DISTURBANCES))
def test_the_pattern_told_is_that_of_the_disturbance_on_ships_of_eight_kinds(disturbance: str) -> None:
    """Nothing is told of a quiet day; else the right shape on at least six of the eight, a wrong one on none."""
    moment, shape, words = DISTURBANCES[disturbance]
    found = {kind: named(disturbed(read_with_scatter(kind), moment)) for kind in KINDS}
    counted = Counter(name for name, _ in found.values())
    print(disturbance, dict(counted))
    assert set(counted) <= {shape, "none"}
    assert counted[shape] >= (len(KINDS) if shape == "none" else 6)
    for name, text in found.values():
        assert name == "none" or words in text


def test_one_instrument_that_drags_is_told_from_the_ship() -> None:
    record = read_with_scatter("round_bilge")
    first = record["instruments"][0]["id"]
    whole = disturbed(record, lambda t, most, done: 0.2 * most * done)
    by = {(one["state"], one["instrument"]): one for one in whole["readings"]}
    mixed = [by[one["state"], first] if one["instrument"] == first else one for one in record["readings"]]
    name, text = named(record | {"readings": mixed})
    assert name == "drift"
    assert text.startswith(f"{first} alone shows a drift from state to state")
