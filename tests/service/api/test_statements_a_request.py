"""How many statements a request sends to the database does not depend on how much stands in a test or how many."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from flask import Flask
from sqlalchemy import Engine, event

from tests.support.app import Api, engine_of, make_app, migrated_sqlite, new_token
from tests.support.campaign import client_of, crew_of, enter_vessel, plan_document, simulated, tank_plan_document


def statements_of(app: Flask, ask: Callable[[], Any]) -> int:
    """How many statements a request sends."""
    sent: list[str] = []

    def note(*given: Any) -> None:
        sent.append(given[2])

    event.listen(engine_of(app), "before_cursor_execute", note)
    try:
        ask()
    finally:
        event.remove(engine_of(app), "before_cursor_execute", note)
    return len(sent)


def test_a_test_is_read_by_as_many_statements_with_many_entries_as_with_few(app: Flask) -> None:
    crew, record = crew_of(app), simulated()
    vessel_id = enter_vessel(crew.planner, record, admin=client_of(app, "admin", "office"))
    calls = crew.planner.tests
    test_id = calls.open(vessel_id, "inclining-test").document["id"]
    calls.put_plan(test_id, plan_document(record))
    calls.put_tank_plan(test_id, tank_plan_document(record))
    calls.prepare(test_id)
    requests: list[Callable[[], Any]] = [
        lambda: calls.get(test_id),
        lambda: calls.readiness(test_id),
        lambda: calls.running(test_id),
        lambda: calls.survey(test_id),
        lambda: calls.preparations(test_id),
    ]
    person = {"mass_t": 0.08, "x_m": 30.0, "y_m": 0.0, "z_m": 6.0}

    def enter(first: int, count: int) -> None:
        for number in range(first, first + count):
            crew.first.tests.enter(test_id, "persons", {**person, "name": f"Person {number}"})

    calls.move(test_id, "procedure-issued")
    calls.move(test_id, "preparing")
    calls.enter(test_id, "waivers", {"point": "advisory-survey", "name": "R. Osei", "reason": "done by the yard"})
    calls.move(test_id, "survey-day")
    enter(0, 1)
    few = [statements_of(app, ask) for ask in requests]
    enter(1, 12)
    assert [statements_of(app, ask) for ask in requests] == few


def test_the_list_of_tests_takes_as_many_statements_for_six_as_for_one(app: Flask) -> None:
    crew, record = crew_of(app), simulated()
    vessel_id = enter_vessel(crew.planner, record, admin=client_of(app, "admin", "office"))
    crew.planner.tests.open(vessel_id, "inclining-test")
    one = statements_of(app, lambda: list(crew.planner.tests))
    for _ in range(5):
        other = enter_vessel(crew.planner, record, approved=False)
        crew.planner.tests.open(other, "inclining-test")
    assert statements_of(app, lambda: list(crew.planner.tests)) == one


GROWING = ("lightships", "alterations", "test_entries", "test_documents", "follow_ups", "computations", "events")
"""Tables that grow with the years and the fleet."""


def scanned_by(engine: Engine, ask: Callable[[], Any]) -> set[str]:
    """The growing tables that a request reads from end to end, by the database's own plan of each question."""
    sent: list[tuple[str, Any]] = []

    def note(*given: Any) -> None:
        sent.append((given[2], given[3]))

    event.listen(engine, "before_cursor_execute", note)
    try:
        ask()
    finally:
        event.remove(engine, "before_cursor_execute", note)
    with engine.connect() as connection:
        steps = [
            str(row[3])
            for statement, parameters in sent
            if statement.startswith("SELECT")
            for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
        ]
    assert steps
    return {table for table in GROWING for step in steps if step.split()[:2] == ["SCAN", table]}


def test_what_is_asked_of_one_vessel_or_test_reads_nobody_elses_history(tmp_path: Path) -> None:
    app, record = make_app(migrated_sqlite(tmp_path)), simulated()
    crew = crew_of(app)
    vessel_id = enter_vessel(crew.planner, record, admin=client_of(app, "admin", "office"))
    test_id = crew.planner.tests.open(vessel_id, "lightweight-survey").document["id"]
    limited = Api(app.test_client(), new_token(app, "admin", vessel_ids=[vessel_id]))
    lightship = {"date": "2022-05-01", "basis": "lightweight-survey", "mass_t": 1110.0, "lcg_m": 34.9}
    asked: list[Callable[[], Any]] = [
        lambda: limited.get(f"/tests/{test_id}"),
        lambda: limited.get(f"/tests/{test_id}/readings"),
        lambda: limited.get(f"/vessels/{vessel_id}/drift"),
        lambda: limited.get(f"/vessels/{vessel_id}/lightships"),
        lambda: limited.get(f"/vessels/{vessel_id}/alterations"),
        lambda: limited.get("/actions"),
        lambda: limited.get("/events"),
        lambda: limited.post(f"/vessels/{vessel_id}/lightships", lightship),
    ]
    try:
        assert {table for ask in asked for table in scanned_by(engine_of(app), ask)} == set()
    finally:
        engine_of(app).dispose()
