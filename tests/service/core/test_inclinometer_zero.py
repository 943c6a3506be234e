"""The zero of an inclinometer is an angle: no zero, however far off, changes what the ship is found to be."""

from __future__ import annotations

import math

import pytest

from .own_box import DISPLACEMENT_T, GM_M, VCG_M, Document, box_record, reduced

CLOSE_M = 0.00005


@pytest.mark.parametrize("zero_deg", [-5.0, -2.0, 0.0, 2.0, 5.0])
@pytest.mark.parametrize("list_deg", [0.0, 1.5, -1.5])
def test_a_zero_up_to_five_degrees_off_changes_nothing(zero_deg: float, list_deg: float) -> None:
    found = reduced(box_record(list_deg, zero_deg=zero_deg))
    assert found.lightship.vcg_m == pytest.approx(VCG_M, abs=CLOSE_M)
    assert found.small_angle is not None
    pendulums = reduced(box_record(list_deg)).small_angle
    assert pendulums is not None
    assert found.small_angle.gm_fluid_m == pytest.approx(pendulums.gm_fluid_m, abs=CLOSE_M)


def test_an_instrument_that_was_not_read_in_the_first_state_has_its_zero_found_from_the_others() -> None:
    record = box_record(1.5, zero_deg=5.0)
    record["readings"] = [one for one in record["readings"] if (one["state"], one["instrument"]) != (0, "P2")]
    assert reduced(record).lightship.vcg_m == pytest.approx(VCG_M, abs=CLOSE_M)


def test_a_test_to_one_side_is_as_free_of_the_zero() -> None:
    record = box_record(1.5, ("", "A", "AB", "B", ""), zero_deg=5.0)
    assert reduced(record).lightship.vcg_m == pytest.approx(VCG_M, abs=CLOSE_M)


def test_samples_and_repeated_readings_behave_as_single_ones() -> None:
    record = box_record(1.5, zero_deg=5.0)
    for one in record["readings"]:
        middle = one.pop("value_deg")
        one["samples_deg"] = [middle + 0.2 * math.sin(2.0 * math.pi * i / 40.0) for i in range(130)]
    record["readings"] += [one | {"repeat": 1} for one in record["readings"] if one["state"] in (2, 6)]
    assert reduced(record).lightship.vcg_m == pytest.approx(VCG_M, abs=0.0002)


def test_an_inclinometer_that_knows_the_upright_ship_keeps_its_reading_as_it_is() -> None:
    record = box_record(1.5, zero_deg=0.0)
    record["instruments"][0]["zero"] = "upright"
    record["readings"] = [
        one | {"value_deg": one["value_deg"] + (5.0 if one["instrument"] == "P2" else 0.0)}
        for one in record["readings"]
    ]
    found = reduced(record)
    assert found.lightship.vcg_m == pytest.approx(VCG_M, abs=CLOSE_M)
    assert found.lightship.tcg_m == pytest.approx(reduced(box_record(1.5)).lightship.tcg_m, abs=1e-5)


def test_the_interval_does_not_care_for_the_zero() -> None:
    def widths(zero_deg: float) -> Document:
        doubts = reduced(_shaken(zero_deg), "linear").uncertainty
        assert doubts is not None
        return {name: each.standard for name, each in doubts.quantities.items() if each is not None}

    assert widths(5.0) == pytest.approx(widths(0.0), rel=0.01)


def _shaken(zero_deg: float) -> Document:
    """Readings with a fixed pattern of errors of a hundredth of a degree."""
    record = box_record(0.5, zero_deg=zero_deg)
    for i, one in enumerate(record["readings"]):
        one["value_deg"] += 0.01 * math.sin(12.9898 * (i + 1))
    return record


def test_the_displaced_ship_is_the_box() -> None:
    found = reduced(box_record(1.5, zero_deg=5.0))
    assert found.as_inclined.displacement_t == pytest.approx(DISPLACEMENT_T, rel=1e-9)
    assert found.heeled_equilibrium is not None
    assert found.heeled_equilibrium.gm_fluid_m == pytest.approx(GM_M, abs=CLOSE_M)
