"""The ship's work list: made from the plan, and no tick lost when the plan changes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.plan_document import MobileThing, TestPlan
from heelwright_service.core.campaign.preparation_texts import GENERAL, TANKS
from heelwright_service.core.campaign.preparations import (
    CostOfLeaving,
    Preparation,
    merge,
    not_needed,
    open_items,
    overdue,
    work_list,
)
from heelwright_service.core.campaign.tank_document import PlannedTank, System, TankPlan
from hypothesis import given
from hypothesis import strategies as st

PLAN = TestPlan(date="2031-05-14", mobile_things=[MobileThing("Quay crane", "crane", "hook slewed ashore")])
EMPTY = PlannedTank("Void 7", "empty", space="void", entry=True)
FULL = PlannedTank("Aft peak", "pressed", density_t_per_m3=1.025)
SLACK = PlannedTank("Day tank", "slack", fill_percent=50.0, density_t_per_m3=0.85, viscous=True, heated=True)
TANK_PLAN = TankPlan([EMPTY, FULL, SLACK], [System("Wing crossover", "cross-connection", "shut")])


def keyed(items: list[Preparation]) -> dict[str, Preparation]:
    return {each.key: each for each in items}


def test_each_item_says_what_why_how_verified_who_and_when() -> None:
    for item in work_list(PLAN, TANK_PLAN):
        assert all((item.what, item.why, item.verify, item.who, item.due))
        assert "{" not in item.what


def test_keys_are_unique() -> None:
    keys = [each.key for each in work_list(PLAN, TANK_PLAN)]
    assert len(keys) == len(set(keys))


def test_a_tank_to_be_entered_asks_for_gas_free_permit_and_access() -> None:
    found = keyed(work_list(PLAN, TANK_PLAN))
    assert {"tank/Void 7/emptied", "tank/Void 7/gas-free", "tank/Void 7/access", "entry-permits"} <= set(found)
    assert "lternatives" in found["tank/Void 7/gas-free"].why


def test_a_tank_nobody_enters_asks_for_none_of_that() -> None:
    found = keyed(work_list(PLAN, TankPlan([FULL])))
    assert "entry-permits" not in found
    assert "vent" in found["tank/Aft peak/pressed"].what


def test_everything_the_trade_asks_for_is_on_the_list() -> None:
    kinds = set(TANKS) | set(GENERAL)
    wanted = {"emptied", "gas-free", "permit", "access", "pressed", "valves", "cross-connection", "sounded",
              "yard-gear", "yard-work", "loose-outfit", "surplus", "safety-equipment", "crane", "bilges",
              "swinging-gear", "systems", "moorings", "depth", "persons", "communications"}  # fmt: skip
    assert wanted <= kinds


def test_what_is_not_needed_is_said_too() -> None:
    assert any("few centimetres" in each for each in not_needed())


def test_without_a_crane_nobody_asks_for_riggers() -> None:
    assert "crane" in keyed(work_list(PLAN, TANK_PLAN))
    assert "crane" not in keyed(work_list(replace(PLAN, mobile_things=[]), TANK_PLAN))


def test_without_a_date_nothing_is_due() -> None:
    assert {each.due for each in work_list(TestPlan(), TANK_PLAN)} == {None}


def test_a_price_stands_beside_the_item_where_one_is_known() -> None:
    cost = CostOfLeaving(-0.4, -0.011, "unsafe", "11 mm on the unsafe side")

    def price(kind: str, tank: PlannedTank | None) -> CostOfLeaving | None:
        return cost if kind == "emptied" else None

    found = keyed(work_list(PLAN, TANK_PLAN, price))
    assert found["tank/Void 7/emptied"].price == cost
    assert found["bilges"].price is None


def ticked(items: list[Preparation], key: str) -> list[Preparation]:
    return [
        replace(each, state="done", done_by="Second engineer", done_at="2031-05-12T10:00:00+00:00")
        if each.key == key
        else each
        for each in items
    ]


def test_a_tick_stays_when_the_list_is_generated_again() -> None:
    old = ticked(work_list(PLAN, TANK_PLAN), "bilges")
    assert keyed(merge(old, work_list(PLAN, TANK_PLAN)))["bilges"].state == "done"


def test_a_tick_for_a_tank_no_longer_planned_so_is_kept_and_marked() -> None:
    old = ticked(work_list(PLAN, TANK_PLAN), "tank/Void 7/emptied")
    changed = replace(TANK_PLAN, tanks=[replace(EMPTY, state="pressed", entry=False), FULL, SLACK])
    found = keyed(merge(old, work_list(PLAN, changed)))
    assert (found["tank/Void 7/emptied"].obsolete, found["tank/Void 7/emptied"].done_by) == (True, "Second engineer")
    assert found["tank/Void 7/pressed"].state == "open"


def test_work_done_to_another_level_is_open_again_and_says_so() -> None:
    old = ticked(work_list(PLAN, TANK_PLAN), "tank/Day tank/slack")
    changed = replace(TANK_PLAN, tanks=[EMPTY, FULL, replace(SLACK, fill_percent=60.0)])
    found = keyed(merge(old, work_list(PLAN, changed)))["tank/Day tank/slack"]
    assert found.state == "open"
    assert "50 %" in (found.remarks or "")
    assert "Second engineer" in (found.remarks or "")


def test_an_item_added_by_hand_stays() -> None:
    own = Preparation("own/1", "Chain the dog.", "He walks.", "Seen.", "master", None, added_by="Mate")
    assert keyed(merge([own], work_list(PLAN, TANK_PLAN)))["own/1"].obsolete is False


KEYS = st.sampled_from(["a", "b", "c", "d", "e"])
STATES = st.sampled_from(["open", "done", "verified", "waived"])


@st.composite
def lists(draw: st.DrawFn) -> list[Preparation]:
    keys = draw(st.lists(KEYS, unique=True))
    return [Preparation(key, draw(st.sampled_from(["x", "y"])), "", "", "", None, state=draw(STATES)) for key in keys]


@given(lists(), lists())
def test_nothing_ticked_is_ever_silently_lost(old: list[Preparation], asked: list[Preparation]) -> None:
    generated = [replace(each, state="open") for each in asked]
    after = keyed(merge(old, generated))
    for each in old:
        if each.state != "open":
            kept = after[each.key]
            assert kept.state == each.state or f"was {each.state}" in (kept.remarks or "")


@given(lists(), lists())
def test_merging_twice_changes_nothing_more(old: list[Preparation], asked: list[Preparation]) -> None:
    generated = [replace(each, state="open") for each in asked]
    once = merge(old, generated)
    assert merge(once, generated) == once


@pytest.mark.parametrize(("today", "late"), [("2031-05-01", 0), ("2031-05-30", 1)])
def test_an_open_item_past_its_date_is_overdue(today: str, late: int) -> None:
    waiting = Preparation("a", "x", "", "", "", "2031-05-13")
    items = [waiting, replace(waiting, key="b", state="done")]
    assert len(open_items(items)) == 1
    assert len(overdue(items, today)) == late
