"""Drawings: round values on scales, names that do not run together, letters that keep their size, findings in words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree

import pytest
from heelwright_client.drift_drawing import drift_drawing, drift_picture
from heelwright_client.drift_steps import logged_steps
from heelwright_client.moment_figure import MomentFigure, Reading, moment_figure
from heelwright_client.svg import Axis, Drawing, Picture
from heelwright_client.svg_plot import NARROW, WIDE, Names, tick_words
from heelwright_client.units import SYSTEMS
from heelwright_client.web.drawings.body_plan import body_plan
from heelwright_client.web.drawings.deck import DeckShip, deck_plan
from heelwright_client.web.drawings.inline import inline_at_both
from heelwright_client.web.drawings.interval import interval_bar
from heelwright_client.web.drawings.life_line import Moment, life_line
from heelwright_client.web.drawings.marks import Mark
from heelwright_client.web.drawings.profile import profile
from heelwright_client.web.drawings.running import running_plot
from heelwright_client.web.drawings.trade_off import Choice, trade_off
from heelwright_client.web.wording import Say
from hypothesis import given
from hypothesis import strategies as st

from tests.client.pictures import SVG, boxes, misplaced, size

BOTH = pytest.mark.parametrize("width", [WIDE, NARROW])
SI = SYSTEMS["si"]
METRIC = Say(SI)


def readings(worst: float = 2e-4) -> list[dict[str, Any]]:
    """Seven states, two instruments, one reading off the line."""
    moments = (0.0, 30.0, 60.0, 0.0, -30.0, -60.0, 0.0)
    return [
        {"state": state, "instrument": name, "moment_t_m": moment, "tangent": 6e-4 * moment + off, "residual": off}
        for state, moment in enumerate(moments)
        for name in ("P1", "P2")
        for off in [worst if (state, name) == (4, "P2") else 0.0]
    ]


def stations() -> list[dict[str, Any]]:
    """A box with a raked bow."""
    return [
        {"x_m": x, "contour_m": [[0.0, 0.0], [half, 0.5], [half, 6.0]]}
        for x, half in ((0.0, 4.0), (10.0, 5.0), (20.0, 5.0), (30.0, 5.0), (40.0, 2.0))
    ]


def plan() -> dict[str, Any]:
    """Four weights on lines 2 m apart, each moved over and back."""
    places = {f"block {number}": [20.0 + 2.0 * number, -3.8 if number % 2 else 3.8, 6.0] for number in range(4)}
    states: list[dict[str, Any]] = [{"number": 0, "lift": None, "positions": places}]
    for name, (x, y, z) in places.items():
        for sign in (1, -1):
            lift = {"weight": name, "from": [x, sign * y, z], "to": [x, -sign * y, z]}
            states.append({"number": len(states), "lift": lift, "positions": places})
    return {"weights": [{"id": name} for name in places], "states": states}


def drift() -> dict[str, Any]:
    """A vessel that gained 17 t against a limit of 7 t on the heavy side alone."""
    verdict = {"quantity": "mass_t", "limit": 7.0, "direction": "rise", "regulatory": "fail", "measured": "exceeded",
               "probability_exceeded": 0.99, "value": 17.0, "standard": 2.0, "advisory": False}  # fmt: skip
    return {
        "baseline": {"date": "1999-05-26", "mass_t": 348.0, "lcg_m": 15.1, "vcg_m": 3.71},
        "items": [
            {"date": date, "basis": basis, "verdicts": [verdict], "delta": {
                "mass_t": {"value": gained, "standard": 2.0}, "vcg_m": None,
                "lcg_m": {"value": -0.1, "standard": 0.05}}}
            for date, basis, gained in (
                ("2009-06-03", "lightweight-survey", 5.0), ("2019-05-20", "inclining-test", 17.0))
        ],
    }  # fmt: skip


ALTERATIONS = [
    {"date": "2006-01-18", "kind": "added", "mass_t": 4.8, "x_m": 14.0, "z_m": 6.2},
    {"date": "2015-01-01", "kind": "relocated", "mass_t": 2.2, "x_m": 25.0, "z_m": 5.4, "to_x_m": 5.0, "to_z_m": 5.8},
]
MOMENTS = [
    Moment("1998-07-07", "keel laid", "square"), Moment("1999-05-26", "inclined", "circle"),
    Moment("2006-01-18", "added", "plus"), Moment("2009-05-26", "test due", "triangle", True),
    Moment("2009-06-03", "surveyed", "circle"), Moment("2019-05-20", "surveyed", "circle"),
]  # fmt: skip
MARKS = [
    Mark("G", 18.0, 4.0, "circle", words="lightship"), Mark("1", 18.4, 4.2, "plus"),
    Mark("C", 19.0, None, "diamond", half_x_m=3.0, words="implied growth"),
]  # fmt: skip


def every_drawing(width: int) -> dict[str, Picture]:
    """Each kind of drawing, on data that crowds it."""
    choices = [Choice(8.2, 0.021), Choice(8.3, 0.0209), Choice(10.0, 0.017, True), Choice(20.0, 0.011)]
    crane = {"x_m": 24.0, "y_m": -7.0, "radius_max_m": 12.0}
    return {
        "moment": moment_figure(MomentFigure([Reading(**each) for each in readings()], 6e-4, "Moment"), width),
        "running": running_plot(readings(), 6e-4, [4], width),
        "drift": drift_picture(drift(), "Drift", SI, width, ALTERATIONS),
        "life": life_line(MOMENTS, "2026-11-25", "Larkhollow", width),
        "trade": trade_off(choices, "t", "m", width),
        "deck": deck_plan(plan(), DeckShip(11.0, (), (), crane), METRIC, width),
        "body": body_plan(stations(), 40.0, "Box", METRIC, width),
        "profile": profile(stations(), 40.0, "Box", METRIC, MARKS, width),
    }


@BOTH
@pytest.mark.parametrize("kind", list(every_drawing(WIDE)))
def test_no_words_lie_on_others_or_leave_the_paper(kind: str, width: int):
    svg = every_drawing(width)[kind].svg
    assert size(svg)[0] <= width
    assert misplaced(svg) == []


@BOTH
@pytest.mark.parametrize("kind", list(every_drawing(WIDE)))
def test_letters_are_never_smaller_than_small_print(kind: str, width: int):
    assert all(int(size) >= 11 for size in re.findall(r"font-size='(\d+)'", every_drawing(width)[kind].svg))


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.integers(3, 12))
def test_a_scale_has_enough_round_values_and_not_too_many(low: float, length: float, wanted: int):
    high = low + length
    if high - low < 0.5 * length:
        return
    ticks = Axis(low, high, 0.0, 100.0).ticks(wanted)
    assert wanted / 2.5 - 1 <= len(ticks) <= wanted + 1


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ([0.0, 0.5, 1.0], ["0", "0.5", "1.0"]), ([-20.0, 0.0, 20.0], ["20", "0", "20"]),
        ([0.0002, 0.0004], ["0.0002", "0.0004"]), ([7.0], ["7"]),
    ],
)  # fmt: skip
def test_values_of_a_scale_have_the_same_decimals_and_leave_the_side_to_words(
    values: Sequence[float], told: Sequence[str]
):
    assert [words for _, words in tick_words(values)] == told


def test_a_name_without_room_is_left_out_and_said_to_be():
    names = Names(Drawing(100, 40, "t", "d"), (0, 0, 100, 40))
    assert names.put(50, 20, "short")
    assert not names.put(50, 20, "far too long to fit anywhere on such a small piece of paper")


def test_the_words_of_a_moment_line_name_slope_and_worst_reading():
    told = MomentFigure([Reading(**each) for each in readings()], 6e-4, "Moment").finding()
    assert "rises 0.6 thousandths for each t·m" in told
    assert "Farthest off the line is state 4 of P2: +0.0002" in told


@pytest.mark.parametrize(("worst", "times"), [(2e-4, 10), (3e-3, 5), (2e-2, 1)])
def test_residuals_that_would_leave_the_paper_are_enlarged_less_and_never_cut_off(worst: float, times: int):
    svg = running_plot(readings(worst), 6e-4, []).svg
    root = ElementTree.fromstring(svg)
    assert (f"{times} times enlarged" in svg) == (times > 1)
    high = float(root.get("height", "0"))
    marks = [float(mark.get("cy", "0")) for mark in root.iter(f"{SVG}circle")]
    squares = [float(at) for at in re.findall(r"d='M[\d.]+,([\d.]+)h", svg)]
    assert all(0 < y < high for y in [*marks, *squares])


def test_instruments_with_different_zeros_stand_about_one_line():
    shifted = [{**each, "tangent": each["tangent"] + (0.005 if each["instrument"] == "P2" else -0.002)}
               for each in readings()]  # fmt: skip
    assert running_plot(shifted, 6e-4, []) == running_plot(readings(), 6e-4, [])


def test_a_reading_without_a_line_is_drawn_alone():
    points = [{**readings()[0], "residual": None}]
    assert "No line can be drawn yet" in running_plot(points, None, []).svg


def test_the_last_state_and_those_to_be_read_again_are_named_in_the_plot():
    words = [found[0] for found in boxes(running_plot(readings(), 6e-4, [4]).svg)]
    assert "state 6, last" in words
    assert "state 4, read again" in words


def test_only_the_unsafe_side_of_a_limit_is_hatched():
    one_sided = drift_drawing(drift(), "Drift", SI)
    assert "limit 7.00 t heavier" in one_sided
    assert "limit 7.00 t lighter" not in one_sided
    assert one_sided.count("<polygon") == 1
    both = drift()
    for item in both["items"]:
        item["verdicts"] = [item["verdicts"][0] | {"direction": "absolute"}]
    assert drift_drawing(both, "Drift", SI).count("<polygon") == 2


def test_the_drift_tells_how_each_point_was_found_and_what_is_beyond_a_limit():
    svg = drift_picture(drift(), "Drift", SI, WIDE, ALTERATIONS).svg
    for words in ("approved baseline", "surveyed", "inclined", "by the log of alterations"):
        assert f">{words}<" in svg, words
    assert "mass: 17.0 t heavier in 2019, beyond a limit" in svg


def test_logged_steps_follow_mass_and_centres():
    baseline = drift()["baseline"]
    assert [round(value, 9) for _, value in logged_steps(baseline, ALTERATIONS, "mass_t")] == [4.8, 4.8]
    last = logged_steps(baseline, ALTERATIONS, "lcg_m")[-1][1]
    # (348 × 15.1 + 4.8 × 14 + 2.2 × (5 − 25)) / 352.8 − 15.1, worked by hand
    assert last == pytest.approx((5254.8 + 67.2 - 44.0) / 352.8 - 15.1, abs=1e-12)


def test_an_alteration_before_the_baseline_is_no_step():
    assert logged_steps(drift()["baseline"], [ALTERATIONS[0] | {"date": "1999-05-26"}], "mass_t") == []


def test_a_quantity_that_the_baseline_does_not_know_has_no_steps():
    assert logged_steps({"date": "1999-05-26", "mass_t": 348.0, "vcg_m": None}, ALTERATIONS, "vcg_m") == []


def test_the_interval_that_goes_on_beyond_its_scale_ends_in_an_arrow():
    inside = interval_bar((0.0, 2.0), 1.0, (0.5, 1.5), [1.0], words="one")
    beyond = interval_bar((0.0, 2.0), 1.0, (0.5, 2.5), [1.0], words="one")
    arrow = re.compile(r"M[\d.]+,6\.0L[\d.]+,10\.0L[\d.]+,14\.0")
    assert not arrow.search(inside)
    assert len(arrow.findall(beyond)) == 1


@pytest.mark.parametrize("reach", [3.0, 12.0, 60.0])
def test_the_reach_of_a_crane_is_drawn_where_it_crosses_the_paper(reach: float):
    crane = {"x_m": 24.0, "y_m": -7.0, "radius_max_m": reach}
    svg = deck_plan(plan(), DeckShip(11.0, (), (), crane), METRIC).svg
    assert (f"crane reach {reach:.1f} m" in svg) == (reach < 20.0)


def test_what_is_overdue_is_said_and_marked():
    svg = life_line(MOMENTS, "2026-11-25", "Larkhollow").svg
    assert "Overdue: test due." in svg


def test_both_widths_stand_in_a_page_with_ids_of_their_own():
    html = str(inline_at_both(lambda width: life_line(MOMENTS, "2026-11-25", "Larkhollow", width), "life").drawing)
    ids = re.findall(r" id='([^']+)'", html)
    assert len(ids) == len(set(ids)) == 6
    assert set(re.findall(r"aria-labelledby='([^']+)'", html)) == {
        "life-title life-description", "life-narrow-title life-narrow-description",
    }  # fmt: skip
