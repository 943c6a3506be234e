"""The uncertainty to expect of a plan, which lever betters it, and which survey items matter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning import PlanRequest, plan_weights
from heelwright_service.core.record import Instrument, Mark, StatedUncertainties
from heelwright_service.core.reduction import reduce_record
from heelwright_service.core.uncertainty.levers import Target, weigh_levers
from heelwright_service.core.uncertainty.materiality import materiality
from heelwright_service.core.uncertainty.plan_expectation import (
    expected_for_plan,
    levers_for_plan,
    planned_test,
    weigh_plan,
)
from heelwright_service.core.uncertainty.pretest import PlannedTest, expected_uncertainty, planned_record

from .box import BREADTH_M, DEPTH_M, SHIFT_M, box_record, without_doubt

DUE = {
    "displacement_t": 2500.0,
    "gm_m": 0.95,
    "gm_uncertainty_m": 0.05,
    "heel_band_deg": [1.5, 3.0],
    "breadth_m": 14.0,
    "depth_m": 8.0,
    "draught_m": 4.5,
    "weights_count": 4,
    "positions": [{"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 8.6, "units_per_side": 4}],
    "stock": [{"mass_t": 3.0, "count": 4}],
    "instruments": [
        {"id": "forward", "kind": "pendulum", "length_m": 6.0},
        {"id": "aft", "kind": "pendulum", "length_m": 5.5},
    ],
}
MOVES = (
    {"A": -1.0, "B": 1.0},
    {"A": 1.0, "B": 1.0},
    {"A": -1.0, "B": 1.0},
    {"A": -1.0, "B": -1.0},
    {"A": -1.0, "B": 1.0},
)


def planned(**changes):
    """The box of the deviations as a plan: 1 240 t without her weights, two of 10 t moved over 8 m."""
    states = [{name: (25.0, side * SHIFT_M / 2.0, 5.0) for name, side in move.items()} for move in MOVES]
    draught = 1240.0 / (1.025 * 600.0)
    gm = draught / 2.0 + 12.0 / draught - 5.0
    given = PlannedTest(
        1240.0,
        gm,
        draught,
        BREADTH_M,
        DEPTH_M,
        {"A": 10.0, "B": 10.0},
        states,
        [Instrument("P1", "pendulum", 4.0)],
        uncertainties=StatedUncertainties(reading_m=0.001),
    )
    return replace(given, **changes)


def test_the_record_made_up_of_a_plan_reduces_to_the_ship_that_was_planned():
    result = reduce_record(planned_record(planned()), uncertainty="none")
    assert result.as_inclined.displacement_t == pytest.approx(1260.0, rel=1e-9)
    assert result.heeled_equilibrium.kg_m == pytest.approx(5.0, abs=1e-5)


def test_the_expectation_is_what_the_reduction_of_such_a_test_finds():
    """Five readings: the stated uncertainty holds in both."""
    found = reduce_record(box_record(reading_m=0.001)).uncertainty.quantities
    expected = expected_uncertainty(planned())
    for value, name in ((expected.gm_m, "gm_fluid_m"), (expected.kg_m, "kg_m")):
        half = (found[name].high_95 - found[name].low_95) / 2.0
        assert value == pytest.approx(half, rel=0.01)


def test_the_shares_of_an_expectation_add_to_one():
    assert sum(expected_uncertainty(planned()).shares.values()) == pytest.approx(1.0)


def test_without_marks_at_two_places_six_are_taken_to_be_read():
    vessel = planned_record(planned()).vessel
    lone = replace(vessel, marks=[Mark("midship", 25.0, 0.0, 0.0)])
    assert len(planned_record(planned(vessel=lone)).draughts) == 6
    assert len(planned_record(planned(vessel=vessel)).draughts) == 6


def test_a_list_of_the_ship_is_planned_with():
    record = planned_record(planned(initial_heel_deg=0.4))
    starboard, port = (
        np.mean([d.reading_m for d in record.draughts if side in d.mark]) for side in ("starboard", "port")
    )
    assert starboard > port


def test_the_planners_own_estimate_is_close_to_the_measurement_models():
    """The planner's search rests on the line's slope and what all readings share; both count the same doubts."""
    request = from_document(PlanRequest, DUE)
    plan = plan_weights(request)
    expected = expected_for_plan(request, plan)
    assert plan.expected_uncertainty.gm_m == pytest.approx(expected.gm_m, rel=0.1)
    assert plan.expected_uncertainty.kg_m == pytest.approx(expected.kg_m, rel=0.1)
    assert plan.expected_uncertainty.gm_m >= expected.gm_m


@pytest.mark.parametrize(
    ("change", "better"),
    [
        ({"instruments": [{"id": "P", "kind": "pendulum", "length_m": 3.0}]}, False),
        ({"instruments": [{"id": "P", "kind": "pendulum", "length_m": 3.0, "resolution_mm": 10.0}]}, False),
        ({"instruments": [*DUE["instruments"], {"id": "low", "kind": "inclinometer", "resolution_deg": 0.001}]}, True),
    ],
)
def test_instruments_are_expected_as_they_are(change, better):
    request = from_document(PlanRequest, DUE)
    other = replace(request, instruments=from_document(PlanRequest, {**DUE, **change}).instruments)
    plan = plan_weights(request)
    change_m = expected_for_plan(other, plan).gm_m - expected_for_plan(request, plan).gm_m
    assert (change_m < 0.0) == better


def test_every_lever_betters_the_plan_or_leaves_it_and_is_what_the_changed_plan_expects():
    now = expected_uncertainty(planned())
    answer = weigh_levers(planned())
    assert all(lever.gm_m <= now.gm_m * (1.0 + 1e-9) for lever in answer.levers)
    assert answer.reached is None
    assert answer.cheapest == []
    draughts = next(lever for lever in answer.levers if "draughts" in lever.text)
    changed = planned(uncertainties=StatedUncertainties(reading_m=0.001, draught_m=0.003))
    assert draughts.kg_m == pytest.approx(expected_uncertainty(changed).kg_m, rel=1e-3)
    longer = next(lever for lever in answer.levers if "half as long" in lever.text)
    changed = planned(instruments=[Instrument("P1", "pendulum", 6.0)])
    assert longer.gm_m == pytest.approx(expected_uncertainty(changed).gm_m, rel=1e-9)


def test_a_target_already_met_asks_for_nothing():
    answer = weigh_levers(planned(), Target(gm_m=1.0, kg_m=1.0))
    assert (answer.reached, list(answer.cheapest)) == (True, [])


def test_the_cheapest_lever_that_suffices_by_itself_is_named():
    levers = weigh_levers(planned()).levers
    aim = sorted(lever.gm_m for lever in levers)[1] * 1.0001
    answer = weigh_levers(planned(), Target(gm_m=aim))
    able = [lever.text for lever in answer.levers if lever.enough]
    assert answer.reached
    assert len(able) == 2
    assert list(answer.cheapest) == able[:1]
    assert able[0] in answer.sentence


def test_where_none_suffices_by_itself_the_cheapest_together_are_named():
    best = min(lever.gm_m for lever in weigh_levers(planned()).levers)
    answer = weigh_levers(planned(), Target(gm_m=0.9 * best))
    assert answer.reached
    assert len(answer.cheapest) > 1
    assert list(answer.cheapest) == [lever.text for lever in answer.levers][: len(answer.cheapest)]


def test_a_target_beyond_all_levers_is_said_to_be_so():
    answer = weigh_levers(planned(), Target(kg_m=0.0001))
    assert answer.reached is False
    assert "beyond this test" in answer.sentence


def test_a_plan_is_answered_with_the_measurement_models_expectation_and_its_levers():
    request = from_document(PlanRequest, {**DUE, "target_gm_uncertainty_m": 0.02})
    plan = plan_weights(request)
    found = weigh_plan(request, plan)
    expected = expected_for_plan(request, plan)
    assert found.plan.expected_uncertainty.gm_m == expected.gm_m
    assert found.plan.weights == plan.weights
    assert found.levers == levers_for_plan(request, plan)
    assert found.levers.reached


def test_a_target_that_only_the_planners_estimate_keeps_is_cautioned():
    request = from_document(PlanRequest, DUE)
    plan = plan_weights(request)
    tight = replace(request, target_gm_uncertainty_m=0.9 * expected_for_plan(request, plan).gm_m)
    cautions = weigh_plan(tight, plan).plan.cautions
    assert any("more than the target" in text for text in cautions)


def test_a_plan_that_does_not_float_keeps_the_planners_estimate_and_says_so():
    request = from_document(PlanRequest, DUE)
    plan = plan_weights(request)
    sunk = replace(request, displacement_t=2500.0, draught_m=4.5, depth_m=4.6)
    found = weigh_plan(replace(sunk, initial_heel_deg=30.0), plan)
    assert found.levers is None
    assert found.plan.expected_uncertainty == plan.expected_uncertainty
    assert any("could not float" in text for text in found.plan.cautions)


def test_a_planned_test_carries_the_readings_of_its_instruments():
    request = from_document(PlanRequest, DUE)
    given = planned_test(request, plan_weights(request))
    assert given.uncertainties.reading_m == pytest.approx(np.hypot(0.001, 0.001 / 12.0**0.5))
    assert given.uncertainties.reading_deg is None


def test_unlisted_items_at_their_limit_widen_the_interval_by_five_per_cent():
    """Fifty items, each anywhere up to the limit: drawn, their moments spread as the rule says (rectangular)."""
    limits = materiality(0.02, 5.0, 1200.0)
    moments = np.random.default_rng(3).uniform(-1.0, 1.0, (20_000, 50)) * limits.item_moment_t_m
    spread = float(np.std(moments.sum(axis=1))) / 1200.0
    assert spread == pytest.approx(limits.lump_standard_m, rel=0.02)
    assert np.hypot(0.02, limits.lump_standard_m) == pytest.approx(1.05 * 0.02)
    assert limits.unlisted_moment_t_m == pytest.approx(1200.0 * limits.lump_standard_m)


def test_the_remainder_stated_in_a_record_is_what_the_rule_promised():
    limits = materiality(0.02, 5.0, 1200.0)
    record = box_record(
        **without_doubt(unlisted_mass_t=limits.unlisted_mass_t, unlisted_moment_t_m=limits.unlisted_moment_t_m)
    )
    found = reduce_record(record).uncertainty.quantities
    assert found["vcg_m"].standard == pytest.approx(limits.lump_standard_m, rel=1e-6)
    assert found["mass_t"].standard == pytest.approx(limits.unlisted_mass_t, rel=1e-9)


def test_a_target_of_height_alone_limits_moments_alone():
    limits = materiality(0.02, None, 1200.0)
    assert limits.item_mass_t is None
    assert limits.unlisted_mass_t is None
    assert " t;" not in limits.sentence


@pytest.mark.parametrize("given", [(0.0, 5.0, 1200.0), (0.02, -1.0, 1200.0), (0.02, 5.0, 0.0), (0.02, 5.0, 1200.0, 0)])
def test_targets_that_aim_at_nothing_are_refused(given):
    with pytest.raises(CoreError):
        materiality(*given)
