"""The work list says what each item would cost the result if it were left."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from heelwright_service.core.campaign.preparations import PriceOf
from heelwright_service.store.tables import Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases import price_preparations
from heelwright_service.usecases.price_preparations import price_of
from heelwright_service.usecases.stored_tests import StoredTest

from tests.support.app import engine_of
from tests.support.campaign import (
    client_of,
    crew_of,
    enter_vessel,
    plan_document,
    refusal,
    simulated,
    tank_plan_document,
)


@pytest.fixture
def items(app: Flask) -> dict[str, dict[str, Any]]:
    """The work list of the demo test by key."""
    crew, record = crew_of(app), simulated()
    vessel_id = enter_vessel(crew.planner, record, admin=client_of(app, "admin", "office"))
    test_id = crew.planner.tests.open(vessel_id, "inclining-test").document["id"]
    crew.planner.tests.put_plan(test_id, plan_document(record))
    crew.planner.tests.put_tank_plan(test_id, tank_plan_document(record))
    return {each["key"]: each for each in crew.planner.tests.prepare(test_id)["items"]}


def test_what_flatters_the_ship_is_marked_unsafe(items: dict[str, dict[str, Any]]) -> None:
    for key in ("moorings", "weights"):
        assert items[key]["price"]["side"] == "unsafe", key
    assert items["moorings"]["price"]["vcg_m"] < -0.01
    assert items["yard-gear"]["price"]["mass_t"] == pytest.approx(1.0, rel=1e-6)
    assert "a line holds 3 % of the heel" in items["moorings"]["price"]["text"]


def test_a_residue_in_a_tank_is_priced_by_its_own_size(items: dict[str, dict[str, Any]]) -> None:
    price = items["tank/FW 2P/emptied"]["price"]
    assert price["mass_t"] == pytest.approx(0.127, rel=0.01)  # 1 % of 12.7 m³ of fresh water
    assert -0.001 < price["vcg_m"] < 0.0


def test_what_no_model_prices_says_nothing(items: dict[str, dict[str, Any]]) -> None:
    assert items["communications"]["price"] is None


def test_a_held_line_costs_three_per_cent_of_gm(items: dict[str, dict[str, Any]]) -> None:
    # A ship whose heel is held by the share s shows GM/(1 − s); derived here. GM 1.04 m and lightship over displacement
    # 1105/1144 t are those of the plan; the price is of the lightship's VCG.
    expected = -(1.0 / 0.97 - 1.0) * 1.04 * 1144.0 / 1110.0
    assert items["moorings"]["price"]["vcg_m"] == pytest.approx(expected, rel=0.08)


def test_others_can_write_while_a_work_list_is_priced(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a ship with many tanks the prices take seconds; a writer who had to wait for them would be refused."""
    written: list[str] = []

    def while_somebody_writes(test: StoredTest) -> PriceOf | None:
        with UnitOfWork(engine_of(app)).transaction() as session:
            session.add(Vessel(name=f"Entered meanwhile {len(written)}"))
        written.append(test.row.id)
        return price_of(test)

    monkeypatch.setattr(price_preparations, "price_of", while_somebody_writes)
    crew, record = crew_of(app), simulated()
    vessel_id = enter_vessel(crew.planner, record, admin=client_of(app, "admin", "office"))
    test_id = crew.planner.tests.open(vessel_id, "inclining-test").document["id"]
    crew.planner.tests.put_plan(test_id, plan_document(record))
    plan = tank_plan_document(record)
    crew.planner.tests.put_tank_plan(test_id, plan)
    crew.planner.tests.prepare(test_id)
    assert len(written) == 1
    plan["answers_due"] = "2024-05-04"
    crew.planner.tests.put_tank_plan(test_id, plan, etag='"1"')
    assert len(written) == 2
    crew.first.tests.add(test_id, "tank-plan/answers", refusal(record))
    crew.planner.tests.add(test_id, "tank-plan/replan", {})
    assert len(written) == 3
    prices = {each["key"]: each["price"] for each in crew.planner.tests.preparations(test_id)["items"]}
    assert prices["tank/FO 1P/slack"] is not None
