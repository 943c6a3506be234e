"""Readings that do not show the ship heeling with the weights are refused, each instrument judged by itself."""

from __future__ import annotations

import math

import numpy as np
import pytest
from heelwright_service.core.errors import CoreError

from .own_box import Document, box_record, reduced, tangents


def pendulums(*lengths_m: float) -> Document:
    record = box_record()
    record["instruments"] = [{"id": f"P{i}", "kind": "pendulum", "length_m": x} for i, x in enumerate(lengths_m, 1)]
    record["readings"] = [
        {"state": k, "instrument": f"P{i}", "value_mm": 1000.0 * x * t}
        for k, t in enumerate(tangents())
        for i, x in enumerate(lengths_m, 1)
    ]
    return record


def negated(record: Document, *names: str) -> Document:
    readings = [
        one | {"value_mm": -one["value_mm"]} if one["instrument"] in names else one for one in record["readings"]
    ]
    return record | {"readings": readings}


def refusal(record: Document) -> CoreError:
    with pytest.raises(CoreError) as caught:
        reduced(record)
    return caught.value


@pytest.mark.parametrize("lengths_m", [(4.0, 5.0, 6.0), (4.0, 4.5, 5.0, 5.5, 6.0)])
def test_one_reversed_pendulum_among_others_is_refused_by_name(lengths_m: tuple[float, ...]) -> None:
    found = refusal(negated(pendulums(*lengths_m), "P2"))
    assert found.code == "instrument-reversed"
    assert found.pointer == "/instruments/1"
    assert "P2 shows" in found.message
    assert "negate its readings, or withdraw them with a reason" in found.message


def test_of_two_that_disagree_the_one_against_the_moments_is_the_reversed_one() -> None:
    found = refusal(negated(pendulums(4.0, 5.0), "P1"))
    assert found.code == "instrument-reversed"
    assert found.pointer == "/instruments/0"
    assert "P2 shows her heeling with them" in found.message
    assert "positive to port" in found.message


def test_pooled_slopes_that_cancel_are_a_reversed_instrument_and_no_division_by_zero() -> None:
    record = negated(pendulums(5.0, 5.0), "P1")
    assert refusal(record).code == "instrument-reversed"


def test_all_reversed_names_the_instruments() -> None:
    found = refusal(negated(pendulums(4.0, 5.0), "P1", "P2"))
    assert found.code == "slope-not-positive"
    assert "P1 and P2" in found.message


@pytest.mark.parametrize("seed", range(12))
def test_pure_noise_is_refused_and_never_a_result(seed: int) -> None:
    rng = np.random.default_rng(seed)
    record = pendulums(4.0, 5.0)
    record["readings"] = [one | {"value_mm": float(rng.normal(0.0, 2.0))} for one in record["readings"]]
    found = refusal(record)
    assert found.code in ("slope-not-certain", "slope-not-positive", "instrument-reversed")
    assert found.pointer in ("/readings", "/instruments/0", "/instruments/1")


def test_noise_names_the_cause_in_standard_errors() -> None:
    record = pendulums(4.0)
    record["readings"] = [
        one | {"value_mm": 3.0 * math.sin(12.9898 * (i + 1))} for i, one in enumerate(record["readings"])
    ]
    found = refusal(record)
    assert found.code == "slope-not-certain"
    assert "standard error, and at least 3 times is asked" in found.message


def test_a_tiny_test_with_ordinary_errors_is_not_refused() -> None:
    record = pendulums(4.0)
    record["states"] = record["states"][:3]
    errors = (0.0, 1.0, -1.0)
    record["readings"] = [
        one | {"value_mm": one["value_mm"] + errors[one["state"]]} for one in record["readings"] if one["state"] < 3
    ]
    assert reduced(record).small_angle is not None


def test_a_withdrawn_reversed_instrument_counts_no_more() -> None:
    record = negated(pendulums(4.0, 5.0, 6.0), "P2")
    record["readings"] = [
        one | {"withdrawn_reason": "signs of the batten"} if one["instrument"] == "P2" else one
        for one in record["readings"]
    ]
    assert reduced(record).lightship.vcg_m == pytest.approx(reduced(pendulums(4.0, 6.0)).lightship.vcg_m, abs=1e-9)


@pytest.mark.parametrize("factor", [0.0, 0.001, -0.001])
def test_an_instrument_that_stands_still_beside_others_is_refused_by_name(factor: float) -> None:
    record = pendulums(4.0, 5.0, 6.0)
    for one in record["readings"]:
        one["value_mm"] *= factor if one["instrument"] == "P3" else 1.0
    found = refusal(record)
    assert found.code in ("instrument-without-heel", "instrument-reversed")
    assert found.pointer == "/instruments/2"
    assert "P3" in found.message


def test_two_still_instruments_do_not_hide_behind_their_majority() -> None:
    record = pendulums(4.0, 5.0, 6.0)
    for one in record["readings"]:
        one["value_mm"] *= 0.001 if one["instrument"] != "P3" else 1.0
    assert refusal(record).code == "instrument-without-heel"
