"""What a weight plan holds: geometry, moments, heels, limits, what binds and what mends it."""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import pytest
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.planning import Design, PlanRequest, WeightPlan, plan_weights
from heelwright_service.core.results import Check


def request(**other: Any) -> dict[str, Any]:
    base: dict[str, Any] = {
        "displacement_t": 2500.0, "gm_m": 0.95, "gm_uncertainty_m": 0.05, "breadth_m": 14.0, "depth_m": 8.0,
        "draught_m": 4.5, "heel_band_deg": [1.5, 3.0], "weights_count": 4,
        "positions": [{"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 8.6, "units_per_side": 4}],
        "stock": [{"mass_t": 3.0, "count": 4}],
        "instruments": [{"id": "P1", "kind": "pendulum", "length_m": 6.0},
                        {"id": "P2", "kind": "pendulum", "length_m": 5.5}],
    }  # fmt: skip
    return {key: value for key, value in (base | other).items() if value is not None}


def planned(**other: Any) -> WeightPlan:
    return plan_weights(from_document(PlanRequest, request(**other)))


def check(plan: WeightPlan, rule: str) -> Check:
    return next(each for each in plan.checks if each.id == rule)


ROOMY = [
    {"x_m": 20.0, "y_port_m": -5.0, "y_starboard_m": 5.0, "z_m": 8.4, "units_per_side": 2},
    {"x_m": 34.0, "y_port_m": -6.2, "y_starboard_m": 5.4, "z_m": 9.0, "units_per_side": 3},
    {"x_m": 41.0, "y_port_m": -4.4, "y_starboard_m": 4.4, "z_m": 8.8},
]
MIXED = [{"mass_t": 2.0, "count": 3}, {"mass_t": 3.1, "count": 3}, {"id": "K", "mass_t": 4.05, "count": 2}]


def test_a_document_of_the_plan_is_plain_and_names_the_lifts_from_and_to() -> None:
    plan = to_document(planned())
    json.dumps(plan, allow_nan=False)
    assert set(plan["states"][1]["lift"]) == {"weight", "from", "to"}
    assert plan["states"][0]["lift"] is None


@pytest.mark.parametrize("count", [4, 6])
def test_every_state_follows_from_the_one_before_by_its_one_lift_across(count: int) -> None:
    plan = planned(weights_count=count, positions=ROOMY, stock=MIXED)
    for before, after in itertools.pairwise(plan.states):
        assert after.lift is not None
        moved = dict(before.positions)
        assert moved[after.lift.weight] == after.lift.from_
        moved[after.lift.weight] = after.lift.to
        assert moved == after.positions
        assert after.lift.from_[0::2] == after.lift.to[0::2]
    assert plan.lifts == len(plan.states) - 1 == {4: 8, 6: 12}[count]


@pytest.mark.parametrize("count", [4, 6])
def test_moments_are_those_of_the_positions_and_weights_go_about_the_middle_of_their_place(count: int) -> None:
    plan = planned(weights_count=count, positions=ROOMY, stock=MIXED, band_applies_to="every", heel_band_deg=[0.6, 3.0])
    mass = {weight.id: weight.mass_t for weight in plan.weights}

    def moment(number: int) -> float:
        return sum(mass[name] * place[1] for name, place in plan.states[number].positions.items())

    for state in plan.states:
        assert state.moment_t_m == pytest.approx(moment(state.number) - moment(0), abs=1e-9)
    for weight in plan.weights:
        place = ROOMY[weight.position - 1]
        ys = {state.positions[weight.id][1] for state in plan.states}
        assert sum(ys) / 2 == pytest.approx((place["y_port_m"] + place["y_starboard_m"]) / 2)
        assert max(ys) - min(ys) == pytest.approx(weight.shift_distance_m)
        assert place["y_port_m"] - 1e-9 <= min(ys) < max(ys) <= place["y_starboard_m"] + 1e-9
        home = plan.states[0].positions[weight.id][1]
        assert (home == min(ys)) == (weight.home == "port")


def test_heel_to_starboard_is_positive_and_its_range_holds_the_expected_value() -> None:
    plan = planned()
    assert plan.states[2].heel_deg.expected > 0.0 > plan.states[6].heel_deg.expected
    for state in plan.states:
        assert state.heel_deg.low <= state.heel_deg.expected <= state.heel_deg.high
    assert plan.max_heel_deg.low < plan.max_heel_deg.expected < plan.max_heel_deg.high


def test_heels_are_those_of_a_box_floated_with_its_weights() -> None:
    """Box 50 m by 12 m, 1 260 t, T 2.049 m, KM 6.882 m, KG 5.000 m (figures derived for this project)."""
    draught, gm = 1260.0 / (1.025 * 600.0), 1.882
    stock = [{"mass_t": 4.0, "count": 4}]
    place = [{"x_m": 25.0, "y_port_m": -5.0, "y_starboard_m": 5.0, "z_m": 4.5}]
    plan = planned(
        displacement_t=1260.0, gm_m=gm, gm_uncertainty_m=0.05, breadth_m=12.0, depth_m=4.0, draught_m=draught,
        positions=place, stock=stock,
    )  # fmt: skip
    kg = draught / 2 + 144 / 12 / draught - gm
    mass = 1260.0 + 16.0
    after = mass / (1.025 * 600.0)
    gm_after = after / 2 + 12.0 / after - (1260.0 * kg + 16.0 * 4.5) / mass
    assert plan.states[2].heel_deg.expected == pytest.approx(math.degrees(math.atan(80.0 / mass / gm_after)), abs=1e-9)


def test_a_perfect_four_weight_test_is_predicted_to_the_printed_digits() -> None:
    """2 500 t, GM 0.950 m, four 3.0 t weights shifted 12.0 m: 0.86842° and 1.73643°, 121.263 mm at 4 m and 181.895 mm
    at 6 m. Synthetic, exact arithmetic, without the weights' own effect: they stand at the height where it is nil."""
    place = [{"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 4.5 * (1 + 6 / 2500)}]
    instruments = [
        {"id": "four", "kind": "pendulum", "length_m": 4.0},
        {"id": "six", "kind": "pendulum", "length_m": 6.0},
    ]
    plan = planned(positions=place, instruments=instruments, rule_set="class-10cm")
    assert plan.feasible
    heels = [state.heel_deg.expected for state in plan.states[:4]]
    assert heels == pytest.approx([0.0, 0.86842, 1.73643, 0.86842], abs=6e-6)
    assert plan.states[2].deflection_mm == pytest.approx({"four": 121.263, "six": 181.895}, abs=6e-4)
    assert plan.states[5].deflection_mm["four"] == pytest.approx(-60.632, abs=6e-4)


def test_a_pendulum_of_four_metres_fails_fifteen_centimetres_and_passes_ten() -> None:
    short = [{"id": "P1", "kind": "pendulum", "length_m": 4.0}, {"id": "P2", "kind": "pendulum", "length_m": 6.0}]
    fifteen, ten = planned(instruments=short), planned(instruments=short, rule_set="class-10cm")
    assert not fifteen.feasible
    assert fifteen.binding_constraint is not None
    assert fifteen.binding_constraint.startswith("H-04")
    assert {each.text[:2]: each.status for each in fifteen.checks if each.id == "H-04"} == {"P1": "fail", "P2": "pass"}
    assert ten.feasible
    assert all(each.status == "pass" for each in ten.checks if each.id == "H-04")


def test_the_longer_pendulum_that_is_named_is_just_long_enough() -> None:
    def with_length(length: float) -> WeightPlan:
        second = {"id": "I1", "kind": "inclinometer"}
        return planned(instruments=[{"id": "P1", "kind": "pendulum", "length_m": length}, second])

    plan = with_length(4.0)
    assert plan.nearest_change == "a 5.2 m pendulum instead of 4 m (P1)"
    assert with_length(5.2).feasible
    assert not with_length(5.1).feasible


@pytest.mark.parametrize(("angle", "length"), [(1.0, 8.593), (2.0, 4.295), (3.0, 2.862), (4.0, 2.145)])
def test_the_length_for_fifteen_centimetres_is_that_of_the_tables(angle: float, length: float) -> None:
    """Length for 150 mm at an angle: 0.150/tan(angle)."""
    stiffness = 2500.0 * 0.95
    mass = stiffness * math.tan(math.radians(angle)) / 24.0
    level = {"x_m": 30.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 4.5 * (1 + 2 * mass / 2500.0)}
    fixed = {"positions": [level], "stock": [{"mass_t": mass, "count": 4}], "gm_uncertainty_m": 0.0}
    for change, expected in ((0.001, True), (-0.001, False)):
        read = [{"id": "P1", "kind": "pendulum", "length_m": length + change}, {"id": "I1", "kind": "inclinometer"}]
        plan = planned(instruments=read, heel_band_deg=[0.5, angle + 1e-6], **fixed)
        assert plan.feasible == expected


def test_one_more_weight_is_named_where_it_is_enough() -> None:
    plan = planned(stock=[{"mass_t": 3.0, "count": 3}, {"mass_t": 0.5, "count": 1}])
    assert not plan.feasible
    assert plan.nearest_change == "one more 3 t weight"
    assert planned(stock=[{"mass_t": 3.0, "count": 4}, {"mass_t": 0.5, "count": 1}]).feasible


def test_two_weights_never_give_enough_states_and_four_are_named() -> None:
    plan = planned(weights_count=2, stock=[{"mass_t": 6.0, "count": 6}, {"mass_t": 3.0, "count": 6}])
    assert not plan.feasible
    assert plan.binding_constraint is not None
    assert plan.binding_constraint.startswith("C-01")
    assert "four weights instead of two" in plan.changes
    assert check(plan, "C-01").status == "fail"


def test_a_range_of_gm_too_wide_for_the_band_is_named_and_narrowed() -> None:
    plan = planned(gm_uncertainty_m=0.4)
    assert plan.binding_constraint is not None
    assert "range of GM is too wide" in plan.binding_constraint
    assert any(change.startswith("GM known to within") for change in plan.changes)
    assert check(plan, "band").status == "fail"


def test_a_list_that_the_weights_cannot_take_out_binds() -> None:
    plan = planned(initial_heel_deg=1.5)
    assert plan.binding_constraint is not None
    assert plan.binding_constraint.startswith("P-18")
    assert check(plan, "P-18").status == "fail"
    assert plan.initial_list_deg.expected > 0.5
    assert plan.changes == ["the ship brought to 0.5° or less to starboard before the test"]


def test_a_crane_too_weak_is_named_with_the_lift_that_is_needed() -> None:
    weak = {"x_m": 30.0, "y_m": -10.0, "radius_max_m": 16.0, "curve": [[3, 2.5], [16, 2]], "onboard": True,
            "minutes_per_lift": 8.0}  # fmt: skip
    plan = planned(crane=weak)
    assert not plan.feasible
    assert plan.binding_constraint is not None
    assert plan.binding_constraint.startswith("P-30")
    assert plan.nearest_change == "a crane that lifts 3 t at a radius of 16.0 m"
    assert check(plan, "P-30").status == "fail"


def test_a_crane_is_never_taken_beyond_its_curve() -> None:
    crane = {"x_m": 30.0, "y_m": 0.0, "radius_max_m": 30.0, "curve": [[2.0, 9.0], [5.0, 6.0]], "onboard": False,
             "minutes_per_lift": 8.0}  # fmt: skip
    plan = planned(crane=crane, stock=[{"mass_t": 4.0, "count": 4}])
    assert max(abs(place[1]) for state in plan.states for place in state.positions.values()) <= 5.0


def test_decks_and_places_that_take_no_weights_are_named() -> None:
    place = request()["positions"][0]
    heavy = planned(
        positions=[place | {"deck_load_t_per_m2": 2.0}], stock=[{"mass_t": 3.0, "count": 4, "footprint_m2": 1.0}]
    )
    assert (heavy.feasible, check(heavy, "P-23").status) == (False, "fail")
    assert "1.50 m² under A" in str(heavy.nearest_change)
    full = planned(positions=[place | {"units_per_side": 1}])
    assert (full.feasible, check(full, "capacity").status) == (False, "fail")
    assert full.nearest_change == "room for 4 weights, 12 t, on one side of position 1"


def test_a_target_for_the_uncertainty_is_kept_or_named() -> None:
    reached = planned(weight_step_t=0.1, stock=None, target_gm_uncertainty_m=0.011)
    assert reached.feasible
    assert reached.expected_uncertainty.gm_m <= 0.011
    assert reached.total_mass_t > planned(weight_step_t=0.1, stock=None).total_mass_t
    missed = planned(target_gm_uncertainty_m=0.005)
    assert missed.binding_constraint is not None
    assert missed.binding_constraint.startswith("target-uncertainty")
    assert check(missed, "target-uncertainty").status == "fail"


def test_more_mass_buys_a_sharper_result_in_the_alternatives() -> None:
    plan = planned(weight_step_t=0.1, stock=None)
    chain = [plan.expected_uncertainty, *(each.expected_uncertainty for each in plan.alternatives)]
    masses = [plan.total_mass_t, *(each.total_mass_t for each in plan.alternatives)]
    assert len(chain) > 1
    assert masses == sorted(masses)
    for one, other in itertools.pairwise(chain):
        assert other.gm_m < one.gm_m
        assert other.kg_m < one.kg_m
    assert all(each.kg_m > each.gm_m for each in chain)


def test_among_numbers_of_weights_the_least_mass_wins_then_the_fewest_lifts() -> None:
    even = planned(weights_count=[4, 6], stock=[{"mass_t": 3.0, "count": 6}, {"mass_t": 2.0, "count": 6}],
                   positions=[request()["positions"][0] | {"units_per_side": 6}])  # fmt: skip
    assert (even.total_mass_t, even.lifts) == (12.0, 8)
    assert {each.weights_count for each in even.alternatives} >= {6}
    assert planned(weights_count=[2, 4]).lifts == 8


def test_weights_are_called_by_the_stocks_names_or_by_their_letters() -> None:
    named = planned(stock=[{"id": "K", "mass_t": 3.0, "count": 2}, {"id": "L", "mass_t": 3.0, "count": 1},
                           {"mass_t": 3.0, "count": 1}])  # fmt: skip
    assert sorted(weight.id for weight in named.weights) == ["D", "K-1", "K-2", "L"]
    assert [weight.id for weight in planned().weights] == ["A", "B", "C", "D"]


def test_mirroring_the_deck_and_the_list_mirrors_the_heels() -> None:
    place = ROOMY[1] | {"units_per_side": 4}
    mirrored = place | {"y_port_m": -place["y_starboard_m"], "y_starboard_m": -place["y_port_m"]}
    one = planned(positions=[place], stock=[{"mass_t": 3.2, "count": 4}], initial_heel_deg=0.2)
    other = planned(positions=[mirrored], stock=[{"mass_t": 3.2, "count": 4}], initial_heel_deg=-0.2)
    assert one.total_mass_t == other.total_mass_t
    assert one.max_heel_deg.expected == pytest.approx(other.max_heel_deg.expected, rel=1e-9)
    assert one.initial_list_deg.expected == pytest.approx(-other.initial_list_deg.expected, abs=1e-9)


def test_a_ship_and_weights_twice_as_heavy_heel_alike() -> None:
    one = planned()
    other = planned(displacement_t=5000.0, stock=[{"mass_t": 6.0, "count": 4}])
    assert other.total_mass_t == 2 * one.total_mass_t
    assert other.max_heel_deg.expected == pytest.approx(one.max_heel_deg.expected, rel=1e-12)


def test_the_order_of_positions_and_stock_does_not_change_the_mass_or_the_precision() -> None:
    one = planned(positions=ROOMY, stock=MIXED, weights_count=6)
    other = planned(positions=ROOMY[::-1], stock=MIXED[::-1], weights_count=6)
    assert one.total_mass_t == pytest.approx(other.total_mass_t)
    assert one.expected_uncertainty.gm_m == pytest.approx(other.expected_uncertainty.gm_m, rel=1e-9)


def test_many_places_alike_are_planned_as_few_are_and_the_first_are_taken() -> None:
    place = ROOMY[0] | {"units_per_side": 1}
    alike = [place | {"x_m": 10.0 + 2.0 * n} for n in range(14)]
    few, many = (planned(positions=alike[:n], stock=MIXED, heel_band_deg=[1.0, 3.0]) for n in (4, 14))
    assert few.weights == many.weights
    assert sorted(weight.position for weight in many.weights) == [1, 2, 3, 4]


def test_a_plan_states_its_assumptions_and_reading_positions() -> None:
    onboard = {"x_m": 30.0, "y_m": 0.0, "radius_max_m": 12.0, "curve": [[1, 9], [12, 5]], "onboard": True,
               "minutes_per_lift": 8.0}  # fmt: skip
    long = [{"id": "P1", "kind": "pendulum", "length_m": 6.5}, {"id": "P2", "kind": "pendulum", "length_m": 6.8}]
    plan = planned(crane=onboard, gm_uncertainty_m=None, heel_band_deg=[1.0, 3.0], instruments=long)
    assert plan.feasible
    text = " ".join(plan.cautions)
    assert "flag Administration" in text
    assert "No uncertainty of GM is given: 15 %" in text
    assert "sides are taken as vertical" in text
    stowed = next(each for each in plan.reading_positions if "jib stowed" in each)
    assert "pivot 30 m forward of the aft perpendicular, on the centreline" in stowed
    assert "4 minutes a reading" in stowed
    assert plan.duration_minutes == 8 * 8.0 + 9 * (6.0 + 4.0)


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ({"y_port_m": -7.5}, "Position 2 reaches 7.5 m off the centreline, beyond half the breadth of 7 m"),
        ({"y_starboard_m": 9.0}, "Position 2 reaches 9 m off the centreline"),
        ({"x_m": 61.0}, "Position 2 at 61 m forward of the aft perpendicular lies beyond the ship"),
        ({"x_m": -3.0}, "Position 2 at -3 m forward of the aft perpendicular lies beyond the ship"),
    ],
)
def test_a_place_off_the_deck_is_planned_with_a_caution_that_names_it(place: dict[str, Any], words: str) -> None:
    rows = [{"draught_m": t, "volume_m3": 542.0 * t, "lcb_m": 30.0, "vcb_m": t / 2, "km_t_m": t / 2 + 24.0 / t}
            for t in (3.0, 4.0, 5.0)]  # fmt: skip
    vessel = {"length_bp_m": 60.0, "hydrostatic_table": {"rows": rows}}
    here = request()["positions"][0]
    plan = planned(positions=[here, here | place], vessel=vessel)
    assert next(text for text in plan.cautions if text.startswith("Position ")).startswith(words)
    assert not any(text.startswith("Position ") for text in planned(vessel=vessel).cautions)


def test_the_other_plans_are_told_with_the_uncertainty_that_led_the_search() -> None:
    plan = planned(weight_step_t=0.1, stock=None)
    assert plan.search_uncertainty == plan.expected_uncertainty
    assert all(other.expected_uncertainty.gm_m < plan.search_uncertainty.gm_m for other in plan.alternatives)


def test_a_small_craft_is_told_what_one_person_does() -> None:
    """One 80 kg person 1 m off heels a 15 t boat of 0.9 m GM by about a third of a degree: 0.08/(15·0.9)."""
    small = planned(
        displacement_t=15.0, gm_m=0.9, gm_uncertainty_m=0.05, breadth_m=4.0, depth_m=2.0, draught_m=1.0,
        positions=[{"x_m": 5.0, "y_port_m": -1.5, "y_starboard_m": 1.5, "z_m": 1.0}],
        stock=[{"mass_t": 0.06, "count": 4}], heel_band_deg=[1.0, 3.0],
        instruments=[{"id": "P1", "kind": "pendulum", "length_m": 4.5}],
    )  # fmt: skip
    people = next(text for text in small.cautions if "person" in text)
    assert "0.3395°" in people
    assert "nobody aboard" in people


def test_another_model_of_uncertainty_takes_the_place_of_the_own() -> None:
    class Flat:
        def gm_m(self, design: Design) -> Any:
            return 0.02 + 0.0 * design.spread_t2_m2

        def kg_m(self, design: Design) -> Any:
            return 0.03 + 0.0 * design.spread_t2_m2

    plan = plan_weights(from_document(PlanRequest, request()), Flat())
    assert (plan.expected_uncertainty.gm_m, plan.expected_uncertainty.kg_m) == (0.02, 0.03)


def test_instruments_are_judged_by_number_kind_length_and_difference() -> None:
    lone = planned(instruments=[{"id": "P1", "kind": "pendulum", "length_m": 6.5}])
    assert (check(lone, "H-01").status, check(lone, "H-05").status) == ("fail", "warn")
    alike = planned(instruments=[{"id": name, "kind": "pendulum", "length_m": 6.0} for name in ("P1", "P2")])
    assert check(alike, "H-06").status == "warn"
    assert check(planned(), "H-06").status == "pass"
    tube = planned(instruments=[{"id": "U1", "kind": "u-tube", "length_m": 14.0}])
    assert (check(tube, "H-12").status, check(tube, "H-10").status) == ("pass", "warn")
    lesser = min(abs(tube.states[2].heel_deg.low), abs(tube.states[6].heel_deg.high))
    assert check(tube, "H-12").value == pytest.approx(14000.0 * math.tan(math.radians(lesser)), rel=1e-9)


def test_a_gm_below_a_fifth_of_a_metre_fails_its_check() -> None:
    plan = planned(gm_m=0.19, gm_uncertainty_m=0.01, stock=[{"mass_t": 0.7, "count": 4}])
    assert check(plan, "P-22").status == "fail"


def test_the_heel_stays_below_the_deck_edge() -> None:
    plan = planned(depth_m=4.75)
    assert check(plan, "deck-edge").status == "pass"
    assert plan.max_heel_deg.high < math.degrees(math.atan(0.25 / 7.0))
    assert not planned(depth_m=4.65).feasible
