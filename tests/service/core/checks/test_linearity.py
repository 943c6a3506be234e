"""The moment line: what R² hides and the parts of the linearity check show."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from heelwright_service.core.checks.line import moment_line
from heelwright_service.core.checks.patterns import patterns

from .records import MOMENTS_T_M, SLOPE, Document, changed, check, clean, given_of, judged, readings, statuses

STRAIGHT = np.array(MOMENTS_T_M) * SLOPE
FULL_SCALE = SLOPE * 72.0


def with_tangents(tangents: Sequence[float]) -> Document:
    return changed(clean(), "readings", to=readings([float(t) for t in tangents]))


def with_added(added: Sequence[float]) -> Document:
    """The perfect test with something added to the tangents of its states."""
    return with_tangents((STRAIGHT + np.array(added)).tolist())


def one_sided_moment() -> Document:
    """A steady moment of +0.0020 in tangent while the weights stand to starboard, and none before or after."""
    return with_added([0.0, 0.002, 0.002, 0.002, 0, 0, 0, 0, 0])


def test_a_moment_on_one_side_passes_any_gate_on_r_squared() -> None:
    # nine states, derived for this project: slope 4.3957115e-4, GM 0.909978 m (4.2 % low), R² 0.99911
    shown = check(one_sided_moment(), "C-07-r-squared")
    assert shown.value == pytest.approx(0.99911338, abs=1e-8)
    assert shown.value is not None
    assert shown.value >= 0.999
    assert (shown.status, shown.limit) == ("pass", None)
    small = given_of(one_sided_moment()).outcome.small_angle
    assert small is not None
    assert float(small.gm_fluid_m[0]) == pytest.approx(0.909978, abs=1e-6)


def test_the_same_moment_is_caught_by_residuals_and_by_sides() -> None:
    found = statuses(one_sided_moment())
    assert (found["C-07-residual"], found["C-07-sides"]) == ("warn", "warn")
    sides = check(one_sided_moment(), "C-07-sides")
    # 0.8834 m from the states to starboard, 0.9500 m from those to port: 7.3 % of their mean apart
    assert "0.8834 m" in sides.text
    assert "0.9500 m" in sides.text
    assert sides.value == pytest.approx(100 * (0.95 - 0.8834) / (0.5 * (0.95 + 0.8834)), abs=0.01)
    residual = check(one_sided_moment(), "C-07-residual")
    # residuals of ±0.00066667 against a full scale of 72 t·m times the slope found
    assert residual.value == pytest.approx(100 * 0.00066667 / (4.3957115e-4 * 72.0), rel=1e-4)


def test_it_is_named_as_a_moment_that_came_and_went_with_one_side() -> None:
    told = [caution for caution in judged(one_sided_moment()).cautions if "a step to starboard" in caution]
    assert len(told) == 1
    assert "repeat state 2" in told[0]
    assert "P1, P2 and P3 all show it" in told[0]
    assert check(one_sided_moment(), "C-05").status == "warn"


def test_a_constant_offset_changes_nothing() -> None:
    offset = with_added([0.0005] * 9)
    assert statuses(offset) == statuses(clean())
    before, after = (given_of(record).outcome.small_angle for record in (clean(), offset))
    assert before is not None
    assert after is not None
    assert float(after.slope[0]) == pytest.approx(float(before.slope[0]), rel=1e-12)


def test_a_side_held_by_a_line_is_named_with_its_next_actions() -> None:
    held = with_added([min(t, 0.0) * -0.06 for t in STRAIGHT])
    told = [caution for caution in judged(held).cautions if "stiffer than the other" in caution]
    assert len(told) == 1
    assert told[0].startswith("Unsafe side: ")
    assert told[0].index("line") < told[0].index("depth on the port side") < told[0].index("repeat state 6")
    assert statuses(held)["C-07-sides"] == "warn"


@pytest.mark.parametrize(("sense", "words"), [(1.0, "more than in proportion"), (-1.0, "less than in proportion")])
def test_a_bend_alike_to_both_sides_says_which_way(sense: float, words: str) -> None:
    bent = with_added([sense * 0.12 * FULL_SCALE * (t / FULL_SCALE) ** 3 for t in STRAIGHT])
    told = [caution for caution in judged(bent).cautions if "a bend alike to both sides" in caution]
    assert len(told) == 1
    assert words in told[0]
    assert told[0].startswith("Safe side: " if sense > 0.0 else "Unsafe side: ")


def test_a_zero_that_wanders_is_a_drift() -> None:
    drifting = with_added([0.0003 * state for state in range(9)])
    assert [c for c in judged(drifting).cautions if "a drift from state to state" in c]
    zero = check(drifting, "C-07-zero")
    # 0.0024 at the last zero on the longest pendulum, 6 m: 14.4 mm
    assert zero.status == "warn"
    assert zero.value == pytest.approx(14.4, abs=1e-6)
    assert "14.4 mm" in zero.text
    assert "t·m" in zero.text


def test_going_and_coming_back_apart_is_hysteresis() -> None:
    lag = 0.0006
    directions = np.sign(np.diff(MOMENTS_T_M, prepend=0.0))
    assert [c for c in judged(with_added((-lag * directions).tolist())).cautions if "going and coming back" in c]


def test_readings_with_scatter_alone_show_no_pattern_as_a_rule() -> None:
    rng = np.random.default_rng(11)
    told = 0
    for _ in range(40):
        noisy = clean()
        for reading in noisy["readings"]:
            reading["value_mm"] += rng.normal(0.0, 1.0)
        told += check(noisy, "C-05", method="small-angle").status == "warn"
    assert told <= 1


def test_one_reading_that_stands_out_is_named_and_the_other_instruments_are_asked() -> None:
    wrong = clean()
    rng = np.random.default_rng(5)
    for reading in wrong["readings"]:
        reading["value_mm"] += rng.normal(0.0, 0.3)
    wrong["readings"][5 * 3 + 1]["value_mm"] += 12.0
    found = check(wrong, "C-03")
    assert found.status == "warn"
    assert "P2 in state 5" in found.text
    told = [c for c in judged(wrong).cautions if "stands out by itself" in c]
    assert len(told) == 1
    assert "look at the reading first" in told[0]


def test_an_instrument_of_wrong_length_leaves_the_others() -> None:
    wrong = clean()
    for reading in wrong["readings"]:
        if reading["instrument"] == "P2":
            reading["value_mm"] *= 1.05
    found = check(wrong, "C-07-instruments")
    assert found.status == "warn"
    assert "P2 is furthest" in found.text


def test_inclinometers_alone_cannot_be_judged_in_millimetres() -> None:
    record = clean()
    record["instruments"] = [{"id": "I1", "kind": "inclinometer"}]
    record["readings"] = [
        {"state": k, "instrument": "I1", "value_deg": float(np.degrees(np.arctan(t)))} for k, t in enumerate(STRAIGHT)
    ]
    found = statuses(record)
    assert (found["C-07-zero"], found["C-07-instruments"], found["H-10"]) == ("not-assessed", "not-assessed", "fail")


def test_one_reading_a_state_of_three_states_is_too_few_to_judge() -> None:
    record = clean()
    record["instruments"] = record["instruments"][:1]
    record["readings"] = [r for r in readings(STRAIGHT.tolist(), {"P1": 6.0}) if r["state"] in (0, 2, 6)]
    assert statuses(record)["C-03"] == "not-assessed"


def test_withdrawn_readings_are_listed_with_their_reasons() -> None:
    record = clean()
    record["readings"].append(
        {"state": 3, "instrument": "P3", "value_mm": 5.0, "withdrawn_reason": "bob touched the trough"}
    )
    found = check(record, "C-03-withdrawn")
    assert found.status == "pass"
    assert "P3 in state 3 (bob touched the trough, read again)" in found.text
    record["readings"][-1]["withdrawn_reason"] = " "
    assert check(record, "C-03-withdrawn").status == "fail"


def test_a_pattern_is_measured_by_the_size_that_was_put_in() -> None:
    # a step of 0.002 to starboard beside its fit by line and intercept
    given = given_of(one_sided_moment())
    line = moment_line(given)
    assert line is not None
    step = next(p for p in patterns(given, line) if p.name == "starboard-step")
    assert step.probability < 1e-9
    assert list(step.by_instrument.values()) == [pytest.approx(step.departure)] * 3
