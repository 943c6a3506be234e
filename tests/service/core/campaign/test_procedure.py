"""The procedure as data, and what reviewers would send it back for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.plan_document import (
    Attachment,
    DensityPlan,
    DraughtPlan,
    EstimatedItem,
    ExpectedCondition,
    ExpectedRange,
    Hydrometer,
    HydrostaticsSource,
    MobileThing,
    Moves,
    NamedPerson,
    Place,
    PlannedInstrument,
    PlannedState,
    PlannedWeightUnit,
    SafetyPlan,
    ScheduledEvent,
    TestPlan,
    WeatherLimits,
)
from heelwright_service.core.campaign.planned_condition import planned_condition
from heelwright_service.core.campaign.preparations import work_list
from heelwright_service.core.campaign.procedure import NEEDED_PLANS, Identity, ProcedureInputs, procedure
from heelwright_service.core.campaign.procedure_review import ReviewContext, review_procedure
from heelwright_service.core.campaign.tank_document import PlannedTank, System, TankPlan
from heelwright_service.core.campaign.tank_plan import PlannedShip
from heelwright_service.core.documents import from_document, to_document

from tests.service.core.campaign.test_tank_plan import HULL, SHIP, TANKS, slack

MOVES = Moves(
    [PlannedWeightUnit(n, 5.0, 8.0, f"C-{n}", "2031-05-10", "S-1", False, 1.2, 2.0, "quay crane") for n in "AB"],
    [
        PlannedState(0, {"A": (25.0, -4.0, 6.0), "B": (25.0, 4.0, 6.0)}, 0.0, {"P1": 0.0}),
        PlannedState(1, {"A": (25.0, 4.0, 6.0), "B": (25.0, 4.0, 6.0)}, 40.0, {"P1": 160.0}),
        PlannedState(2, {"A": (25.0, -4.0, 6.0), "B": (25.0, -4.0, 6.0)}, -40.0, {"P1": -160.0}),
    ],
    ExpectedRange(2.5, 2.2, 2.9),
)
PLAN = TestPlan(
    purpose="periodic",
    rule_set="solas-2020",
    date="2031-05-14",
    start_at="2031-05-14T06:00:00+00:00",
    place=Place("North basin", True, 8.0, "0.4 m springs", "bow and stern lines", "off", "shore power off", 1.012),
    persons=[
        NamedPerson("person-in-charge", "R. Osei"),
        NamedPerson("witness", "L. Brandt", independent=True),
        NamedPerson("recorder", "M. Ito"),
    ],
    moves=MOVES,
    instruments=[
        PlannedInstrument("P1", "pendulum", 4.0, place="hold 1", damping="oil trough", sheltered=True),
        PlannedInstrument("P2", "pendulum", 3.5, place="hold 2", damping="oil trough", sheltered=True),
    ],
    draught_plan=DraughtPlan(["FP", "FS", "MP", "MS", "AP", "AS"], (), "moulded baseline", "2029-03-01", "the yard"),
    density_plan=DensityPlan(
        ["forward", "midships", "aft"],
        2.0,
        [Hydrometer("water", 0.999, 1.030), Hydrometer("tank-liquids", 0.800, 1.000)],
        True,
    ),
    expected=ExpectedCondition(1260.0, 1.9, lightship_mass_t=1200.0),
    estimated_items=[EstimatedItem("Liferaft", "missing", 0.4, 20.0, 4.0, 9.0, "known")],
    item_list_handed_over_at="2031-05-12T15:00:00+00:00",
    mobile_things=[MobileThing("Quay crane", "crane", "hook slewed ashore")],
    weather_limits=WeatherLimits(decided_by="R. Osei", decision_at="2031-05-14T05:00:00+00:00"),
    schedule=[ScheduledEvent("06:00", "Muster and briefing"), ScheduledEvent("06:30", "Draughts")],
    attachments=[Attachment(kind, kind) for kind in NEEDED_PLANS],
    hydrostatics=HydrostaticsSource("Hydrostatic tables rev. C", "Class", "2026-01-01", None, "K. Lund", "2031-03-01"),
    safety=SafetyPlan("on the day", "by the master", "lifting plan L1", "STOP"),
    equipment=["sounding tape", "hydrometers"],
    submitted_on="2031-04-20",
)
TANK_PLAN = TankPlan(
    [*(PlannedTank(t.name, "empty") for t in TANKS), PlannedTank("Chain locker", "empty", space="chain-locker")],
    [
        System("Crossover", "cross-connection", "shut"),
        System("Sea chests", "sea-chest", "flooded"),
        System("Coolers", "cooling-circuit", "full"),
    ],
)
CONTEXT = ReviewContext("2031-04-20", PlannedShip(50.0, TANKS, 2.9))
VESSEL = Identity("Ebb Tern", "9999999", "cargo", "H-7", 50.0, 50.0, 12.0, 5.0)


def inputs(**plan: object) -> ProcedureInputs:
    condition = planned_condition([SHIP], TANKS, TANK_PLAN.tanks, 1.012, HULL)
    changed = replace(PLAN, **plan)
    return ProcedureInputs("inclining-test", VESSEL, changed, TANK_PLAN, condition, work_list(changed, TANK_PLAN))


def reviewed(given: ProcedureInputs, context: ReviewContext = CONTEXT) -> dict[str, str]:
    return {each.id: each.status for each in review_procedure(given, context)}


def test_a_full_procedure_has_every_heading_complete() -> None:
    found = procedure(inputs())
    assert len(found.sections) == 19
    assert [each.heading for each in found.sections if not each.complete] == []
    assert found.stop_word == "STOP"


def test_a_survey_has_no_weights_and_no_pendulums_in_its_procedure() -> None:
    headings = [each.heading for each in procedure(replace(inputs(), kind="lightweight-survey")).sections]
    assert "Inclining weights" not in headings
    assert len(headings) == 17


def test_an_empty_plan_makes_a_procedure_that_says_what_is_not_complete() -> None:
    empty = ProcedureInputs("inclining-test", Identity(), TestPlan(), TankPlan([]))
    found = procedure(empty)
    assert sum(not each.complete for each in found.sections) >= 15


def test_all_twenty_four_comments_are_looked_at_and_a_full_procedure_passes() -> None:
    found = reviewed(inputs())
    assert sorted(found) == [f"RP-{n:02d}" for n in range(1, 25)]
    assert {each for each, status in found.items() if status != "pass"} == set()


def test_an_empty_plan_is_sent_back_without_a_crash() -> None:
    empty = ProcedureInputs("inclining-test", Identity(), TestPlan(), TankPlan([]))
    found = reviewed(empty)
    assert sorted(found) == [f"RP-{n:02d}" for n in range(1, 25)]
    assert {found["RP-01"], found["RP-08"], found["RP-11"], found["RP-17"], found["RP-20"]} == {"fail"}
    assert {found["RP-02"], found["RP-04"], found["RP-07"]} == {"not-assessed"}


GAPS: list[tuple[str, dict[str, object]]] = (
    [
        ("RP-01", {"date": None}),
        ("RP-01", {"place": replace(PLAN.place or Place(""), tide=None)}),
        ("RP-02", {"submitted_on": "2031-05-02"}),
        ("RP-08", {"draught_plan": replace(PLAN.draught_plan, marks=["FP", "FS"])}),
        ("RP-09", {"draught_plan": replace(PLAN.draught_plan, datum=None)}),
        ("RP-10", {"density_plan": replace(PLAN.density_plan, hydrometers=[Hydrometer("water", 1.015, 1.030)])}),
        ("RP-11", {"moves": None}),
        ("RP-11", {"moves": replace(MOVES, weights=[replace(w, certificate=None) for w in MOVES.weights])}),
        ("RP-11", {"moves": replace(MOVES, weights=[replace(w, deck_load_t_per_m2=3.0) for w in MOVES.weights])}),
        ("RP-12", {"moves": replace(MOVES, max_heel_deg=ExpectedRange(3.9, 3.5, 4.4))}),
        ("RP-12", {"moves": replace(MOVES, states=[replace(s, deflection_mm={"P1": 90.0}) for s in MOVES.states])}),
        ("RP-13", {"instruments": [replace(PLAN.instruments[0], damping=None)]}),
        ("RP-13", {"instruments": [PlannedInstrument("I1", "inclinometer", place="ER", sheltered=True)]}),
        ("RP-14", {"estimated_items": [EstimatedItem("Crane", "missing", 25.0, 20.0, 4.0, 9.0, "known")]}),
        ("RP-15", {"item_list_handed_over_at": None}),
        ("RP-16", {"estimated_items": [EstimatedItem("Winch", "missing", 2.0, 20.0, 4.0, 9.0, "unknown")]}),
        ("RP-17", {"persons": PLAN.persons[1:]}),
        ("RP-18", {"place": replace(PLAN.place or Place(""), gangway=None)}),
        ("RP-19", {"weather_limits": WeatherLimits(5.0)}),
        ("RP-20", {"safety": SafetyPlan("g", "p", "l", None)}),
        ("RP-21", {"mobile_things": []}),
        ("RP-22", {"attachments": PLAN.attachments[1:]}),
        ("RP-23", {"hydrostatics": HydrostaticsSource("T", "Class", "2020-01-01", "2024-06-01", "K. Lund")}),
        ("RP-23", {"hydrostatics": None}),
    ]
)  # fmt: skip


@pytest.mark.parametrize(("rule", "plan"), GAPS)
def test_each_gap_is_found_by_its_own_comment_alone(rule: str, plan: dict[str, object]) -> None:
    found = reviewed(inputs(**plan))
    assert found[rule] in ("warn", "fail")
    others = {each for each, status in found.items() if status in ("warn", "fail")} - {rule}
    assert others <= ({"RP-18"} if rule == "RP-01" else set())


def test_a_large_ship_may_heel_less_where_the_deflection_is_there() -> None:
    low = replace(MOVES, max_heel_deg=ExpectedRange(0.8, 0.7, 0.9))
    assert reviewed(inputs(moves=low))["RP-12"] == "warn"


def test_two_slack_pairs_and_an_unnamed_tank_are_found() -> None:
    given = inputs()
    crowded = [slack("Port", 50.0), slack("Starboard", 60.0)]
    plan = TankPlan(crowded, TANK_PLAN.systems)
    condition = planned_condition([SHIP], TANKS, crowded, 1.012, HULL)
    found = reviewed(replace(given, tank_plan=plan, condition=condition))
    assert (found["RP-03"], found["RP-04"]) == ("fail", "fail")


def test_a_planned_list_over_half_a_degree_is_found() -> None:
    tanks = [*TANK_PLAN.tanks[:2], PlannedTank("Starboard", "pressed", density_t_per_m3=1.0), TANK_PLAN.tanks[3]]
    condition = planned_condition([SHIP], TANKS, tanks, 1.012, HULL)
    assert reviewed(replace(inputs(), condition=condition))["RP-07"] == "fail"


def test_trim_beyond_one_per_cent_needs_hydrostatics_for_it() -> None:
    condition = planned_condition([replace(SHIP, x_m=23.5)], TANKS, TANK_PLAN.tanks, 1.012, HULL)
    given = replace(inputs(), condition=condition)
    assert abs(condition.trim_m or 0.0) > 0.5
    assert reviewed(given)["RP-06"] == "pass"
    assert reviewed(given, replace(CONTEXT, hydrostatics_cover_trim=False))["RP-06"] == "fail"


@pytest.mark.parametrize("left_out", range(3))
def test_a_system_with_liquid_that_is_not_mentioned_is_found(left_out: int) -> None:
    systems = [each for n, each in enumerate(TANK_PLAN.systems) if n != left_out]
    found = reviewed(replace(inputs(), tank_plan=replace(TANK_PLAN, systems=systems)))
    assert {rule for rule, status in found.items() if status != "pass"} == {"RP-05"}


def test_every_comment_on_a_procedure_has_a_gap_that_brings_it() -> None:
    by_own_test = {"RP-03", "RP-04", "RP-05", "RP-06", "RP-07", "RP-24"}
    assert {rule for rule, _ in GAPS} | by_own_test == {f"RP-{n:02d}" for n in range(1, 25)}


def test_a_survey_asked_for_where_an_inclining_is_due_is_sent_back() -> None:
    survey = replace(inputs(), kind="lightweight-survey")
    assert reviewed(survey)["RP-24"] == "pass"
    due = replace(CONTEXT, test_is_called_for="the log shows 2.4 % added since the last inclining")
    assert reviewed(survey, due)["RP-24"] == "fail"


def test_a_plan_goes_through_json_and_comes_back_the_same() -> None:
    again = from_document(TestPlan, to_document(PLAN))
    assert to_document(again) == to_document(PLAN)
    assert to_document(from_document(TankPlan, to_document(TANK_PLAN))) == to_document(TANK_PLAN)
