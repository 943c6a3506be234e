"""A day is broken off for the weather: what was read stays, counts no more, and everything is read anew."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from heelwright_client.errors import RefusedError

from tests.support.box_test import STATES, Bench, bench, box_plan, readings

NEW_DAY = "2024-05-17"
ON_THE_DAY = ("persons", "instruments", "water", "draughts", "soundings", "survey", "start", "states", "readings",
              "signatures", "close", "reduce", "result")  # fmt: skip


@pytest.fixture
def broken_off(tmp_path: Path) -> Iterator[Bench]:
    """The box ship's test day broken off with half of its states read."""
    with bench(tmp_path / "here") as made:
        steps = made.everything()
        for name in list(steps)[: list(steps).index("states")]:
            steps[name]()
        made.each("states", STATES[:4])
        made.each("readings", [{**each, "value_mm": each["value_mm"] + 3.0} for each in readings()[:8]])
        made.crew.planner.tests.move(made.test_id, "postponed", reason="gusts of 18 m/s")
        yield made


def set_new_day(made: Bench) -> None:
    plans = made.crew.planner.tests
    plan = {**box_plan(), "date": NEW_DAY}
    plans.put_plan(made.test_id, plan, etag=plans.plan(made.test_id).etag)


def test_what_was_read_stays_readable_and_is_marked(broken_off: Bench) -> None:
    kept = list(broken_off.crew.first.tests.entries(broken_off.test_id, "readings"))
    assert len(kept) == 8
    assert all(each["set_aside"] for each in kept)
    assert not any(each["set_aside"] for each in broken_off.crew.first.tests.entries(broken_off.test_id, "weights"))


def test_it_goes_on_only_with_another_date(broken_off: Bench) -> None:
    with pytest.raises(RefusedError) as error:
        broken_off.crew.planner.tests.move(broken_off.test_id, "preparing")
    assert "new date" in str(error.value)
    set_new_day(broken_off)
    broken_off.crew.planner.tests.move(broken_off.test_id, "preparing")
    assert broken_off.stage == "preparing"


def test_a_reading_of_the_old_day_is_not_corrected_into_the_new_one(broken_off: Bench) -> None:
    set_new_day(broken_off)
    broken_off.crew.planner.tests.move(broken_off.test_id, "preparing")
    [old] = list(broken_off.crew.first.tests.entries(broken_off.test_id, "persons"))
    facts = {name: old[name] for name in ("name", "mass_t", "x_m", "y_m", "z_m")}
    with pytest.raises(RefusedError) as error:
        broken_off.crew.first.tests.enter(
            broken_off.test_id, "persons", {**facts, "corrects": old["entry_id"], "reason": "x"}
        )
    assert error.value.code == "set-aside"


def test_nothing_of_the_old_day_gets_into_the_record_of_the_new_one(broken_off: Bench) -> None:
    set_new_day(broken_off)
    plans = broken_off.crew.planner.tests
    plans.move(broken_off.test_id, "preparing")
    plans.move(broken_off.test_id, "survey-day")
    steps = broken_off.everything()
    for name in ON_THE_DAY:
        steps[name]()
    record = plans.record(broken_off.test_id).document
    assert record["test"]["date"] == NEW_DAY
    assert len(record["readings"]) == len(readings())
    assert len(record["draughts"]) == 6
    assert len(record["persons"]) == 1
    file = plans.file(broken_off.test_id)
    assert sum(each["kind"] == "reading" for each in file["campaign"]["entries"]) == len(readings()) + 8
    stop = next(e["document"] for e in file["campaign"]["entries"] if e["document"].get("to") == "postponed")
    assert (stop["reason"], stop["date"], stop["set_aside"] > 8) == ("gusts of 18 m/s", "2024-05-15", True)
