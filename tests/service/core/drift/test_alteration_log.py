"""Net, aggregate and the calculated lightship."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest
from heelwright_service.core.drift import Alteration, AlterationUncertainties
from heelwright_service.core.drift.alteration_log import calculate
from heelwright_service.core.drift.default_uncertainties import with_standard
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat  # type: ignore[import-untyped]

from tests.service.core.drift.builders import TESTED, added, drift_of, record, removed

BASELINE = with_standard(TESTED, 105.0)
TUG = record("2015-01-01", "inclining-test", 600.0, 14.0, 0.0, 3.0, approved=True)


def moved(date: str, mass_t: float, to_x_m: float = 50.0) -> Alteration:
    return Alteration(date, "relocated", mass_t, 20.0, 0.0, 5.0, to_x_m, 1.0, 9.0)


@pytest.mark.parametrize(("relocated_t", "aggregate_t", "action"), [(4.0, 15.0, "survey"), (1.0, 12.0, "record")])
def test_the_aggregate_counts_every_tonne_and_the_net_hides_them(
    relocated_t: float, aggregate_t: float, action: str
) -> None:
    # 46 CFR 144.315: 2 % of 600 t is 12 t; net change 1 t either way
    log = [added("2016-01-01", 6.0, 14.0), removed("2017-01-01", 5.0, 14.0), moved("2018-01-01", relocated_t, 20.0)]
    drift = drift_of([TUG], log, rule_set="us-towing")
    assert drift.logged.aggregate_t == pytest.approx(aggregate_t)
    assert drift.logged.net.mass_t == pytest.approx(1.0)
    assert drift.logged.action == action
    if action == "survey":
        assert drift.next_due is not None
        assert (drift.next_due.rule, drift.next_due.date) == ("D-23", "2024-01-01")


def test_a_relocation_moves_the_centre_and_not_the_mass() -> None:
    found = calculate(BASELINE, [moved("2016-01-01", 40.0)], "2024-01-01")
    assert found.delta.mass_t.value == 0.0
    assert found.net.moment_x_t_m == pytest.approx(40.0 * 30.0)
    assert found.delta.lcg_m.value == pytest.approx(40.0 * 30.0 / 4000.0)
    assert found.delta.vcg_m is not None
    assert found.delta.vcg_m.value == pytest.approx(40.0 * 4.0 / 4000.0)


def test_the_calculated_lightship_is_the_sum_of_moments_over_the_sum_of_masses() -> None:
    log = [added("2016-01-01", 30.0, 80.0, 3.0, 15.0), removed("2017-01-01", 10.0, 20.0, -2.0, 4.0)]
    found = calculate(BASELINE, log, "2024-01-01").lightship
    assert found.mass_t == pytest.approx(4020.0)
    assert found.lcg_m == pytest.approx((4000 * 50.0 + 30 * 80.0 - 10 * 20.0) / 4020.0)
    assert found.tcg_m == pytest.approx((30 * 3.0 + 10 * 2.0) / 4020.0)
    assert found.vcg_m == pytest.approx((4000 * 7.5 + 30 * 15.0 - 10 * 4.0) / 4020.0)


def test_entries_after_the_day_are_not_counted() -> None:
    log = [added("2016-01-01", 30.0), added("2018-01-01", 10.0)]
    assert calculate(BASELINE, log, "2017-12-31").entries == 1
    assert drift_of([TESTED], log, as_of="2017-12-31").logged.net.mass_t == 30.0


def test_what_was_done_on_the_day_of_the_test_or_before_was_in_it() -> None:
    drift = drift_of([TESTED], [added("2015-06-10", 30.0), added("2014-01-01", 5.0)])
    assert drift.logged.entries == 0
    assert drift.logged.action == "none"
    assert any("day of the baseline test" in text for text in drift.cautions)


entries = st.lists(
    st.tuples(
        st.sampled_from(["added", "removed", "relocated"]),
        st.floats(0.1, 50.0),
        st.floats(0.0, 100.0),
        st.floats(0.0, 20.0),
        st.floats(0.01, 2.0),
    ),
    min_size=1,
    max_size=5,
)


@settings(max_examples=40)
@given(entries)
def test_the_uncertainty_agrees_with_automatic_linear_propagation(
    log: list[tuple[Literal["added", "removed", "relocated"], float, float, float, float]],
) -> None:
    # reference: the uncertainties package; the same baseline error stands in old and new lightship
    mass, height = ufloat(4000.0, 16.0), ufloat(7.5, 0.0375)
    total, moment, alterations = mass, mass * height, []
    for kind, mass_t, x_m, z_m, standard_t in log:
        stated = AlterationUncertainties(standard_t, 0.4)
        entry = Alteration("2016-01-01", "added", mass_t, x_m, 0.0, z_m, uncertainties=stated)
        to_x_m, to_y_m, to_z_m = (50.0, 0.0, 12.0) if kind == "relocated" else (None, None, None)
        alterations.append(replace(entry, kind=kind, to_x_m=to_x_m, to_y_m=to_y_m, to_z_m=to_z_m))
        weight, place = ufloat(mass_t, standard_t), ufloat(z_m, 0.4)
        if kind == "relocated":
            moment += weight * (ufloat(12.0, 0.4) - place)
        else:
            sign = 1.0 if kind == "added" else -1.0
            total, moment = total + sign * weight, moment + sign * weight * place
    expected = moment / total - height
    found = calculate(BASELINE, alterations, "2024-01-01").delta
    assert found.vcg_m is not None
    assert found.vcg_m.value == pytest.approx(expected.nominal_value, abs=1e-9)
    assert found.vcg_m.standard == pytest.approx(expected.std_dev, rel=1e-7, abs=1e-12)
    assert found.mass_t.standard == pytest.approx((total - mass).std_dev, rel=1e-9, abs=1e-12)


def test_an_alteration_that_states_no_uncertainty_gets_the_office_default() -> None:
    found = calculate(BASELINE, [added("2016-01-01", 40.0)], "2024-01-01")
    assert found.delta.mass_t.standard == pytest.approx(2.0)  # 5 % of 40 t
