"""Draughts, freeboards, hog, list, trim and deck edge."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from heelwright_service.core.results import Check

from .records import (
    DEPTH_M,
    DRAUGHT_M,
    LENGTH_M,
    Document,
    changed,
    check,
    clean,
    hull_table,
    judged,
    readings,
    simulated,
    statuses,
)


def with_marks(offsets_m: dict[str, float] | None = None) -> Document:
    """The box read at its six marks, some off by what is given."""
    record = clean()
    del record["freeboards"]
    off = offsets_m or {}
    record["draughts"] = [
        {"mark": mark["name"], "reading_m": DRAUGHT_M + off.get(mark["name"], 0.0)}
        for mark in record["vessel"]["marks"]
    ]
    return record


def tilted(trim_m: float = 0.0, list_deg: float = 0.0) -> Document:
    """The box trimmed by the stern and listed to starboard."""
    record = clean()
    slope_y = float(np.tan(np.radians(list_deg)))
    for board in record["freeboards"]:
        level = DRAUGHT_M + trim_m * (0.5 - board["x_m"] / LENGTH_M) + slope_y * board["y_m"]
        board["reading_m"] = DEPTH_M - level
    return record


def without_freeboards(count: int) -> Document:
    return changed(clean(), "freeboards", to=clean()["freeboards"][count:])


def test_five_freeboards_a_side_or_six_marks_are_enough() -> None:
    assert check(clean(), "R-01").status == "pass"
    assert check(with_marks(), "R-01").status == "pass"


def test_four_freeboards_on_one_side_fail() -> None:
    found = check(without_freeboards(1), "R-01")
    assert (found.status, found.value, found.limit) == ("fail", 4, 5)


def test_a_missing_mark_fails() -> None:
    record = with_marks()
    record["draughts"].pop()
    assert check(record, "R-01").status == "fail"


@pytest.mark.parametrize(
    ("off_mm", "status", "limit"), [(5.0, "pass", 10.0), (18.0, "warn", 10.0), (40.0, "warn", 20.0)]
)
def test_a_freeboard_off_the_line_is_measured_in_millimetres(off_mm: float, status: str, limit: float) -> None:
    record = clean()
    record["freeboards"][4]["reading_m"] -= off_mm / 1000.0
    found = check(record, "R-07")
    assert (found.status, found.limit) == (status, limit)
    assert "freeboard at x 30 m, y -7 m" in found.text or off_mm < 10.0


def test_a_reading_beyond_its_stated_uncertainty_is_named_even_below_the_millimetres() -> None:
    record = changed(clean(), "uncertainties", to={"freeboard_m": 0.001})
    record["freeboards"][4]["reading_m"] -= 0.008
    assert check(record, "R-07").status == "pass"
    found = check(record, "R-07-uncertainty")
    assert found.status == "warn"
    assert "Read freeboard at x 30 m, y -7 m again" in found.text


@pytest.mark.parametrize("error_m", [0.05, -0.05])
@pytest.mark.parametrize("bad", range(6))
def test_a_gross_error_at_one_of_six_marks_is_named_first_beside_the_one_it_cannot_be_told_from(
    bad: int, error_m: float
) -> None:
    """With the hog fitted, port and starboard of a pair share the misfit; the truth leaves the smaller hog."""
    record = with_marks()
    names = [each["mark"] for each in record["draughts"]]
    rng = np.random.default_rng([bad, int(error_m > 0.0)])
    for place, each in enumerate(record["draughts"]):
        each["reading_m"] += rng.normal(0.0, 0.003) + (error_m if place == bad else 0.0)
    found = check(record, "R-07-uncertainty")
    assert found.status == "warn"
    sentence = found.text.split(" Read ")[1]
    assert sentence.startswith(names[bad])
    assert names[bad ^ 1] in sentence
    assert "may be in any of them" in sentence


@pytest.mark.parametrize("bad", range(10))
def test_a_gross_error_at_one_of_ten_freeboards_is_named_alone(bad: int) -> None:
    record = clean()
    rng = np.random.default_rng(bad)
    for place, each in enumerate(record["freeboards"]):
        each["reading_m"] += rng.normal(0.0, 0.004) + (0.05 if place == bad else 0.0)
    wrong = record["freeboards"][bad]
    name = f"Read freeboard at x {wrong['x_m']:g} m, y {wrong['y_m']:g} m again."
    assert name in check(record, "R-07-uncertainty").text
    assert name in check(record, "R-07").text


def test_readings_stated_to_be_exact_cannot_be_judged_by_their_uncertainty() -> None:
    assert (
        check(changed(clean(), "uncertainties", to={"freeboard_m": 0.0}), "R-07-uncertainty").status == "not-assessed"
    )


def test_three_places_along_the_ship_swallow_an_error_amidships() -> None:
    # both midship marks 50 mm high leave no residual: the bend takes them up
    wrong = with_marks({"midship port": 0.05, "midship starboard": 0.05})
    assert check(wrong, "R-07").status == "not-assessed"
    assert check(wrong, "R-07-uncertainty").status == "pass"
    told = [c for c in judged(wrong).cautions if "exactly three places" in c]
    assert len(told) == 1
    assert told[0].startswith("Unsafe side: ")
    assert "of sag" in told[0]


def test_displacement_is_shown_with_and_without_hog() -> None:
    wrong = with_marks({"midship port": 0.05, "midship starboard": 0.05})
    found = check(wrong, "hog")
    with_hog, straight = _masses(found)
    # marks at 0.05 and 0.95 of the length see 0.19 of the bend: δ = 50/0.81 mm, level lowered by 0.19·δ at both ends
    bend = 0.05 / 0.81
    assert with_hog == pytest.approx(2500.0 * (1.0 + (2.0 / 3.0 - 0.19) * bend / DRAUGHT_M), abs=0.06)
    assert straight == pytest.approx(2500.0 * (1.0 + 0.05 / 3.0 / DRAUGHT_M), abs=0.06)


def _masses(found: Check) -> tuple[float, float]:
    told = found.text.replace(",", "").rstrip(".").split()
    first, second = (float(word) for word, unit in pairwise(told) if unit == "t")
    return first, second


def test_the_caution_prices_a_misreading_amidships_on_this_ship() -> None:
    # marks at 0.05 and 0.95 of the length: 50/0.81 mm of bend, its mean over the length 2/3 − 0.19 of it
    told = next(c for c in judged(with_marks()).cautions if "exactly three places" in c)
    rise = 0.05 / 0.81 * (2.0 / 3.0 - 0.19)
    assert rise == pytest.approx(0.0294, abs=1e-4)
    assert "put the mean draught 29 mm and the displacement 25.47 t wrong" in told
    assert 2500.0 * rise / DRAUGHT_M == pytest.approx(25.473, abs=0.001)


def test_a_hog_beyond_a_thousandth_of_the_length_is_doubted() -> None:
    assert check(with_marks({"midship port": -0.04, "midship starboard": -0.04}), "hog").status == "pass"
    assert check(with_marks({"midship port": -0.06, "midship starboard": -0.06}), "hog").status == "warn"


def test_the_mean_of_means_checks_the_integrated_displacement() -> None:
    found = check(with_marks(), "R-18")
    assert found.status == "pass"
    assert found.value == pytest.approx(0.0, abs=1e-6)
    assert check(simulated("ship-21"), "R-18").status == "pass"


def test_the_mean_of_means_warns_where_it_does_not_fit_the_bend() -> None:
    # a bend of 0.5 m: (F + 6M + A)/8 takes 3/4 of it, the integral of the parabola 2/3
    sagging = with_marks({"midship port": 0.45, "midship starboard": 0.45})
    assert check(sagging, "R-18").status == "warn"


@pytest.mark.parametrize(
    ("list_deg", "status", "words"), [(0.31, "pass", "0.31° to starboard"), (-0.62, "fail", "0.62° to port")]
)
def test_list_is_said_with_its_side(list_deg: float, status: str, words: str) -> None:
    found = check(tilted(list_deg=list_deg), "P-18")
    assert found.status == status
    assert words in found.text


def test_a_list_just_over_the_limit_does_not_read_as_the_limit() -> None:
    found = check(tilted(list_deg=0.5004), "P-18")
    assert found.status == "fail"
    assert "0.5004°" in found.text


def test_without_readings_on_both_sides_the_list_is_not_assessed() -> None:
    one_side = changed(clean(), "freeboards", to=clean()["freeboards"][::2])
    assert check(one_side, "P-18").status == "not-assessed"
    assert any("no instrument shows the upright ship" in caution for caution in judged(one_side).cautions)


def test_a_hull_form_serves_any_trim() -> None:
    found = check(tilted(trim_m=1.2), "P-19")
    assert found.status == "pass"
    assert "1.20 m by the stern" in found.text
    assert "computed from the hull form" in found.text


def test_a_table_without_trims_warns_and_one_with_trims_does_not() -> None:
    record = changed(tilted(trim_m=0.3), "vessel", "hull", to=None)
    plain = changed(record, "vessel", "hydrostatic_table", to=hull_table())
    assert check(plain, "P-19").status == "warn"
    full = changed(record, "vessel", "hydrostatic_table", to=hull_table((-1.0, 0.0, 1.0)))
    assert check(full, "P-19").status == "pass"


def test_a_deck_edge_under_water_fails() -> None:
    low = clean()
    contour = [[0.0, 0.0], [7.0, 0.0], [7.0, DRAUGHT_M + 0.15]]
    for station in low["vessel"]["hull"]["stations"]:
        station["contour_m"] = contour
    found = check(low, "deck-edge", method="small-angle")
    # 7 m · tan φ = 0.212 m against 0.15 m of freeboard; the corner d that goes under sinks her by d²/(2·tan φ·B)
    tangent = 72.0 / 2375.0
    depth = 0.0
    for _ in range(20):
        depth = 7.0 * tangent - 0.15 + depth**2 / (2.0 * tangent * 14.0)
    assert found.status == "fail"
    assert found.value == pytest.approx(-depth, abs=2e-4)
    assert "state 2" in found.text or "state 6" in found.text


def test_a_table_knows_no_deck_edge() -> None:
    record = changed(clean(), "vessel", "hull", to=None)
    assert check(changed(record, "vessel", "hydrostatic_table", to=hull_table()), "deck-edge").status == "not-assessed"


def test_two_places_along_the_ship_leave_the_hog_unknown() -> None:
    ends = with_marks()
    ends["draughts"] = [reading for reading in ends["draughts"] if "midship" not in reading["mark"]]
    found = statuses(ends)
    assert (found["hog"], found["R-07"]) == ("not-assessed", "not-assessed")
    assert any("cannot show hog or sag" in caution for caution in judged(ends).cautions)


def test_heel_of_the_states_includes_the_list() -> None:
    # with an initial list of 0.45° and changes of up to 3.9° the largest heel passes 4°
    record = changed(
        tilted(list_deg=0.45),
        "readings",
        to=readings([2.25 * t * 72 / 2375 for t in (0, 0.5, 1, 0.5, 0, -0.5, -1, -0.5, 0)]),
    )
    found = check(record, "W-01")
    assert found.status == "fail"
    assert found.limit == 4.0
