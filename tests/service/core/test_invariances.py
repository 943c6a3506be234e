"""What must not matter: which side is which, where the origin lies, the order of the states, zeros, the size."""

from functools import cache
from typing import Any

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import work_out
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.record_changes import mirrored, moved, scaled
from tests.support.simulator import Options, simulate

Document = dict[str, Any]
Centres = dict[str, tuple[float, float, float, float]]

FEW = settings(max_examples=3, deadline=None, derandomize=True)
SHIPS = ["asymmetric", "catamaran", "hard_chine"]


@cache
def record_of(family: str) -> Document:
    """A test of three kinds of instruments, weights changing height, tanks with their shapes."""
    options = Options(
        coarse=5,
        refine=1,
        weights=4,
        instruments=["pendulum", "u-tube", "inclinometer"],
        height_change_m=0.4,
        tank_geometry=True,
    )
    return simulate(family, 21, options=options).record


def centres(record: Document) -> Centres:
    """Mass and centre of the lightship by each method."""
    outcome = work_out(from_document(TestRecord, record)).outcome
    assert set(outcome.lightship) == {"small-angle", "heeled-equilibrium"}
    return {
        name: (float(one.mass_t[0]), float(one.lcg_m[0]), float(one.tcg_m[0]), float(one.vcg_m[0]))
        for name, one in outcome.lightship.items()
    }


@cache
def centres_of(family: str) -> Centres:
    return centres(record_of(family))


def assert_same(found: Centres, expected: Centres, within_m: float = 2e-7) -> None:
    for name, (mass, *centre) in expected.items():
        assert found[name][0] == pytest.approx(mass, rel=1e-8)
        assert found[name][1:] == pytest.approx(centre, abs=within_m)


@pytest.mark.parametrize("family", SHIPS)
def test_a_mirrored_test_has_the_mirrored_lightship(family: str) -> None:
    expected = {name: (m, x, -y, z) for name, (m, x, y, z) in centres_of(family).items()}
    assert_same(centres(mirrored(record_of(family))), expected)


@pytest.mark.parametrize("family", SHIPS)
def test_a_record_mirrored_twice_is_itself(family: str) -> None:
    assert mirrored(mirrored(record_of(family))) == record_of(family)


@given(forward=st.floats(-80.0, 80.0), upward=st.floats(-3.0, 3.0), family=st.sampled_from(SHIPS))
@FEW
def test_the_lightship_moves_with_the_origin(forward: float, upward: float, family: str) -> None:
    expected = {name: (m, x + forward, y, z + upward) for name, (m, x, y, z) in centres_of(family).items()}
    assert_same(centres(moved(record_of(family), forward, upward)), expected, within_m=2e-6)


@given(ratio=st.floats(0.4, 2.5), family=st.sampled_from(SHIPS))
@FEW
def test_a_ship_of_another_size_has_the_lightship_of_that_size(ratio: float, family: str) -> None:
    expected = {
        name: (m * ratio**3, x * ratio, y * ratio, z * ratio) for name, (m, x, y, z) in centres_of(family).items()
    }
    assert_same(centres(scaled(record_of(family), ratio)), expected, within_m=2e-6)


@given(seed=st.integers(0, 10_000), family=st.sampled_from(SHIPS))
@FEW
def test_the_order_of_states_readings_and_everything_aboard_does_not_matter(seed: int, family: str) -> None:
    rng = np.random.default_rng(seed)
    record = dict(record_of(family))
    names = ("states", "readings", "draughts", "soundings", "items", "persons", "inclining_weights", "instruments")
    for name in names:
        record[name] = [record[name][i] for i in rng.permutation(len(record[name]))]
    assert_same(centres(record), centres_of(family))


@given(seed=st.integers(0, 10_000), family=st.sampled_from(SHIPS))
@FEW
def test_states_after_the_first_may_be_made_in_any_order(seed: int, family: str) -> None:
    record = dict(record_of(family))
    numbers = [state["number"] for state in record["states"]]
    first = min(numbers)
    rest = [number for number in numbers if number != first]
    new = {first: first} | dict(zip(rest, np.random.default_rng(seed).permutation(rest).tolist(), strict=True))
    record["states"] = [state | {"number": new[state["number"]]} for state in record["states"]]
    record["readings"] = [reading | {"state": new[reading["state"]]} for reading in record["readings"]]
    assert_same(centres(record), centres_of(family))


@given(shifts=st.lists(st.floats(-50.0, 50.0), min_size=2, max_size=2), family=st.sampled_from(SHIPS))
@FEW
def test_where_a_pendulum_or_u_tube_has_its_zero_does_not_matter(shifts: list[float], family: str) -> None:
    record = dict(record_of(family))
    added_mm = dict(zip([one["id"] for one in record["instruments"]], shifts, strict=False))
    record["readings"] = [
        reading | {"value_mm": reading["value_mm"] + added_mm[reading["instrument"]]}
        if "value_mm" in reading
        else reading
        for reading in record["readings"]
    ]
    assert_same(centres(record), centres_of(family))
