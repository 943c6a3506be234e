"""Plan a stored test: its plan, tank plan with the ship's answers, and the work list."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heelwright_client.calls_on_tests import CallsOnTests
from heelwright_client.http import Document, Stored


class PlanningOfTests(CallsOnTests):
    """The calls that plan a test."""

    def plan(self, test_id: str) -> Stored:
        """Read a test's plan.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        Stored
            The plan and its version.
        """
        return self.part(test_id, "plan")

    def put_plan(self, test_id: str, plan: Mapping[str, Any], *, etag: str | None = None) -> Stored:
        """Store a new version of a test's plan.

        Parameters
        ----------
        test_id : str
            The test's id.
        plan : Mapping
            The plan.
        etag : str or None
            The version that was read; None for the first.

        Returns
        -------
        Stored
            The plan and its new version.
        """
        return self.store(test_id, "plan", plan, etag=etag)

    def calendar(self, test_id: str) -> Document:
        """Read the dates counted back from the day of the test.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            ``items`` by date, and the ``windows`` that the test fits in.
        """
        return self._part(test_id, "calendar")

    def procedure(self, test_id: str) -> Document:
        """Read the procedure with what reviewers would send it back for.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            ``sections`` and ``checks``.
        """
        return self._part(test_id, "procedure")

    def tank_plan(self, test_id: str) -> Stored:
        """Read a test's tank plan.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        Stored
            The tank plan and its version.
        """
        return self.part(test_id, "tank-plan")

    def put_tank_plan(self, test_id: str, plan: Mapping[str, Any], *, etag: str | None = None) -> Stored:
        """Store a new version of a test's tank plan.

        Parameters
        ----------
        test_id : str
            The test's id.
        plan : Mapping
            The tank plan.
        etag : str or None
            The version that was read; None for the first.

        Returns
        -------
        Stored
            The tank plan and its new version.
        """
        return self.store(test_id, "tank-plan", plan, etag=etag)

    def tanks(self, test_id: str) -> Document:
        """Read what a tank plan comes to, what the ship answered, and what her refusals do.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            ``condition``, ``checks``, ``answers``, ``flagged`` and ``effect``.
        """
        return self._part(test_id, "tank-plan/standing")

    def answer_tank(self, test_id: str, answer: Mapping[str, Any]) -> Document:
        """Answer the plan for one tank.

        Parameters
        ----------
        test_id : str
            The test's id.
        answer : Mapping
            ``tank``, ``answer``, ``by``, ``on``; for a refusal ``reason`` and what is offered.

        Returns
        -------
        dict
            The answer as stored, with the effect of the offers.
        """
        return self.add(test_id, "tank-plan/answers", answer)

    def replan(self, test_id: str) -> Document:
        """Take the ship's offers into the tank plan.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            The tank plan.
        """
        return self.add(test_id, "tank-plan/replan", {})

    def prepare(self, test_id: str) -> Document:
        """Generate the ship's work list, or bring it into step with the plans.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            The list.
        """
        return self.add(test_id, "preparations", {})

    def preparations(self, test_id: str) -> Document:
        """Read the ship's work list.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            ``items``, ``overdue`` and ``not_needed``.
        """
        return self._part(test_id, "preparations")

    def mark(self, test_id: str, key: str, state: str, **facts: str) -> Document:
        """Tick, verify, waive or reopen an item of the work list.

        Parameters
        ----------
        test_id : str
            The test's id.
        key, state : str
            The item, and ``open``, ``done``, ``verified`` or ``waived``.
        **facts : str
            ``done_by`` and ``remarks``.

        Returns
        -------
        dict
            The list.
        """
        body = {"key": key, "state": state, **facts}
        return self.add(test_id, "preparations/marks", body)

    def add_preparation(self, test_id: str, item: Mapping[str, Any]) -> Document:
        """Add an item of one's own to the work list.

        Parameters
        ----------
        test_id : str
            The test's id.
        item : Mapping
            ``what``, ``why``, ``verify``, ``who`` and optionally ``due``.

        Returns
        -------
        dict
            The list.
        """
        return self.add(test_id, "preparations/items", item)
