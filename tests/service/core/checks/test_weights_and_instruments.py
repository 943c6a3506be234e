"""Inclining weights, the sequence, and what reads the heel."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from .records import (
    LENGTHS_M,
    MOMENTS_T_M,
    SLOPE,
    Document,
    changed,
    check,
    clean,
    judged,
    readings,
    simulated,
    states,
    statuses,
)

TANGENTS = [SLOPE * moment for moment in MOMENTS_T_M]


def scaled(factor: float, lengths_m: dict[str, float] = LENGTHS_M) -> Document:
    """The test with every heel scaled, as by another GM."""
    record = changed(clean(), "readings", to=readings([factor * t for t in TANGENTS], lengths_m))
    record["instruments"] = [{"id": name, "kind": "pendulum", "length_m": length} for name, length in lengths_m.items()]
    return record


def test_heel_to_each_side_is_told_with_its_moment() -> None:
    found = check(clean(), "W-01")
    assert found.status == "pass"
    # tan φ = 72/2375: 1.736°; the fit on the box itself gives 1.74°
    assert "1.74° to starboard (72.0 t·m)" in found.text


def test_too_little_heel_fails() -> None:
    found = check(scaled(0.5), "W-01")
    assert (found.status, found.limit) == ("fail", 1.0)


def test_too_much_heel_fails() -> None:
    found = check(scaled(2.5), "W-01")
    assert (found.status, found.limit) == ("fail", 4.0)


def test_little_heel_with_enough_deflection_is_for_the_authority() -> None:
    found = check(scaled(0.5, {"P1": 11.0, "P2": 10.5, "P3": 10.0}), "W-01")
    assert found.status == "warn"
    assert "the authority decides" in found.text


def test_a_test_to_one_side_only_fails() -> None:
    record = clean()
    record["states"] = record["states"][:5]
    record["readings"] = readings(TANGENTS[:5])
    found = statuses(record)
    assert (found["W-01"], found["C-07-sides"], found["H-04"]) == ("fail", "not-assessed", "fail")


def test_a_french_fishing_vessel_is_heeled_by_two_to_three_degrees_four_times() -> None:
    # France, arrêté of 23 November 1987, division 211, art. 211-2.05 para 3
    french = changed(clean(), "test", "rule_set", to="fishing-24m")
    assert statuses(french)["W-01"] == "fail"
    more = changed(scaled(1.5), "test", "rule_set", to="fishing-24m")
    found = statuses(more)
    assert (found["W-01"], found["W-04"]) == ("pass", "warn")
    assert "W-04" not in statuses(clean())
    more["states"] = states(("", "AB", "", "AB", "", "CD", "", "CD", ""))
    more["readings"] = readings([1.5 * SLOPE * moment for moment in (0, 72, 0, 72, 0, -72, 0, -72, 0)])
    assert statuses(more)["W-04"] == "pass"


def test_weights_that_move_along_the_ship_change_the_trim() -> None:
    record = clean()
    for state in record["states"]:
        if state["number"] in (1, 2):
            state["positions"]["A"][0] += 25.0
    found = check(record, "W-09")
    # 3 t · 25 m over Δ·GM_L: 75/(2500·(T/2 + L²/(12T) − KG)) of the length
    assert found.status == "pass"
    assert found.value == pytest.approx(100.0 * 75.0 / (2500.0 * 100.4), rel=0.01)
    for state in record["states"]:
        if state["number"] in (1, 2):
            state["positions"]["A"][0] += 30.0
            state["positions"]["B"][0] += 30.0
    assert check(record, "W-09").status == "warn"


def test_weights_that_change_height_are_told() -> None:
    record = clean()
    for state in record["states"]:
        state["positions"]["A"][2] += 1.0 if state["number"] in (1, 2) else 0.0
    assert "3.00 t·m" in check(record, "W-09").text


def test_weights_on_one_spot_draw_a_warning_and_no_refusal() -> None:
    record = clean()
    record["states"][2]["positions"]["B"] = list(record["states"][2]["positions"]["A"])
    found = check(record, "weights-apart")
    assert found.status == "warn"
    assert "A and B in state 2" in found.text
    assert check(simulated("ship-11"), "weights-apart").status == "warn"


def test_six_movements_are_enough_where_the_plot_is_straight() -> None:
    record = clean()
    across = ("", "A", "AB", "A", "", "C", "CD")
    moments = (0.0, 36.0, 72.0, 36.0, 0.0, -36.0, -72.0)
    record["states"] = states(across)
    record["readings"] = readings([SLOPE * moment for moment in moments])
    found = check(record, "C-01")
    assert (found.status, found.value, found.limit) == ("pass", 6, 8)
    record["readings"] = readings([SLOPE * moment + (0.004 if moment > 0 else 0.0) for moment in moments])
    assert check(record, "C-01").status == "warn"


def test_a_repeated_state_is_no_movement() -> None:
    record = clean()
    record["states"] = states(("", "A", "AB", "AB", "", "C", "CD", "D", ""))
    record["readings"] = readings([SLOPE * moment for moment in (0.0, 36.0, 72.0, 72.0, 0.0, -36.0, -72.0, -36.0, 0.0)])
    assert check(record, "C-01").value == 7


def test_a_test_that_never_comes_back_to_zero_warns() -> None:
    record = clean()
    record["states"] = states(("", "A", "AB", "ABC"[:2], "C", "CD"))
    record["readings"] = readings([SLOPE * moment for moment in (0.0, 36.0, 72.0, 72.0, -36.0, -72.0)])
    assert check(record, "C-02-zeros").status == "warn"


def only(count: int) -> Document:
    lengths = dict(list(LENGTHS_M.items())[:count])
    return scaled(1.0, lengths)


def test_one_pendulum_fails_and_two_are_enough() -> None:
    assert check(only(1), "H-01").status == "fail"
    assert check(only(2), "H-01").status == "pass"


def test_one_pendulum_on_a_ship_of_30_m_is_for_the_authority() -> None:
    small = simulated("chine-12")
    small["instruments"] = small["instruments"][:1]
    small["readings"] = [reading for reading in small["readings"] if reading["instrument"] == "P1"]
    found = check(small, "H-01")
    assert found.status == "warn"
    assert "the authority decides" in found.text


def test_an_instrument_without_readings_does_not_count() -> None:
    record = only(1)
    record["instruments"].append({"id": "P9", "kind": "pendulum", "length_m": 4.0})
    assert check(record, "H-01").value == 1


def test_a_short_pendulum_warns_and_fails_where_the_rule_set_is_firm() -> None:
    short = scaled(1.9, {"P1": 6.0, "P2": 5.5, "P3": 2.8})
    assert check(short, "H-05").status == "warn"
    assert check(changed(short, "test", "rule_set", to="france-cargo-500"), "H-05").status == "fail"


def test_equal_pendulums_warn() -> None:
    assert check(scaled(1.0, {"P1": 6.0, "P2": 6.0, "P3": 5.5}), "H-06").status == "warn"


def test_deflections_are_counted_each_way_from_the_still_ship() -> None:
    found = check(clean(), "H-04")
    assert found.value == pytest.approx(1000.0 * 5.0 * 72.0 / 2375.0)
    shifted = clean()
    for reading in shifted["readings"]:
        reading["value_mm"] += 80.0
    assert check(shifted, "H-04").value == pytest.approx(found.value)


def test_an_instrument_read_at_one_heel_alone_shows_no_deflection() -> None:
    record = clean()
    names = [one["id"] for one in record["instruments"]]
    heeled = next(r["state"] for r in record["readings"] if abs(r["value_mm"]) > 50.0)
    record["readings"] = [r for r in record["readings"] if r["instrument"] != names[-1] or r["state"] == heeled]
    found = check(record, "H-04")
    assert (found.status, found.value) == ("fail", 0.0)
    assert f"{names[-1]} 0 mm to starboard, 0 mm to port" in found.text


def test_too_small_a_deflection_fails() -> None:
    # 4 m · 72/2375 = 121 mm
    found = check(scaled(1.0, {"P1": 6.0, "P2": 5.5, "P3": 4.0}), "H-04")
    assert found.status == "fail"
    assert found.value == pytest.approx(121.263, abs=1e-3)


def test_a_u_tube_is_asked_for_its_level_difference_and_stands_beside_a_pendulum() -> None:
    record = scaled(1.0, {"P1": 6.0, "U1": 9.0})
    record["instruments"][1]["kind"] = "u-tube"
    found = statuses(record)
    assert (found["H-12"], found["H-10"], found["H-01"]) == ("pass", "pass", "pass")
    short = scaled(1.0, {"P1": 6.0, "U1": 4.0})
    short["instruments"][1]["kind"] = "u-tube"
    assert check(short, "H-12").status == "fail"
    alone = scaled(1.0, {"U1": 9.0, "U2": 8.0})
    for instrument in alone["instruments"]:
        instrument["kind"] = "u-tube"
    assert check(alone, "H-10").status == "fail"


def test_a_stiff_ship_has_gm_enough_and_a_tender_one_has_not() -> None:
    assert check(clean(), "P-22").status == "pass"
    tender = clean()
    tender["inclining_weights"] = [{"id": name, "mass_t": 0.6} for name in "ABCD"]
    found = check(
        changed(tender, "readings", to=readings([t * 0.2 / 0.2 for t in TANGENTS])), "P-22", method="small-angle"
    )
    # a fifth of the weights for the same heel: GM 0.190 m
    assert found.status == "fail"
    assert found.value == pytest.approx(0.19, abs=1e-6)


def test_a_wide_low_craft_is_told_that_inclining_is_a_poor_instrument() -> None:
    wide = scaled(0.17)
    found = check(wide, "T-21", method="small-angle")
    assert found.value is not None
    assert found.value < 1.0 / 3.0
    assert found.status == "warn"
    assert any("a poor instrument" in caution for caution in judged(wide, method="small-angle").cautions)


def test_people_on_a_small_craft_are_weighed_against_the_moment() -> None:
    small = changed(
        simulated("chine-12"),
        "persons",
        to=[{"name": "reader", "mass_t": 0.08, "x_m": 8.0, "y_m": 0.0, "z_m": 3.5}] * 2,
    )
    small["persons"][1] = {**small["persons"][1], "name": "mate"}
    found = check(small, "T-06-people")
    assert (found.status, found.side) == ("warn", "safe")
    assert any("on a small craft (20.51 m" in caution for caution in judged(small).cautions)
    assert check(clean(), "T-06-people").status == "pass"


def _sampled(make: Callable[[int], float], count: int) -> list[str]:
    """The clean test with an inclinometer beside the pendulums; state 2 is recorded with more than the heel."""
    record = clean()
    record["instruments"].append({"id": "I", "kind": "inclinometer"})
    p1 = {one["state"]: one["value_mm"] for one in record["readings"] if one["instrument"] == "P1"}
    for state, value in p1.items():
        heel = float(np.degrees(np.arctan(value / 6000.0)))
        extra = [make(i) if state == 2 else 0.1 * np.sin(2.0 * np.pi * i / 40.0) for i in range(count)]
        record["readings"].append({"state": state, "instrument": "I", "samples_deg": [heel + e for e in extra]})
    return judged(record).cautions


def test_a_record_without_a_whole_oscillation_is_named() -> None:
    told = _sampled(lambda i: 0.1 * np.sin(2.0 * np.pi * i / 400.0), 130)
    assert any("No whole oscillation was recorded by I in state 2" in text for text in told)
    assert not any("wandered" in text for text in told)


def test_a_ship_that_had_not_settled_is_named() -> None:
    told = _sampled(lambda i: 0.1 * np.sin(2.0 * np.pi * i / 40.0) + 0.001 * i, 170)
    assert any("The mean still wandered within the record of I in state 2" in text for text in told)


def test_whole_oscillations_of_a_settled_ship_are_left_unsaid() -> None:
    told = _sampled(lambda i: 0.1 * np.sin(2.0 * np.pi * i / 40.0), 170)
    assert not any("oscillation" in text or "wandered" in text for text in told)
