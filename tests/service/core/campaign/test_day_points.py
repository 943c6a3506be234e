"""Can we start, can we leave."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.day_points import (
    MUST_BE_DONE,
    Day,
    WeatherSeen,
    leave_points,
    start_points,
    weather_points,
)
from heelwright_service.core.campaign.plan_document import TestPlan, WeatherLimits
from heelwright_service.core.campaign.preparations import work_list
from heelwright_service.core.campaign.readiness import decide
from heelwright_service.core.campaign.tank_document import PlannedTank, TankPlan
from heelwright_service.core.campaign.tanks_found import TankFound
from heelwright_service.core.record import Instrument
from heelwright_service.core.results import Check

from tests.service.core.campaign.test_running import run

TANKS = TankPlan([PlannedTank("Aft peak", "empty", space="peak")])
PLAN = TestPlan(date="2031-05-14")
DONE = [replace(each, state="done", done_by="Mate") for each in work_list(PLAN, TANKS)]
PENDULUMS = [Instrument("P1", "pendulum", 4.0), Instrument("P2", "pendulum", 3.0)]
CALM = WeatherSeen(2.0, 3.0, 0.05, 0.1)
READY = Day(
    "inclining-test",
    PLAN,
    TANKS,
    DONE,
    [TankFound("Aft peak", "empty", "seen")],
    persons_listed=True,
    instruments=PENDULUMS,
    weather=CALM,
    list_deg=0.2,
    draught_marks=6,
    samples=3,
    running=run(),
    reservations_signed=True,
    initialled=("person-in-charge", "witness"),
)


def starts(day: Day, length_m: float = 60.0) -> list[str]:
    return [each.id for each in decide(start_points(day, length_m)).blocking]


def leaves(day: Day, length_m: float = 60.0) -> list[str]:
    return [each.id for each in decide(leave_points(day, length_m)).blocking]


def test_a_prepared_ship_can_start_and_a_finished_test_can_leave() -> None:
    assert starts(READY) == []
    assert leaves(READY) == []


@pytest.mark.parametrize("key", sorted(MUST_BE_DONE))
def test_what_is_not_done_is_named(key: str) -> None:
    day = replace(READY, preparations=[replace(e, state="open") if e.key == key else e for e in DONE])
    assert starts(day) == [f"preparation/{key}"]


def test_a_survey_needs_neither_weights_nor_pendulums() -> None:
    preparations = [replace(e, state="open") if e.key == "weights" else e for e in DONE]
    day = replace(READY, kind="lightweight-survey", preparations=preparations, instruments=(), running=None)
    assert starts(day) == []
    assert leaves(day) == []


@pytest.mark.parametrize(
    ("change", "point"),
    [
        ({"persons_listed": False}, "P-11"),
        ({"soundings": ()}, "tank/Aft peak/sounded"),
        ({"list_deg": -0.7}, "P-18"),
        ({"instruments": PENDULUMS[:1]}, "H-01"),
        ({"instruments": [PENDULUMS[0], Instrument("P2", "pendulum")]}, "H-17"),
        ({"instruments": [Instrument("I1", "inclinometer"), Instrument("I2", "inclinometer")]}, "H-01"),
        ({"totals": [Check("P-07", "Missing 2.4 %.", "fail", 2.4, 2.0, "IACS Recommendation 31")]}, "P-07"),
    ],
)
def test_each_thing_that_lacks_blocks_the_start(change: dict[str, object], point: str) -> None:
    assert starts(replace(READY, **change)) == [point]


def test_one_pendulum_is_enough_for_a_short_ship() -> None:
    assert starts(replace(READY, instruments=PENDULUMS[:1]), 28.0) == []


@pytest.mark.parametrize(
    ("change", "point"),
    [
        ({"draught_marks": 4}, "R-01"),
        ({"samples": 0}, "R-10"),
        ({"running": None}, "readings"),
        ({"running": run(3)}, "C-02"),
        ({"open_deviations": ["liquid-unseen"]}, "deviation/liquid-unseen"),
        ({"reservations_signed": False}, "reservations"),
        ({"initialled": ("person-in-charge",)}, "C-09"),
    ],
)
def test_each_thing_that_lacks_blocks_the_leaving(change: dict[str, object], point: str) -> None:
    assert leaves(replace(READY, **change)) == [point]


def test_a_bad_reading_has_to_be_read_again_before_leaving() -> None:
    assert leaves(replace(READY, running=run(wrong={(2, "P1"): 9.0}))) == ["C-03", "C-02"]


def test_five_freeboards_a_side_stand_for_six_marks() -> None:
    assert leaves(replace(READY, draught_marks=0, freeboards_a_side=5)) == []


def test_the_weather_warns_and_people_decide() -> None:
    windy = replace(READY, weather=WeatherSeen(9.0, 12.5, 0.3, 0.8))
    assert starts(windy) == []
    assert len(weather_points(WeatherLimits(), windy.weather)) == 4
    assert weather_points(WeatherLimits(10.0, 5.0, 0.5, 1.0), windy.weather) == []
    assert [each.id for each in weather_points(WeatherLimits(), None)] == ["P-28"]
