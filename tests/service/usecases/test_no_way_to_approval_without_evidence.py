"""Whatever is called in whatever order, approved is reached only with all its evidence, by one who recorded nothing.

The model below keeps its own account of what was done; the application is asked only where the test stands.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import tempfile
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from heelwright_client.client import Client
from heelwright_client.errors import RefusedError
from heelwright_service.store.canonical import canonical_json
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from tests.support.box_test import MARKS, Bench, bench, box_plan
from tests.support.campaign import client_of

MOVES = ("issue", "prepare", "go on survey", "start", "result", "review")
LASTING = ("plan", "tank plan", "work list", "ticks", "advisory survey", "weights")
OF_THE_DAY = ("persons", "instruments", "water", "draughts", "soundings", "survey", "states", "readings", "signatures",
              "close")  # fmt: skip
READ = frozenset(OF_THE_DAY) - {"survey", "signatures", "close"}
STAGES = ("planned", "procedure-issued", "preparing", "advisory-survey", "survey-day", "test-day",
          "preliminary-result", "under-review", "abandoned")  # fmt: skip
COLLECTIONS = ("water", "draughts", "soundings", "readings", "signatures", "persons")


class Campaign(RuleBasedStateMachine):
    """One test of the box ship, and everybody who can do something to it, sensible or not."""

    @initialize()
    def open(self) -> None:
        """A fresh installation, and an account of what was done."""
        self.stack = ExitStack()
        folder = self.stack.enter_context(tempfile.TemporaryDirectory())
        self.made: Bench = self.stack.enter_context(bench(Path(folder) / "here"))
        self.steps = self.made.everything()
        self.done: set[str] = set()
        self.answered: set[str] = set()
        self.recorders: set[str] = set()
        self.reduced: bytes | None = None
        self.frozen: bytes | None = None
        self.dates = (f"2024-06-{day:02d}" for day in itertools.count(1))
        names = ("P. Renard", "M. Ito", "K. Lund", "A. Vane")
        self.approvers = {name: client_of(self.made.app, "approver", name) for name in names}

    @rule(n=st.integers(1, 12))
    def go_on(self, n: int) -> None:
        """Do the next things that a careful office would do."""
        left = [name for name in self.steps if name not in self.done and name not in ("approve", "answers")]
        for name in left[:n]:
            self.attempt(name)

    @rule(left_out=st.just("nothing") | st.sampled_from([*LASTING, *OF_THE_DAY, "reduce", "answers"]))
    def hurry(self, left_out: str) -> None:
        """Try everything up to the approval, without one thing or none."""
        for name in self.steps:
            if name not in ("approve", left_out) and (name not in self.done or name in MOVES):
                self.attempt(name)
        for approver in ("P. Renard", "A. Vane"):
            if self.frozen is None:
                self.try_to_approve(approver)

    @rule(name=st.sampled_from([*LASTING, *OF_THE_DAY, *MOVES, "reduce", "answers"]))
    def do(self, name: str) -> None:
        """Do any one thing."""
        self.attempt(name)

    @rule(stage=st.sampled_from(STAGES[:-1]))
    def move(self, stage: str) -> None:
        """Try any stage."""
        with contextlib.suppress(RefusedError):
            self.made.crew.planner.tests.move(self.made.test_id, stage, reason="tried")

    @rule()
    def break_off(self) -> None:
        """Postpone; whatever was read counts no more, and another date is set."""
        plans = self.made.crew.planner.tests
        with contextlib.suppress(RefusedError):
            plans.move(self.made.test_id, "postponed", reason="gale")
            if self.done & READ:
                self.done -= set(OF_THE_DAY)
            with contextlib.suppress(RefusedError):
                etag = plans.plan(self.made.test_id).etag
                plans.put_plan(self.made.test_id, {**box_plan(), "date": next(self.dates)}, etag=etag)
            plans.move(self.made.test_id, "preparing")

    @rule(collection=st.sampled_from(COLLECTIONS))
    def take_back(self, collection: Any) -> None:
        """Withdraw everything of a kind."""
        plans, t = self.made.crew.planner.tests, self.made.test_id
        for row in list(plans.entries(t, collection)):
            if not (row["withdrawn"] or row["corrected_by"] or row["set_aside"]):
                with contextlib.suppress(RefusedError):
                    plans.withdraw(t, collection, row["entry_id"], "tried")
                    self.done.discard(collection)
                    self.recorded(collection, "K. Lund")

    @rule(name=st.sampled_from(["P. Renard", "A. Vane"]))
    def lend_a_hand(self, name: str) -> None:
        """An approver reads a draught himself."""
        with contextlib.suppress(RefusedError):
            facts = {"mark": MARKS[0]["name"], "reading_m": 2.05, "occasion": "after"}
            self.approvers[name].tests.enter(self.made.test_id, "draughts", facts)
            self.recorders.add(name)

    @rule(name=st.sampled_from(["P. Renard", "P. Renard", "A. Vane", "M. Ito", "K. Lund", "first", "planner"]))
    def approve(self, name: str) -> None:
        """Try to approve, also as a recorder."""
        self.try_to_approve(name)

    def try_to_approve(self, name: str) -> None:
        """Approve, and where that is granted hold it against the account."""
        crew = self.made.crew
        client: Client = {"first": crew.first, "planner": crew.planner}.get(name) or self.approvers[name]
        before = self.made.stage
        with contextlib.suppress(RefusedError):
            client.tests.approve(self.made.test_id, name)
            assert before == "under-review"
            self.check_evidence(name)
            self.frozen = self.standing()

    @invariant()
    def nothing_is_approved_but_by_approval(self) -> None:
        """Approved with its evidence and one lightship, or not approved and no lightship."""
        if not hasattr(self, "made"):
            return
        lightships = list(self.made.crew.planner.lightships.of(self.made.vessel_id))
        if self.frozen is None:
            assert self.made.stage != "approved"
            assert lightships == []
            return
        assert self.made.stage == "approved"
        assert [each["basis"] for each in lightships] == ["inclining-test"]
        assert self.standing() == self.frozen

    def teardown(self) -> None:
        """Put the installation away."""
        if hasattr(self, "stack"):
            self.stack.close()

    def attempt(self, name: str) -> None:
        """Take a step, and note it where it was taken."""
        if name == "answers":
            self.answer()
            return
        if self.frozen is not None and name not in MOVES:
            with contextlib.suppress(RefusedError):
                self.steps[name]()
            return
        with contextlib.suppress(RefusedError):
            self.steps[name]()
            self.note(name)

    def note(self, name: str) -> None:
        """Write down what was done, by whom."""
        if name in MOVES:
            return
        self.done.add(name)
        if name == "reduce":
            self.reduced = self.record()
        self.recorded(name, "M. Ito")

    def recorded(self, name: str, who: str) -> None:
        """Whoever reads or signs is a recorder of the test, but for those who close it or sign it."""
        if name in ("persons", "weights", "instruments", "water", "draughts", "soundings", "states", "readings"):
            self.recorders.add(who)

    def answer(self) -> None:
        """Answer what is open, one finding at a time."""
        plans, t = self.made.crew.planner.tests, self.made.test_id
        with contextlib.suppress(RefusedError):
            for finding in plans.review(t)["open"]:
                plans.answer(t, finding, "seen", "K. Lund")
                self.answered.add(finding)

    def record(self) -> bytes:
        """The record as it stands."""
        return canonical_json(self.made.crew.planner.tests.record(self.made.test_id).document)

    def standing(self) -> bytes:
        """What may not change after the approval."""
        calls, t = self.made.crew.planner.tests, self.made.test_id
        return canonical_json([calls.file(t), calls.result(t), calls.approval(t)])

    def check_evidence(self, name: str) -> None:
        """The account has everything that an approval needs; persons may have been taken back once the test began."""
        assert [each for each in (*LASTING, *OF_THE_DAY, "reduce") if each not in self.done] in ([], ["persons"])
        assert name not in self.recorders
        assert name in self.approvers
        assert self.reduced == self.record()
        findings = self.made.crew.planner.tests.review(self.made.test_id)["findings"]
        assert {each["id"] for each in findings if each["status"] != "pass"} <= self.answered


def test_the_account_itself_reaches_approval() -> None:
    one = Campaign()
    one.open()
    one.hurry("nothing")
    assert one.frozen is not None
    one.nothing_is_approved_but_by_approval()
    one.teardown()


@pytest.mark.heavy
@pytest.mark.parametrize("left_out", [*LASTING, *OF_THE_DAY, "reduce", "answers"])
def test_leaving_any_one_thing_out_keeps_it_below_approved(left_out: str) -> None:
    one = Campaign()
    one.open()
    one.hurry(left_out)
    assert one.frozen is None
    one.nothing_is_approved_but_by_approval()
    one.teardown()


def explore(examples: int, steps: int) -> None:
    run_state_machine_as_test(
        Campaign,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
            database=None,
            derandomize=bool(os.environ.get("CI")),
            suppress_health_check=list(HealthCheck),
        ),
    )


def test_no_sequence_of_calls_reaches_approved_without_its_evidence() -> None:
    explore(8, 12)


@pytest.mark.heavy
def test_no_long_sequence_of_calls_reaches_approved_without_its_evidence() -> None:
    explore(120, 40)
