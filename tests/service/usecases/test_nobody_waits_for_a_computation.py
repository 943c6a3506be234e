"""On a ship with many tanks a price or a parsed record takes a second: others can write meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from heelwright_service.store.tables import Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases import parsed_parts, settle_deviations, test_results

from tests.support.app import engine_of
from tests.support.box_test import Bench, bench, readings

HELD = {"kind": "heel-held", "share": 0.03, "text": "a line held her"}


@pytest.fixture
def made(database_url: str, tmp_path: Path) -> Iterator[Bench]:
    """The box ship's test before its first reading."""
    with bench(tmp_path / "box", database_url) as found:
        up_to(found, "states")
        yield found


def up_to(made: Bench, last: str, first: str = "plan") -> None:
    """Do what has to be done from one step to another."""
    steps = list(made.everything().items())
    names = [name for name, _ in steps]
    for _, step in steps[names.index(first) : names.index(last) + 1]:
        step()


def somebody_writes_during(
    monkeypatch: pytest.MonkeyPatch, made: Bench, module: object, name: str
) -> list[tuple[Any, ...]]:
    """Have a vessel entered whenever a function is called; what it was called with is returned."""
    function: Callable[..., Any] = getattr(module, name)
    calls: list[tuple[Any, ...]] = []

    def meanwhile(*given: Any) -> Any:
        with UnitOfWork(engine_of(made.app)).transaction() as session:
            session.add(Vessel(name=f"Entered meanwhile {len(calls)}"))
        calls.append(given)
        return function(*given)

    monkeypatch.setattr(module, name, meanwhile)
    return calls


def test_others_can_write_while_a_departure_is_priced(made: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    made.each("readings", readings())
    calls = somebody_writes_during(monkeypatch, made, settle_deviations, "price_deviations")
    entered = made.crew.first.tests.enter(made.test_id, "deviations", HELD)
    assert len(calls) == 1
    assert entered["price"]["side"] == "unsafe"


def test_others_can_write_while_the_price_of_a_decision_is_worked_out(
    made: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Entered before the first reading the departure had no price; the decision is taken on one."""
    entered = made.crew.first.tests.enter(made.test_id, "deviations", HELD)
    assert entered["price"] is None
    assert entered["not_priced"]
    made.each("readings", readings())
    calls = somebody_writes_during(monkeypatch, made, settle_deviations, "price_deviations")
    decision = {"decision": "accept", "name": "R. Osei", "witness": "L. Brandt"}
    decided = made.crew.planner.tests.decide(made.test_id, entered["entry_id"], decision)
    assert len(calls) == 1
    assert decided["price"]["side"] == "unsafe"
    assert {name: decided[name] for name in decision} == decision


def test_a_departure_gets_the_price_of_the_record_that_it_is_entered_in(
    made: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A recorder reads on while it is priced: the price that is kept is the one that a new question gets."""
    made.each("readings", readings()[:-4])
    price, still_to_come = settle_deviations.price_deviations, readings()[-4:]

    def while_she_is_read(*given: Any) -> Any:
        found = price(*given)
        while still_to_come:
            made.crew.second.tests.enter(made.test_id, "readings", still_to_come.pop())
        return found

    monkeypatch.setattr(settle_deviations, "price_deviations", while_she_is_read)
    length = {"kind": "instrument-length", "instrument": "P1", "size_m": 0.05, "text": "measured at the wrong end"}
    meanwhile = made.crew.first.tests.enter(made.test_id, "deviations", length)
    afterwards = made.crew.first.tests.enter(made.test_id, "deviations", length)
    assert meanwhile["price"] == afterwards["price"]


def test_others_can_write_while_the_record_of_a_review_is_parsed(made: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    up_to(made, "review", first="readings")
    findings = made.crew.planner.tests.review(made.test_id)["open"]
    parsed_parts.record_of.cache_clear()
    parsed_parts.result_of.cache_clear()
    calls = somebody_writes_during(monkeypatch, made, parsed_parts, "from_document")
    somebody_writes_during(monkeypatch, made, test_results, "sha256_of")
    answered = made.crew.planner.tests.answer(made.test_id, findings[0], "seen", "K. Lund")
    assert answered["finding"] == findings[0]
    assert len(calls) == 2
