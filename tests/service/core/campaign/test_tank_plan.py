"""The tank plan on a box whose figures are known by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from heelwright_service.core.campaign.planned_condition import Mass, as_offered, planned_condition, tank_contents
from heelwright_service.core.campaign.tank_answers import (
    answer_states,
    check_answer,
    effect_of_offer,
    fuel_forecast,
    fuel_left,
)
from heelwright_service.core.campaign.tank_document import FuelUse, PlannedTank, TankAnswer, TankPlan
from heelwright_service.core.campaign.tank_plan import PlannedShip, check_tank_plan, slack_units
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hull import Hull
from heelwright_service.core.record import HullDocument, SoundingPipe, Station, Tank, TankRow
from hypothesis import given
from hypothesis import strategies as st

BOX = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
HULL = Hull.from_document(HullDocument([Station(0.0, BOX), Station(50.0, BOX)]), 50.0)
SHIP = Mass("Lightship", 1200.0, 25.0, 0.0, 5.0)


def tank(name: str, y_m: float = 0.0, x_m: float = 25.0, breadth_m: float = 4.0, length_m: float = 10.0) -> Tank:
    """A rectangular tank 2 m high on the bottom."""
    area, i_t, i_l = breadth_m * length_m, length_m * breadth_m**3 / 12.0, breadth_m * length_m**3 / 12.0
    rows = [TankRow(h, area * h, x_m, y_m, h / 2.0, i_t, i_l) for h in (0.0, 0.5, 1.0, 1.5, 2.0)]
    return Tank(name, 2.0 * area, SoundingPipe(x_m, y_m, 0.0), rows)


TANKS = [tank("Centre"), tank("Port", -3.0), tank("Starboard", 3.0)]
EMPTY = [PlannedTank(each.name, "empty", liquid="fuel-storage") for each in TANKS]


def plan_of(*tanks: PlannedTank) -> TankPlan:
    named = {each.tank for each in tanks}
    rest = [each for each in EMPTY if each.tank not in named]
    return TankPlan([*tanks, *rest, PlannedTank("Chain locker", "empty", space="chain-locker")])


def checked(plan: TankPlan, hull: Hull | None = HULL) -> dict[str, str]:
    condition = planned_condition([SHIP], TANKS, plan.tanks, 1.025, hull)
    found = check_tank_plan(plan, PlannedShip(50.0, TANKS, 3.0), condition)
    order = {"fail": 0, "warn": 1, "not-assessed": 2, "pass": 3}
    worst: dict[str, str] = {}
    for each in found:
        worst[each.id] = min(worst.get(each.id, "pass"), each.status, key=lambda s: order[s])
    return worst


def slack(name: str, fill: float, **more: object) -> PlannedTank:
    return PlannedTank(name, "slack", liquid="fuel-storage", fill_percent=fill, density_t_per_m3=0.85, **more)


def test_the_planned_condition_of_a_box_is_that_of_hand_calculation() -> None:
    found = planned_condition([SHIP], TANKS, [slack("Centre", 50.0)], 1.0, HULL)
    # 40 m³ of 0.85 t/m³; draught Δ/(L·B); KM = T/2 + B²/(12·T); free surface ρ·l·b³/12
    draught = 1234.0 / 600.0
    surface = 0.85 * 10.0 * 4.0**3 / 12.0
    vcg = (1200.0 * 5.0 + 34.0 * 0.5) / 1234.0
    assert found.displacement_t == pytest.approx(1234.0)
    assert found.draught_mid_m == pytest.approx(draught, abs=1e-9)
    assert found.free_surface_moment_t_m == pytest.approx(surface)
    assert found.gm_fluid_m == pytest.approx(draught / 2 + 144.0 / (12 * draught) - vcg - surface / 1234.0, abs=1e-9)
    assert found.trim_m == pytest.approx(0.0, abs=1e-9)
    assert "trength" in found.cautions[0]


def test_a_wing_tank_lists_her_to_its_own_side() -> None:
    found = planned_condition([SHIP], TANKS, [replace(slack("Starboard", 50.0), state="pressed")], 1.0, HULL)
    assert found.heel_deg is not None
    assert found.heel_deg > 0.5


def test_without_a_hull_trim_and_list_are_not_assessed_rather_than_passed() -> None:
    found = checked(plan_of(), hull=None)
    assert {found["P-18"], found["P-19"], found["P-22"]} == {"not-assessed"}


def test_a_clean_plan_passes_every_check() -> None:
    assert set(checked(plan_of()).values()) == {"pass"}


def test_two_slack_pairs_of_one_liquid_are_too_many() -> None:
    assert checked(plan_of(slack("Port", 50.0), slack("Starboard", 45.0), slack("Centre", 50.0)))["K-02"] == "fail"
    paired = plan_of(slack("Port", 50.0, pair_with="Starboard"), slack("Starboard", 45.0))
    assert checked(paired)["K-02"] == "pass"


@given(st.permutations(["A", "B", "C", "D"]))
def test_pairs_are_found_in_whatever_order_the_tanks_stand(order: list[str]) -> None:
    mates = {"A": "B", "D": "C"}
    tanks = [PlannedTank(name, "slack", liquid="lube-oil", pair_with=mates.get(name)) for name in order]
    assert {frozenset(unit) for unit in slack_units(tanks, "lube-oil")} == {frozenset("AB"), frozenset("CD")}


@pytest.mark.parametrize(("fill", "rule"), [(15.0, "K-03"), (85.0, "K-03")])
def test_a_slack_deep_tank_is_neither_too_low_nor_too_high(fill: float, rule: str) -> None:
    assert checked(plan_of(slack("Centre", fill)))[rule] == "warn"
    assert checked(plan_of(slack("Centre", 50.0)))[rule] == "pass"


def test_a_double_bottom_tank_has_the_narrower_range() -> None:
    assert checked(plan_of(slack("Centre", 65.0, space="double-bottom")))["K-04"] == "warn"


@pytest.mark.parametrize("fill", [98.0, 98.5, 99.9])
def test_ninety_eight_per_cent_is_not_full(fill: float) -> None:
    assert checked(plan_of(slack("Centre", fill)))["K-08"] == "fail"
    pressed = PlannedTank("Centre", "pressed", liquid="fuel-storage", density_t_per_m3=0.85, fill_percent=fill)
    assert checked(plan_of(pressed))["K-08"] == "fail"


def test_cold_viscous_fuel_is_not_slack() -> None:
    assert checked(plan_of(slack("Centre", 50.0, viscous=True)))["K-06"] == "warn"
    assert checked(plan_of(slack("Centre", 50.0, viscous=True, heated=True)))["K-06"] == "pass"


def test_a_list_over_half_a_degree_fails_the_plan() -> None:
    full = PlannedTank("Starboard", "pressed", liquid="ballast-water", density_t_per_m3=1.025)
    assert checked(plan_of(full))["P-18"] == "fail"


def test_a_compartment_left_out_fails_and_voids_are_asked_for() -> None:
    condition = planned_condition([SHIP], TANKS, EMPTY[:2], 1.025, HULL)
    found = check_tank_plan(TankPlan(EMPTY[:2]), PlannedShip(50.0, TANKS), condition)
    assert next(each for each in found if each.id == "RP-03").status == "fail"
    assert "Starboard" in next(each for each in found if each.id == "RP-03").text


def test_a_density_is_never_assumed() -> None:
    with pytest.raises(CoreError) as refused:
        tank_contents(TANKS, [PlannedTank("Centre", "slack", fill_percent=50.0)])
    assert refused.value.code == "density-missing"


def test_a_space_without_a_table_may_only_be_empty() -> None:
    assert tank_contents(TANKS, [PlannedTank("Cofferdam", "empty")])[0].mass_t == 0.0
    with pytest.raises(CoreError) as refused:
        tank_contents(TANKS, [PlannedTank("Cofferdam", "pressed", density_t_per_m3=1.0)])
    assert refused.value.code == "tank-without-table"


CANNOT = TankAnswer("Centre", "cannot", "Chief engineer", "2031-05-02", "pump in pieces", "slack", None, 50.0, 0.85)


def test_a_refusal_needs_its_reason() -> None:
    with pytest.raises(CoreError) as refused:
        check_answer(replace(CANNOT, reason=" "), plan_of())
    assert refused.value.code == "reason-missing"
    with pytest.raises(CoreError) as refused:
        check_answer(replace(CANNOT, tank="No such tank"), plan_of())
    assert refused.value.code == "tank-not-planned"


def test_a_refusal_shows_what_it_does_to_the_test() -> None:
    plan = plan_of()
    offered = as_offered(plan, [CANNOT])
    before, after = (planned_condition([SHIP], TANKS, each.tanks, 1.025, HULL) for each in (plan, offered))
    effect = effect_of_offer(before, after, 3.0)
    assert effect.displacement_t == pytest.approx(34.0)
    assert effect.free_surface_moment_t_m == pytest.approx(0.85 * 10 * 64 / 12)
    stiffness = (before.displacement_t * (before.gm_fluid_m or 0)) / (after.displacement_t * (after.gm_fluid_m or 0))
    assert effect.max_heel_deg == pytest.approx(math.degrees(math.atan(math.tan(math.radians(3.0)) * stiffness)))
    assert effect.weight_plan_stands is True
    assert "34.0 t more" in effect.text


def test_the_latest_answer_counts_and_a_late_one_is_marked() -> None:
    plan = replace(plan_of(), answers_due="2031-05-04")
    answers = [CANNOT, replace(CANNOT, answer="agreed", on="2031-05-03", reason=None)]
    states = {each.tank: each for each in answer_states(plan, answers, "2031-05-05")}
    assert (states["Centre"].state, states["Centre"].overdue) == ("agreed", False)
    assert (states["Port"].state, states["Port"].overdue) == ("open", True)


def test_agreement_leaves_the_plan_as_it_is() -> None:
    assert as_offered(plan_of(), [replace(CANNOT, answer="agreed")]) == plan_of()


def test_fuel_burnt_until_the_test_is_forecast() -> None:
    plan = replace(plan_of(slack("Centre", 50.0, burns=True)), fuel_use=FuelUse("2031-05-01", 3.0))
    assert fuel_forecast(plan, {"Centre": 50.0}, "2031-05-14")[0].status == "pass"
    assert fuel_forecast(plan, {"Centre": 38.0}, "2031-05-14")[0].status == "fail"
    left = fuel_left(plan, {"Centre": 60.0}, {"Centre": 34.0}, "2031-05-14")
    assert left[0].value == pytest.approx(39.0)
    assert (left[1].status, left[1].value) == ("warn", pytest.approx(-13.0))
    assert "Bunker 13.0 t" in left[1].text


def test_what_is_not_known_of_the_fuel_is_not_assessed() -> None:
    plan = replace(plan_of(slack("Centre", 50.0, burns=True)), fuel_use=FuelUse("2031-05-01", 3.0))
    assert fuel_forecast(plan, {}, "2031-05-14")[0].status == "not-assessed"


def test_a_tank_that_narrows_is_warned_of() -> None:
    vee = [Station(x, [(0.0, 0.0), (3.0, 2.0)]) for x in (20.0, 30.0)]
    heights = (0.0, 0.5, 1.0, 1.5, 2.0)
    rows = [TankRow(h, 15.0 * h * h, 25.0, 0.0, 2 * h / 3, 10 * (3 * h) ** 3 / 12, 1.0) for h in heights]
    shaped = Tank("Vee", 60.0, SoundingPipe(25.0, 0.0, 0.0), rows, geometry=HullDocument(vee))
    high = PlannedTank("Vee", "slack", liquid="cargo", sounding_m=1.95, density_t_per_m3=1.0)
    condition = planned_condition([SHIP], [shaped], [high], 1.025, HULL)
    found = check_tank_plan(TankPlan([high]), PlannedShip(50.0, [shaped], 4.0), condition)
    assert next(each for each in found if each.id == "K-05").status == "warn"


def test_a_tank_to_port_is_judged_by_its_shape_as_one_to_starboard() -> None:
    # Upright box, 10 m long and 1.5 m wide: i_T/V stays within the widening of the surface, 1/cos³ of the heel at most.
    def judged_at(y: float) -> float | None:
        ring = [(y - 0.75, 0.0), (y + 0.75, 0.0), (y + 0.75, 2.0), (y - 0.75, 2.0)]
        rows = [TankRow(h, 15.0 * h, 25.0, y, 0.5 * h, 10.0 * 1.5**3 / 12.0, 1.0) for h in (0.0, 1.0, 2.0)]
        shape = HullDocument([Station(20.0, ring), Station(30.0, ring)])
        tank = Tank("Wing", 30.0, SoundingPipe(25.0, y, 0.0), rows, geometry=shape)
        half = PlannedTank("Wing", "slack", liquid="cargo", sounding_m=1.0, density_t_per_m3=1.0)
        condition = planned_condition([SHIP], [tank], [half], 1.025, HULL)
        found = check_tank_plan(TankPlan([half]), PlannedShip(50.0, [tank], 4.0), condition)
        return next(each for each in found if each.id == "K-05" and each.value is not None).value

    to_port, to_starboard = judged_at(-3.0), judged_at(3.0)
    assert to_port is not None
    assert to_port == pytest.approx(to_starboard, abs=1e-6)
    assert 0.0 <= to_port < 1.0
