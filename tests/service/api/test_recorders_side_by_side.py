"""Several recorders enter into one test at once while others look on: nothing is lost, doubled or refused in vain."""

from __future__ import annotations

import json
import statistics
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import requests
from heelwright_service.store.tables import Computation
from heelwright_service.store.unit_of_work import UnitOfWork
from sqlalchemy import select

from tests.support.app import engine_of, new_token, served
from tests.support.box_test import STATES, Bench, bench, box_plan, readings

RECORDERS, EACH = 4, 50
MEDIAN_S, WORST_S = 1.0, 5.0


@dataclass
class Quay:
    """A served test on its test day, and how long every request took."""

    made: Bench
    address: str
    took_s: dict[str, list[float]] = field(default_factory=dict)

    def caller(self, role: str) -> Callable[..., requests.Response]:
        """Somebody with a token and a connection of his own, who repeats nothing."""
        session = requests.Session()
        session.headers["Authorization"] = f"Bearer {new_token(self.made.app, role)}"

        def call(method: str, path: str, body: object = None, **headers: str) -> requests.Response:
            sent = {name.replace("_", "-"): value for name, value in headers.items()}
            url = f"{self.address}/v1/tests/{self.made.test_id}{path}"
            began = time.perf_counter()
            answer = session.request(method, url, json=body, headers=sent, timeout=30)
            self.took_s.setdefault(f"{method} {path}", []).append(time.perf_counter() - began)
            return answer

        return call


@pytest.fixture
def quay(database_url: str, tmp_path: Path) -> Iterator[Quay]:
    """The box ship's test, ready for its first reading, behind the real server."""
    with bench(tmp_path / "box", database_url) as made:
        for name, step in made.everything().items():
            if name == "states":
                break
            step()
        with served(made.app) as address:
            yield Quay(made, address)


def side_by_side(deeds: Sequence[Callable[[], Any]]) -> list[Any]:
    """Do everything at once; what each came to, in order."""
    start = threading.Barrier(len(deeds))

    def run(deed: Callable[[], Any]) -> Any:
        start.wait()
        return deed()

    with ThreadPoolExecutor(len(deeds)) as pool:
        return [each.result() for each in [pool.submit(run, deed) for deed in deeds]]


def rows_of(quay: Quay, collection: str) -> list[dict[str, Any]]:
    return list(quay.made.crew.planner.tests.entries(quay.made.test_id, collection))


def of_recorder(number: int) -> list[dict[str, Any]]:
    """The readings of one recorder: nobody else's, all of the box in the states that she was heeled to."""
    rows = readings()
    mine = [{**rows[n % len(rows)], "repeat": n // len(rows) + 1} for n in range(RECORDERS * EACH)]
    return mine[number * EACH : (number + 1) * EACH]


def test_a_state_that_all_enter_at_once_stands_once(quay: Quay) -> None:
    callers = [quay.caller("recorder") for _ in range(RECORDERS)]
    for state in STATES:
        answers = side_by_side([partial(call, "POST", "/states", state) for call in callers])
        assert sorted(answer.status_code for answer in answers) == [201, 409, 409, 409]
        assert {answer.json()["code"] for answer in answers if answer.status_code == 409} == {"already-entered"}
    assert [row["number"] for row in rows_of(quay, "states")] == [state["number"] for state in STATES]


def test_four_recorders_and_two_onlookers_wait_for_nothing_and_lose_nothing(
    quay: Quay, record_property: Callable[[str, object], None]
) -> None:
    quay.made.everything()["states"]()
    quay.made.each("readings", readings()[:2])  # both instruments in the first state, as every test begins
    done = threading.Event()
    statuses: Counter[tuple[str, int]] = Counter()

    def recorder(number: int) -> list[dict[str, Any]]:
        call, again = quay.caller("recorder"), None
        answers = []
        for place, row in enumerate(of_recorder(number)):
            answer = call("POST", "/readings", row, Idempotency_Key=f"{number}-{place}")
            again = call("POST", "/readings", row, Idempotency_Key=f"{number}-{place}") if place % 10 == 0 else answer
            assert (answer.status_code, again.content) == (201, answer.content), answer.text
            answers.append(answer.json())
        return answers

    def onlooker() -> None:
        call = quay.caller("reader")
        while not done.is_set():
            for path in ("/running", "/result"):
                statuses[path, call("GET", path).status_code] += 1

    def planner() -> None:
        call = quay.caller("planner")
        while not done.wait(0.2):
            statuses["reduce", call("POST", "/result?uncertainty=none").status_code] += 1

    with ThreadPoolExecutor(3) as others:
        looking = [others.submit(each) for each in (onlooker, onlooker, planner)]
        try:
            entered = side_by_side([partial(recorder, number) for number in range(RECORDERS)])
        finally:
            done.set()
        for each in looking:
            each.result()
    kept = rows_of(quay, "readings")
    assert len(kept) == 2 + RECORDERS * EACH
    assert sorted(row["entry_id"] for row in kept[2:]) == sorted(row["entry_id"] for mine in entered for row in mine)
    # A reduction during which something was entered says so; there is no result before the first that came through.
    assert set(statuses) <= {
        ("/running", 200), ("/result", 200), ("/result", 404), ("reduce", 201), ("reduce", 412), ("reduce", 422),
    }  # fmt: skip
    for what, took_s in quay.took_s.items():
        told = {"requests": len(took_s), "median_s": statistics.median(took_s), "worst_s": max(took_s)}
        record_property(what, json.dumps(told))
        print(what, told)
        assert told["median_s"] < MEDIAN_S, what
        assert told["worst_s"] < WORST_S, what


def test_a_key_that_several_connections_send_at_once_has_one_effect_and_one_answer(quay: Quay) -> None:
    quay.made.everything()["states"]()
    token = quay.caller("recorder")
    for place, row in enumerate(of_recorder(0)[:6]):
        answers = side_by_side([partial(token, "POST", "/readings", row, Idempotency_Key=f"key-{place}")] * 6)
        assert {(answer.status_code, answer.content) for answer in answers} == {(201, answers[0].content)}
        assert len(rows_of(quay, "readings")) == place + 1


def test_a_reduction_asked_for_again_before_it_has_answered_is_kept_once(quay: Quay) -> None:
    """As a client does whose first request was cut off: the key of both is one act."""
    for name in ("states", "readings"):
        quay.made.everything()[name]()
    planner = quay.caller("planner")
    answers = side_by_side([partial(planner, "POST", "/result?uncertainty=none", Idempotency_Key="k")] * 3)
    assert {(answer.status_code, answer.content) for answer in answers} == {(201, answers[0].content)}
    with UnitOfWork(engine_of(quay.made.app)).transaction(read_only=True) as session:
        assert session.scalars(select(Computation.id)).all() == [answers[0].json()["id"]]


def test_of_changes_of_one_version_one_is_taken_and_the_others_can_be_mended(quay: Quay) -> None:
    callers = [quay.caller("planner") for _ in range(RECORDERS)]

    def change(number: int) -> requests.Response:
        plan = box_plan() | {"submitted_on": f"2024-04-{number + 1:02}"}
        return callers[number]("PUT", "/plan", plan, If_Match=tags[number])

    open_ones = list(range(RECORDERS))
    while open_ones:
        tags = {number: callers[number]("GET", "/plan").headers["ETag"] for number in open_ones}
        answers = dict(zip(open_ones, side_by_side([partial(change, number) for number in open_ones]), strict=True))
        assert Counter(answer.status_code for answer in answers.values()) == Counter(
            {200: 1, **({412: len(open_ones) - 1} if len(open_ones) > 1 else {})}
        )
        open_ones = [number for number, answer in answers.items() if answer.status_code == 412]
