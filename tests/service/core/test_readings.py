"""Pendulums, U-tubes and inclinometers turned into tangents of heel."""

import doctest
from typing import Any

import numpy as np
import pytest
from heelwright_service.core import readings
from heelwright_service.core.errors import CoreError
from heelwright_service.core.readings import ReadTangents, oscillation_mean_deg, read_tangents
from heelwright_service.core.record import Instrument, Reading
from hypothesis import given, settings
from hypothesis import strategies as st

PENDULUM = Instrument("P", "pendulum", 4.0)
TUBE = Instrument("U", "u-tube", 9.0)
CLINOMETER = Instrument("I", "inclinometer")


def test_examples_in_the_documentation_run() -> None:
    assert doctest.testmod(readings).failed == 0


def tangents(reading: Reading, *instruments: Instrument) -> float:
    return float(read_tangents(instruments or [PENDULUM, TUBE, CLINOMETER], [reading], [0, 1]).tangents[0])


def test_each_kind_shows_the_same_heel_in_its_own_way() -> None:
    """tan 2° = 0.0349: 139.7 mm on 4 m, a rise and fall of 314.3 mm between legs 9 m apart."""
    heel = float(np.tan(np.radians(2.0)))
    assert tangents(Reading(0, "P", value_mm=4000.0 * heel)) == pytest.approx(heel, rel=1e-12)
    assert tangents(Reading(0, "U", value_mm=9000.0 * heel)) == pytest.approx(heel, rel=1e-12)
    assert tangents(Reading(0, "I", value_deg=2.0)) == pytest.approx(heel, rel=1e-12)
    assert tangents(Reading(0, "I", samples_deg=[1.9, 2.1, 2.0])) == pytest.approx(heel, rel=1e-12)


def test_a_longer_pendulum_than_stated_shows_less_heel() -> None:
    found = read_tangents(
        [PENDULUM, CLINOMETER], [Reading(0, "P", value_mm=100.0), Reading(0, "I", value_deg=1.0)], [0]
    )
    changed = found.with_errors(np.array([[0.04, 0.0]]))[0]
    assert changed[0] == pytest.approx(0.1 / 4.04)
    assert changed[1] == found.tangents[1]


@given(mean=st.floats(-4.0, 4.0), swing=st.floats(0.01, 0.5), periods=st.floats(2.2, 20.0), phase=st.floats(0.0, 6.3))
@settings(max_examples=40, deadline=None)
def test_a_record_cut_off_anywhere_has_the_mean_of_its_whole_oscillations(
    mean: float, swing: float, periods: float, phase: float
) -> None:
    """The plain mean is off by up to swing/(π·periods)."""
    angle = np.linspace(0.0, 2.0 * np.pi * periods, int(40 * periods))
    samples = mean + swing * np.sin(angle + phase)
    assert oscillation_mean_deg(samples.tolist()) == pytest.approx(mean, abs=0.01 * swing)


def test_a_record_without_oscillations_has_its_plain_mean() -> None:
    assert oscillation_mean_deg([1.0, 1.0, 1.0]) == 1.0
    assert oscillation_mean_deg([1.0, 2.0]) == 1.5


def test_readings_withdrawn_are_kept_with_their_reason_and_do_not_count() -> None:
    given = [
        Reading(0, "P", value_mm=1.0),
        Reading(1, "P", value_mm=90.0, withdrawn_reason="the wire touched"),
        Reading(1, "P", value_mm=70.0, repeat=2),
        Reading(1, "P", value_mm=71.0, repeat=3),
    ]
    found: ReadTangents = read_tangents([PENDULUM], given, [0, 1])
    assert found.source.tolist() == [0, 2, 3]
    assert found.state_index.tolist() == [0, 1, 1]
    assert found.withdrawn == ["State 1, P: withdrawn, the wire touched"]


REFUSED: list[tuple[list[Instrument], list[Reading], str, str]] = [
    ([PENDULUM, PENDULUM], [], "instrument-named-twice", "/instruments/1/id"),
    ([Instrument("P", "pendulum")], [], "instrument-length-missing", "/instruments/0/length_m"),
    ([Instrument("U", "u-tube")], [], "instrument-length-missing", "/instruments/0/length_m"),
    ([Instrument("I", "inclinometer", 3.0)], [], "instrument-length-not-allowed", "/instruments/0/length_m"),
    ([PENDULUM], [Reading(0, "Q", value_mm=1.0)], "instrument-unknown", "/readings/0/instrument"),
    ([PENDULUM], [Reading(7, "P", value_mm=1.0)], "state-unknown", "/readings/0/state"),
    ([PENDULUM], [Reading(0, "P", value_deg=1.0)], "reading-value", "/readings/0/value_deg"),
    ([CLINOMETER], [Reading(0, "I", value_mm=1.0)], "reading-value", "/readings/0/value_mm"),
    ([PENDULUM], [Reading(0, "P")], "reading-value", "/readings/0/value_mm"),
    ([CLINOMETER], [Reading(0, "I", samples_deg=[1.0])], "reading-value", "/readings/0/samples_deg"),
    ([PENDULUM], [Reading(0, "P", value_mm=1.0, withdrawn_reason="wet")], "readings-missing", "/readings"),
]


@pytest.mark.parametrize(("instruments", "given", "code", "pointer"), REFUSED)
def test_readings_that_mean_nothing_are_refused_where_they_stand(
    instruments: list[Any], given: list[Any], code: str, pointer: str
) -> None:
    with pytest.raises(CoreError) as caught:
        read_tangents(instruments, given, [0, 1])
    assert (caught.value.code, caught.value.pointer) == (code, pointer)


def test_noise_makes_no_oscillations_of_its_own() -> None:
    """Swings of 0.2° under noise of 0.05°, cut off anywhere: the whole oscillations tell more than the plain mean."""
    rng = np.random.default_rng(7)
    whole, plain = [], []
    for _ in range(100):
        count = int(rng.integers(90, 400))
        swing = 0.2 * np.sin(2.0 * np.pi * np.arange(count) / 40.0 + rng.uniform(0.0, 2.0 * np.pi))
        samples = 1.5 + swing + rng.normal(0.0, 0.05, count)
        whole.append(oscillation_mean_deg(samples.tolist()) - 1.5)
        plain.append(float(samples.mean()) - 1.5)
    assert np.std(whole) < 0.7 * np.std(plain)


def test_a_record_is_cut_at_its_downward_passages_where_they_span_more() -> None:
    """From just after an upward passage: one whole oscillation lies between two downward ones only."""
    samples = [1.5 + 0.2 * np.sin(2.0 * np.pi * (i + 2.0) / 40.0) for i in range(72)]
    assert oscillation_mean_deg(samples) == pytest.approx(1.5, abs=1e-3)
