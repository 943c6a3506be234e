"""Entries that can be computed and are hardly meant are named, with the field and the side."""

from __future__ import annotations

from typing import Any

import pytest
from heelwright_service.core.results import Check

from ..own_box import Document, box_record, reduced, tangents
from ..test_limits_of_the_nominal_record import on_table


def check(record: Document, name: str) -> Check:
    return next(one for one in reduced(record).checks if one.id == name)


def told(record: Document, words: str) -> list[str]:
    return [text for text in reduced(record).cautions if words in text]


@pytest.mark.parametrize(
    ("field", "value", "aspect"),
    [("breadth_m", 24.0, "breadth"), ("depth_m", 60.0, "depth"), ("depth_m", 3.0, "depth")],
)
def test_particulars_of_another_ship_fail_with_both_figures(field: str, value: float, aspect: str) -> None:
    record = box_record()
    record["vessel"][field] = value
    found = check(record, f"particulars-{aspect}")
    assert found.status == "fail"
    assert f"{value:.2f} m" in found.text
    assert {"breadth": "12.00 m", "depth": "6.00 m"}[aspect] in found.text
    assert check(box_record(), f"particulars-{aspect}").status == "pass"


def test_a_length_of_another_ship_fails() -> None:
    record = box_record()
    record["vessel"]["length_bp_m"] = 28.0
    assert check(record, "particulars-length").status == "fail"


@pytest.mark.parametrize(("axis", "value"), [("y_m", 60.0), ("x_m", 470.0)])
def test_a_mark_off_the_ship_fails_by_name(axis: str, value: float) -> None:
    record = box_record()
    record["vessel"]["marks"][5][axis] = value
    found = check(record, "marks-in-ship")
    assert found.status == "fail"
    assert "FS" in found.text
    assert check(box_record(), "marks-in-ship").status == "pass"


@pytest.mark.parametrize(("mass_t", "asked"), [(8.0, True), (0.8, True), (0.008, True), (0.08, False)])
def test_a_person_of_impossible_mass_is_asked_about_with_the_unit(mass_t: float, asked: bool) -> None:
    record = box_record()
    record["persons"] = [{"name": "K. Lund", "mass_t": mass_t, "x_m": 20.0, "y_m": 0.0, "z_m": 6.0}]
    found = told(record, "mass of one person")
    assert bool(found) == asked
    if asked:
        assert "K. Lund" in found[0]
        assert "tonnes" in found[0]


def tank(state: str, sounding_m: float) -> Document:
    record = box_record()
    rows = [
        {"sounding_m": h, "volume_m3": 40.0 * h, "x_m": 25.0, "y_m": 0.0, "z_m": h / 2, "i_t_m4": 53.3, "i_l_m4": 333.3}
        for h in (0.0, 1.0, 2.0)
    ]
    pipe = {"x_m": 25.0, "y_m": 0.0, "zero_z_m": 0.0}
    record["vessel"]["tanks"] = [{"name": "WB 1", "capacity_m3": 80.0, "pipe": pipe, "table": rows}]
    record["soundings"] = [{"tank": "WB 1", "state": state, "sounding_m": sounding_m, "density_t_per_m3": 1.025}]
    return record


def test_a_tank_stated_empty_that_holds_liquid_fails_on_the_unsafe_side() -> None:
    found = check(tank("empty", 0.8), "K-01-empty")
    assert (found.status, found.side) == ("fail", "unsafe")
    assert check(tank("empty", 0.0), "K-01-empty").status == "pass"


def test_a_tank_that_nobody_sounded_fails() -> None:
    assert check(tank("empty", 0.0) | {"soundings": []}, "RP-03").status == "fail"


@pytest.mark.parametrize(
    ("field", "value"), [("weight_mass_relative", 0.5), ("draught_m", 1.0), ("hull_volume_relative", 0.5)]
)
def test_an_absurd_uncertainty_is_named(field: str, value: float) -> None:
    found = told(box_record() | {"uncertainties": {field: value}}, "far beyond the usual")
    assert len(found) == 1
    assert field in found[0]


def test_uncertainties_of_zero_are_named_as_too_narrow() -> None:
    found = told(box_record() | {"uncertainties": {"draught_m": 0.0, "km_m": 0.0}}, "stated as exactly 0")
    assert len(found) == 1
    assert "draught_m and km_m" in found[0]
    assert found[0].startswith("Unsafe side")


@pytest.mark.parametrize(("off_deg", "status"), [(0.0, "pass"), (1.0, "warn"), (-1.0, "warn")])
def test_an_upright_zero_that_disagrees_with_the_waterline_is_told(off_deg: float, status: str) -> None:
    record = box_record(0.3, zero_deg=0.0)
    record["instruments"][1]["zero"] = "upright"
    for one in record["readings"]:
        one["value_deg"] += off_deg if one["instrument"] == "P2" else 0.0
    found = check(record, "upright-zero")
    assert found.status == status
    assert "P2" in found.text


def appended(**changes: Any) -> Document:
    record = box_record()
    one = {"name": "skeg", "volume_m3": 2.0, "x_m": 5.0, "y_m": 0.0, "z_m": 0.5} | changes
    record["vessel"]["hull"]["appendages"] = [one]
    return record


def test_an_appendage_as_large_as_the_hull_or_above_the_water_is_told_by_name() -> None:
    assert check(appended(), "appendages-size").status == "pass"
    assert check(appended(), "appendages-height").status == "pass"
    large, dry = check(appended(volume_m3=900.0), "appendages-size"), check(appended(z_m=5.0), "appendages-height")
    assert (large.status, dry.status) == ("warn", "warn")
    assert "skeg" in large.text
    assert "skeg" in dry.text


@pytest.mark.parametrize("row", range(5))
@pytest.mark.parametrize("field", ["km_t_m", "volume_m3", "lcb_m"])
def test_a_slip_in_one_row_of_a_table_shows_as_a_leap(row: int, field: str) -> None:
    record = on_table(0.0)
    assert check(record, "table-smooth").status == "pass"
    rows = record["vessel"]["hydrostatic_table"]["rows"]
    rows[row][field] += {"km_t_m": 4.0, "volume_m3": 150.0, "lcb_m": 10.0}[field]
    found = check(record, "table-smooth")
    assert found.status == "warn"


@pytest.mark.parametrize(("mass_t", "status"), [(1236.0, "pass"), (1100.0, "pass"), (3000.0, "fail"), (400.0, "fail")])
def test_a_lightship_far_from_the_approved_one_fails_with_the_likely_slips(mass_t: float, status: str) -> None:
    record = box_record()
    record["vessel"]["approved_lightship"] = {"mass_t": mass_t, "lcg_m": 25.0, "vcg_m": 4.96}
    found = check(record, "approved-mass")
    assert found.status == status
    assert ("freeboards entered as draughts" in found.text) == (status == "fail")


def test_the_same_instrument_read_twice_in_a_state_is_said_to_be_averaged() -> None:
    record = box_record()
    twice = record["readings"][3]
    doubled = record | {"readings": [*record["readings"], dict(twice)]}
    assert len(told(doubled, "more than once without different numbers")) == 1
    numbered = record | {"readings": [*record["readings"], twice | {"repeat": 1}]}
    assert not told(numbered, "more than once without different numbers")
    withdrawn = record | {"readings": [*record["readings"], twice | {"withdrawn_reason": "slip"}]}
    assert not told(withdrawn, "more than once without different numbers")


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize(("factor", "status"), [(1.02, "pass"), (1.3, "fail"), (0.5, "fail"), (0.1, "fail")])
def test_an_instrument_that_tells_another_ship_fails_by_name(count: int, factor: float, status: str) -> None:
    record = box_record()
    lengths = {"P1": 4.0, "P2": 5.0, "P3": 6.0}
    names = list(lengths)[:count]
    record["instruments"] = [{"id": n, "kind": "pendulum", "length_m": lengths[n]} for n in names]
    record["readings"] = [
        {"state": k, "instrument": n, "value_mm": 1000.0 * lengths[n] * t * (factor if n == "P2" else 1.0)}
        for k, t in enumerate(tangents())
        for n in names
    ]
    found = check(record, "instrument-slope")
    assert found.status == status
    assert "P2" in found.text


def test_noisy_instruments_that_agree_within_their_scatter_do_not_fail() -> None:
    record = box_record()
    for i, one in enumerate(record["readings"]):
        one["value_mm"] += (-1.0) ** (i * i // 3) * 40.0
    assert check(record, "instrument-slope").status == "pass"


def test_a_bend_that_no_ship_has_fails() -> None:
    record = box_record()
    for one in record["draughts"]:
        one["reading_m"] += 3.0 if one["mark"].startswith("M") else 0.0
    found = check(record, "hog-possible")
    assert found.status == "fail"
    assert "sag" in found.text
    assert check(box_record(), "hog-possible").status == "pass"
