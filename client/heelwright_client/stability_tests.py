"""Inclining tests and lightweight surveys that the service carries from the first plan to the approval."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from heelwright_client.calls_on_tests import path_of_test
from heelwright_client.days_of_tests import DaysOfTests
from heelwright_client.http import Document, Stored
from heelwright_client.outcomes_of_tests import OutcomesOfTests
from heelwright_client.planning_of_tests import PlanningOfTests

Kind = Literal["inclining-test", "lightweight-survey"]


class StabilityTests(PlanningOfTests, DaysOfTests, OutcomesOfTests):
    """The calls on stored tests of one connection.

    A call that changes a test takes the ``etag`` of the version that was read; without one it reads the newest version
    first, so that it changes whatever is there.
    """

    def __iter__(self) -> Iterator[Document]:
        return self._connection.pages("/v1/tests")

    def of(self, vessel_id: str, stage: str | None = None) -> Iterator[Document]:
        """Read the tests of a vessel.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        stage : str or None
            Only those at this stage.

        Yields
        ------
        dict
            One test at a time, in the order of their opening.
        """
        yield from self._connection.pages("/v1/tests", vessel_id=vessel_id, stage=stage)

    def open(self, vessel_id: str, kind: Kind, *, idempotency_key: str | None = None, **facts: str) -> Stored:
        """Open a test.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        kind : str
            An inclining test or a lightweight survey.
        idempotency_key : str or None
            The same key sent again opens no second test; a new one where None.
        **facts : str
            ``title``, ``origin``, ``record_source``, ``supersedes``.

        Returns
        -------
        Stored
            The test with its id, and its version.
        """
        body = {"vessel_id": vessel_id, "kind": kind, **facts}
        return self._connection.create("/v1/tests", body, idempotency_key=idempotency_key)

    def get(self, test_id: str) -> Stored:
        """Read a test: its stage, where it can go from here, and what is missing for that.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        Stored
            The test and its version.
        """
        return self._connection.get_stored(path_of_test(test_id))

    def move(self, test_id: str, stage: str, *, reason: str | None = None, etag: str | None = None) -> Stored:
        """Move a test to another stage.

        Parameters
        ----------
        test_id : str
            The test's id.
        stage : str
            The stage.
        reason : str or None
            Needed to postpone or abandon.
        etag : str or None
            The version that was read; None for whatever is there.

        Returns
        -------
        Stored
            The test and its new version.
        """
        body = {"stage": stage} | ({} if reason is None else {"reason": reason})
        return self._change(test_id, "stage", body, etag)

    def pin(self, test_id: str, *, etag: str | None = None) -> Stored:
        """Take the vessel's current description for a test.

        Parameters
        ----------
        test_id : str
            The test's id.
        etag : str or None
            The version that was read; None for whatever is there.

        Returns
        -------
        Stored
            The test and its new version.
        """
        return self._change(test_id, "pins", {}, etag)
