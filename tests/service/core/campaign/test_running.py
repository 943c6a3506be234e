"""The plot while the test runs, on readings whose line is known."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from heelwright_service.core.campaign.running import Running, run_so_far
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import IncliningWeight, Instrument, Reading, State
from hypothesis import given
from hypothesis import strategies as st

# Four weights of 5 t, each shifted 8 m: 40 t·m a move; Δ·GM = 1 260 t × 1.882 m, so 0.9662° for one weight.
WEIGHTS = [IncliningWeight(name, 5.0) for name in "ABCD"]
HOME = {"A": -4.0, "B": 4.0, "C": -4.0, "D": 4.0}
ACROSS = ["", "A", "AC", "C", "", "B", "BD", "D", ""]
STATES = [
    State(n, {w: (25.0, -HOME[w] if w in moved else HOME[w], 6.0) for w in "ABCD"}) for n, moved in enumerate(ACROSS)
]
PENDULUMS = [Instrument("P1", "pendulum", 4.0), Instrument("P2", "pendulum", 3.0)]
DISPLACEMENT, GM = 1260.0, 1.882
MOMENTS = [0.0, 40.0, 80.0, 40.0, 0.0, -40.0, -80.0, -40.0, 0.0]


def reading(state: int, instrument: Instrument, off_mm: float = 0.0, **more: object) -> Reading:
    tangent = MOMENTS[state] / (DISPLACEMENT * GM)
    return Reading(state, instrument.id, 1000.0 * (instrument.length_m or 0.0) * tangent + 17.0 + off_mm, **more)


def run(last: int = 8, wrong: dict[tuple[int, str], float] | None = None, **more: object) -> Running:
    off = wrong or {}
    found = [reading(n, each, off.get((n, each.id), 0.0)) for n in range(last + 1) for each in PENDULUMS]
    return run_so_far(WEIGHTS, STATES[: last + 1], PENDULUMS, found, DISPLACEMENT)


def test_gm_so_far_is_that_of_the_line() -> None:
    found = run()
    assert found.gm_fluid_m == pytest.approx(GM)
    assert found.moment_per_tangent_t_m == pytest.approx(DISPLACEMENT * GM)
    assert found.gm_by_instrument_m == {"P1": pytest.approx(GM), "P2": pytest.approx(GM)}


def test_before_anything_is_read_nothing_is_claimed() -> None:
    found = run_so_far(WEIGHTS, [], PENDULUMS, [], DISPLACEMENT)
    assert (found.gm_fluid_m, found.straight, found.may_stop) == (None, None, False)


@pytest.mark.parametrize("last", [0, 1])
def test_one_or_two_states_are_no_line(last: int) -> None:
    found = run(last)
    assert (found.gm_fluid_m, found.straight, found.may_stop) == (None, None, False)


@pytest.mark.parametrize(("last", "stop"), [(5, False), (6, True), (7, True), (8, True)])
def test_a_straight_plot_may_stop_after_six_movements(last: int, stop: bool) -> None:
    # 2008 IS Code part B 8.4.1.2; five movements leave one side with one moment.
    assert run(last).may_stop is stop


def test_a_reading_off_the_line_is_named_and_keeps_the_test_going() -> None:
    found = run(wrong={(2, "P1"): 8.0})
    assert [(each.state, each.instrument) for each in found.read_again] == [(2, "P1")]
    assert "starboard" in found.read_again[0].why
    assert (found.straight, found.may_stop) == (False, False)
    assert "line is slack" in found.next_actions[0]


def test_two_bad_readings_are_both_found() -> None:
    found = run(wrong={(2, "P1"): 9.0, (6, "P2"): -8.0})
    assert {(each.state, each.instrument) for each in found.read_again} == {(2, "P1"), (6, "P2")}


def test_a_good_reading_is_never_asked_for_again() -> None:
    assert run(wrong={(3, "P2"): 0.5}).read_again == ()


def test_a_withdrawn_reading_counts_no_more() -> None:
    good = [reading(n, each) for n in range(9) for each in PENDULUMS]
    bad = reading(2, PENDULUMS[0], 30.0, withdrawn_reason="bob touched the trough")
    assert run_so_far(WEIGHTS, STATES, PENDULUMS, [*good, bad], DISPLACEMENT) == run()


def test_a_zero_that_does_not_come_back_shows_in_millimetres() -> None:
    found = run(wrong={(8, "P1"): 3.0})
    assert found.zero_return_mm == pytest.approx(3.0)
    assert found.straight is False


def test_without_a_displacement_there_is_a_line_but_no_gm() -> None:
    found = run_so_far(WEIGHTS, STATES, PENDULUMS, [reading(n, PENDULUMS[0]) for n in range(9)])
    assert found.gm_fluid_m is None
    assert found.moment_per_tangent_t_m == pytest.approx(DISPLACEMENT * GM)


def test_a_state_that_leaves_a_weight_out_is_refused() -> None:
    states = [*STATES[:1], State(1, {"A": (25.0, 4.0, 6.0)})]
    with pytest.raises(CoreError) as refused:
        run_so_far(WEIGHTS, states, PENDULUMS, [reading(0, PENDULUMS[0]), reading(1, PENDULUMS[0])])
    assert refused.value.code == "weight-placing"


@given(st.permutations(range(18)))
def test_the_order_of_entry_does_not_matter(order: list[int]) -> None:
    all_of_them = [reading(n, each, 0.3 * n) for n in range(9) for each in PENDULUMS]
    found = run_so_far(WEIGHTS, STATES, PENDULUMS, [all_of_them[i] for i in order], DISPLACEMENT)
    straight = run_so_far(WEIGHTS, STATES, PENDULUMS, all_of_them, DISPLACEMENT)
    assert found.gm_fluid_m == pytest.approx(straight.gm_fluid_m, abs=1e-12)
    assert found.may_stop == straight.may_stop


@given(st.floats(-500.0, 500.0))
def test_where_a_batten_has_its_zero_does_not_matter(offset_mm: float) -> None:
    moved = [
        replace(each, value_mm=(each.value_mm or 0.0) + (offset_mm if each.instrument == "P2" else 0.0))
        for each in (reading(n, p) for n in range(9) for p in PENDULUMS)
    ]
    found = run_so_far(WEIGHTS, STATES, PENDULUMS, moved, DISPLACEMENT)
    assert found.gm_fluid_m == pytest.approx(GM)
    assert math.isclose(found.zero_return_mm or 0.0, 0.0, abs_tol=1e-9)
