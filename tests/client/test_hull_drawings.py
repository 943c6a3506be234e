"""Invented hulls, histories and plans: no label runs into another or off the paper, and what is drawn is explained."""

from __future__ import annotations

import re
from typing import Any

import pytest
from heelwright_client.drift_drawing import drift_picture
from heelwright_client.svg_plot import NARROW, WIDE
from heelwright_client.units import SYSTEMS
from heelwright_client.web.drawings.body_plan import body_plan
from heelwright_client.web.drawings.deck import DeckShip, deck_plan
from heelwright_client.web.drawings.inline import Figure
from heelwright_client.web.drawings.life_line import Moment, life_line
from heelwright_client.web.drawings.running import running_plot
from heelwright_client.web.drawings.trade_off import Choice, trade_off
from heelwright_client.web.hull_view import hull_drawings
from heelwright_client.web.wording import Say
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.client.pictures import boxes, caption, dashes, misplaced, shapes

METRIC, CUSTOMARY = Say(SYSTEMS["si"]), Say(SYSTEMS["us-decimal"])
SAYS = st.sampled_from([METRIC, CUSTOMARY])
WIDTHS = st.sampled_from([WIDE, NARROW])
SOME = settings(max_examples=60, deadline=None)
KINDS = ("added", "removed", "relocated")
Item = dict[str, Any]


def hull(
    long: float = 60.0, slender: float = 6.0, deep: float = 0.5, count: int = 21, full: float = 3.0, keel: float = 0.0
) -> list[Item]:
    """A ship with parabolic waterlines, fuller with a higher power."""
    half, depth = long / slender / 2, long / slender * deep
    places = [long * station / (count - 1) for station in range(count)]
    breadths = [half * (0.08 + 0.92 * (1 - abs(2 * x / long - 1) ** full)) for x in places]
    return [{"x_m": x, "contour_m": [[0.0, keel], [0.8 * y, keel + 0.2 * depth], [y, depth]]}
            for x, y in zip(places, breadths, strict=True)]  # fmt: skip


def drifted(x: float, z: float | None, *, error: bool = False, half: float = 3.0) -> Item:
    """A drift whose implied centre is at a place."""
    centre = {"x": {"value": x, "standard": half}, "z": None if z is None else {"value": z, "standard": half / 9}}
    item = {"date": "2020-01-01", "implied_centre_m": centre, "error_likelier_than_weight": error,
            "delta": {"mass_t": {"value": 4.0}}}  # fmt: skip
    return {"baseline": {"date": "2010-01-01", "lcg_m": 27.0, "vcg_m": 4.0}, "items": [item]}


def logged(kind: str, x: float, z: float) -> Item:
    """One alteration."""
    to = {"to_x_m": x - 9.0, "to_z_m": z + 0.5} if kind == "relocated" else {"to_x_m": None, "to_z_m": None}
    return {"kind": kind, "mass_t": 1.0, "x_m": x, "y_m": 0.0, "z_m": z, **to}


HULLS = st.builds(
    hull, st.floats(8.0, 350.0), st.floats(2.0, 12.0), st.floats(0.08, 1.5), st.integers(3, 90), st.floats(1.0, 20.0),
    st.floats(-1.0, 1.0),
)  # fmt: skip
LOGS = st.lists(st.builds(logged, st.sampled_from(KINDS), st.floats(-10.0, 80.0), st.floats(-2.0, 30.0)), max_size=14)
DRIFTS = st.one_of(
    st.none(), st.builds(
        drifted, st.floats(-300.0, 300.0), st.none() | st.floats(-50.0, 50.0), error=st.booleans(),
        half=st.floats(0.0, 60.0),
    ),
)  # fmt: skip


def drawn(figure: Figure) -> list[tuple[str, str]]:
    """Each width's drawing, with the caption that is seen beside it."""
    svgs = re.findall(r"<svg.*?</svg>", str(figure.drawing), re.DOTALL)
    hidden = (r'<span class="at-narrow">.*?</span>', r'<span class="at-wide">.*?</span>')
    return [(svg, re.sub(other, "", str(figure.caption))) for svg, other in zip(svgs, hidden, strict=True)]


def hull_figures(stations: list[Item], drift: Item | None, log: list[Item], say: Say) -> dict[str, Figure]:
    """As the vessel's page has them."""
    return hull_drawings({"name": "Oxwater", "length_bp_m": None}, {"stations": stations}, drift, log, say)


@SOME
@given(HULLS, DRIFTS, LOGS, SAYS)
@example(hull(), drifted(-40.0, 5.0, error=True), [logged("added", 20.0, 5.0)] * 14, CUSTOMARY)
def test_on_any_hull_no_words_of_its_drawings_run_together_or_leave_the_paper(
    stations: list[Item], drift: Item | None, log: list[Item], say: Say
):
    for figure in hull_figures(stations, drift, log, say).values():
        for svg, _ in drawn(figure):
            assert misplaced(svg) == []


@SOME
@given(HULLS, DRIFTS, LOGS, SAYS)
@example(hull(), drifted(-400.0, 5.0, error=True), [logged(kind, 20.0, 5.0) for kind in KINDS * 2], METRIC)
def test_each_mark_and_dash_of_a_profile_is_explained_and_nothing_else_is(
    stations: list[Item], drift: Item | None, log: list[Item], say: Say
):
    explained = {"8 3 2 3": "Dash and dot", "5 3": "Dashed upright", "3 3": "Dashes: to where"}
    for svg, told in drawn(hull_figures(stations, drift, log, say)["profile"]):
        assert {dash for dash, words in explained.items() if words in told} == dashes(svg)
        assert ("Hatched" in told) == ("<polygon" in svg)
        assert ("another" if drift is None else "G") in {"another", *(words.split()[0] for words, *_ in boxes(svg))}
        for shape, words in (("circle", "Circle G"), ("plus", "Plus:"), ("cross", "Cross:"), ("square", "Square:"),
                             ("triangle", "Triangle A"), ("diamond", "Diamond C")):  # fmt: skip
            assert shape not in shapes(svg) or words in told, shape
        for letter in "GAC":
            written = any(words.startswith(f"{letter} ") for words, *_ in boxes(svg))
            assert not written or re.search(rf"\b{letter}: ", told), letter


def test_the_centre_of_additions_is_explained_only_where_there_is_one():
    for log, there in (([logged("added", 20.0, 5.0)], False), ([logged("added", x, 5.0) for x in (20.0, 40.0)], True)):
        for svg, told in drawn(hull_figures(hull(), drifted(30.0, None), log, METRIC)["profile"]):
            assert (">A additions<" in svg) == ("Triangle A: common centre" in told) == there


def test_what_lies_far_off_the_ship_is_an_arrow_at_the_border_and_leaves_her_to_be_seen():
    near, far = (hull_figures(hull(), drifted(x, 5.0), [], METRIC)["profile"] for x in (30.0, 3000.0))
    assert "beyond the drawing" not in str(near.caption)
    assert "beyond the drawing" in str(far.caption)
    fore = max(float(x) for x, words in re.findall(r"<text x='([\d.]+)'[^>]*>(FP)<", str(far.drawing)))
    assert fore > 0.6 * WIDE


def test_an_error_likelier_than_weight_is_said_in_words_beside_its_colour():
    for svg, told in drawn(hull_figures(hull(), drifted(30.0, 5.0, error=True), [], METRIC)["profile"]):
        assert "look for an error" in svg
        assert "likelier than such a weight" in told


def test_more_alterations_than_are_drawn_are_said_to_be():
    log = [logged("added", 1.0 * number, 5.0) for number in range(57)]
    assert "The first 40 of 57 are drawn." in str(hull_figures(hull(), None, log, METRIC)["profile"].caption)


def test_a_hull_is_drawn_in_the_readers_units_in_scales_titles_numbers_and_words():
    for name, figure in hull_figures(hull(), drifted(30.0, 5.0), [logged("added", 20.0, 5.0)], CUSTOMARY).items():
        for svg, _ in drawn(figure):
            assert re.search(r">above baseline, ft<", svg), name
            assert " m" not in " ".join(re.findall(r"<(?:text|desc)[^>]*>([^<]*)<", svg)), name
    told = drawn(hull_figures(hull(), drifted(30.0, 5.0), [], CUSTOMARY)["profile"])[0][0]
    assert "C implied growth, 98.4 ft fwd of AP, 16.4 ft above base" in told
    body = body_plan(hull(), 60.0, "Oxwater", CUSTOMARY, WIDE).svg
    assert "greatest breadth 32.81 ft" in body
    assert "196.9" in {words for words, *_ in boxes(body)}  # 60 m


def test_contours_that_end_alike_share_a_label_with_both_places():
    box = [{"x_m": 10.0 * station, "contour_m": [[0.0, 0.0], [5.0, 0.0], [5.0, 6.0]]} for station in range(7)]
    told = body_plan(box, 60.0, "Box", METRIC, WIDE)
    assert {"0 to 20", "30 to 60"} <= {words for words, *_ in boxes(told.svg)}
    assert "Two numbers" in caption(told)


def lifted(count: int, breadth: float, apart: float) -> Item:
    """Weights on lines some way apart, each moved over and back."""
    places = {f"block {number}": [20.0 + apart * number, breadth / 3 * (-1) ** number, 6.0] for number in range(count)}
    states: list[Item] = [{"number": 0, "lift": None, "positions": places}]
    for name, (x, y, z) in places.items():
        for sign in (1, -1):
            lift = {"weight": name, "from": [x, sign * y, z], "to": [x, -sign * y, z]}
            states.append({"number": len(states), "lift": lift, "positions": places})
    return {"weights": [{"id": name} for name in places], "states": states}


CRANES = st.none() | st.fixed_dictionaries(
    {"x_m": st.floats(0.0, 40.0), "y_m": st.floats(-12.0, 12.0), "radius_max_m": st.floats(2.0, 60.0)}
)
PLACES = st.just(()) | st.just(({"x_m": 22.0, "y_port_m": -3.0, "y_starboard_m": 3.0},))


@SOME
@given(st.integers(1, 6), st.floats(5.0, 30.0), st.floats(0.0, 12.0), CRANES, PLACES, SAYS, WIDTHS)
def test_on_any_deck_plan_words_stand_apart_and_marks_are_explained(
    count: int, breadth: float, apart: float, crane: Item | None, places: tuple[Item, ...], say: Say, width: int
):
    picture = deck_plan(lifted(count, breadth, apart), DeckShip(breadth, (), places, crane), say, width)
    assert misplaced(picture.svg) == []
    explained = {"8 3 2 3": "Dash and dot", "2 3": "Thin dashes", "6 3": "Dashed arc"}
    assert {dash for dash, words in explained.items() if words in caption(picture)} == dashes(picture.svg)
    assert ("cross" in shapes(picture.svg)) == ("Cross: where the crane stands" in caption(picture))


def test_a_deck_plan_tells_lifts_and_reach_in_the_readers_units():
    crane = {"x_m": 24.0, "y_m": -3.0, "radius_max_m": 12.0}
    svg = deck_plan(lifted(2, 12.0, 4.0), DeckShip(12.0, (), (), crane), CUSTOMARY).svg
    assert "crane reach 39.4 ft" in svg
    assert "state 1, block 0 26.25 ft to port, 65.6 ft fwd of AP" in svg


MOMENTS = st.lists(
    st.builds(
        Moment, st.dates().map(lambda day: f"{1970 + day.year % 60}-{day.month:02}-01"),
        st.sampled_from(["surveyed", "inclined", "test due", "approved baseline"]),
        st.sampled_from(["circle", "triangle", "cross"]), st.booleans(),
    ), min_size=1, max_size=9,
)  # fmt: skip


@SOME
@given(MOMENTS, WIDTHS)
def test_on_any_life_line_words_stand_apart(moments: list[Moment], width: int):
    assert misplaced(life_line(moments, "2026-11-25", "Oxwater", width).svg) == []


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_two_events_of_one_week_have_lines_that_run_through_no_words(width: int):
    svg = life_line([Moment("2009-05-26", "test due", "triangle", True), Moment("2009-06-03", "surveyed", "circle"),
                     Moment("1999-01-01", "inclined", "circle")], "2026-11-25", "Oxwater", width).svg  # fmt: skip
    lines = re.findall(r"points='([\d.]+),([\d.]+) \1,([\d.]+)'", svg)
    for words, left, top, right, bottom in boxes(svg):
        for x, low, high in lines:
            ends = sorted((float(low), float(high)))
            assert not (left < float(x) < right and ends[0] < top and ends[1] > bottom), words


@st.composite
def histories(draw: st.DrawFn) -> tuple[Item, list[Item]]:
    """A drift with one to five measurements against limits that may or may not be passed, and a log."""
    limit, direction = draw(st.floats(0.5, 500.0)), draw(st.sampled_from(["rise", "fall", "absolute"]))
    judged = draw(st.booleans())
    verdict = {"quantity": "mass_t", "limit": limit, "direction": direction, "regulatory": "fail", "value": 1.0,
               "measured": "exceeded", "probability_exceeded": 0.9, "standard": 1.0, "advisory": False}  # fmt: skip
    items = [
        {"date": f"{2001 + 3 * number}-06-03", "basis": draw(st.sampled_from(["lightweight-survey", "inclining-test"])),
         "verdicts": [verdict] if judged else [], "delta": {
             "mass_t": {"value": draw(st.floats(-400.0, 400.0)), "standard": draw(st.floats(0.0, 60.0))},
             "lcg_m": {"value": draw(st.floats(-2.0, 2.0)), "standard": 0.05}, "vcg_m": None}}
        for number in range(draw(st.integers(1, 5)))
    ]  # fmt: skip
    log = [logged("added", 20.0, 5.0) | {"date": "2004-02-02", "mass_t": draw(st.floats(0.1, 200.0))}
           for _ in range(draw(st.integers(0, 3)))]  # fmt: skip
    return {"baseline": {"date": "2000-05-26", "mass_t": 900.0, "lcg_m": 25.0, "vcg_m": None}, "items": items}, log


@SOME
@given(histories(), SAYS, WIDTHS)
def test_in_any_history_words_stand_apart_and_steps_limits_and_hatching_are_explained(
    history: tuple[Item, list[Item]], say: Say, width: int
):
    drift, log = history
    picture = drift_picture(drift, "Drift", say.system, width, log)
    told = caption(picture)
    assert misplaced(picture.svg) == []
    assert ("Short dashes in steps" in told) == ("4 2" in dashes(picture.svg)) == bool(log)
    assert ("Long dashes: a limit; hatched" in told) == ("7 3" in dashes(picture.svg)) == ("<polygon" in picture.svg)
    assert "Change of mass and LCG against" in told
    assert "VCG" not in told


@SOME
@given(st.lists(st.tuples(st.floats(1.0, 90.0), st.floats(0.001, 0.9)), min_size=2, max_size=9), WIDTHS)
def test_among_any_plans_words_stand_apart_and_the_one_shown_is_explained(found: list[tuple[float, float]], width: int):
    choices = [Choice(mass, doubt, number == 0) for number, (mass, doubt) in enumerate(found)]
    picture = trade_off(choices, "LT", "ft", width)
    assert misplaced(picture.svg) == []
    assert "Filled diamond: this plan." in picture.notes
    assert "the dashes join them" in caption(picture)


INSTRUMENTS = st.lists(st.sampled_from(["P1", "P2", "I3", "pendulum fore", "U-tube aft", "inclinometer bridge"]),
                       min_size=1, max_size=4, unique=True)  # fmt: skip


@SOME
@given(
    INSTRUMENTS,
    st.sampled_from([-1, 1]),
    st.floats(0.002, 0.12),
    st.floats(1.0, 5000.0),
    st.floats(0.0, 0.02),
    SAYS,
    WIDTHS,
    st.booleans(),
)
def test_on_any_moment_line_words_stand_apart_and_ring_and_filled_marks_are_explained(
    names: list[str], sign: int, far: float, moment: float, off: float, say: Say, width: int, again: bool
):
    slope = sign * far / moment
    points = [
        {"state": state, "instrument": name, "moment_t_m": side * moment, "tangent": slope * side * moment + each,
         "residual": each}
        for state, side in enumerate((0.0, 0.5, 1.0, 0.0, -0.5, -1.0)) for name in names
        for each in [off * (-1) ** state]
    ]  # fmt: skip
    picture = running_plot(points, slope, [2] if again else [], width, system=say.system)
    told = caption(picture)
    assert misplaced(picture.svg) == []
    assert "Ring: the last state." in told
    assert ("Filled: states to be read again." in told) == again
    assert "ten times" not in told
    assert f"moment, {say.unit('moment')}" in {words for words, *_ in boxes(picture.svg)}
