"""From the readings of a stored test to its approval, and what follows from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from heelwright_client.calls_on_tests import CallsOnTests, path_of_test
from heelwright_client.http import Document, Stored
from heelwright_client.vessels import vessel_path


class OutcomesOfTests(CallsOnTests):
    """The calls on results, reviews, approvals, actions and the lightship boundary."""

    def reduce(self, test_id: str, **query: str | float | None) -> Document:
        """Reduce a test; the result is preliminary until it is approved.

        Parameters
        ----------
        test_id : str
            The test's id.
        **query : str or float or None
            ``method``, ``uncertainty``, ``draws``, ``seed``.

        Returns
        -------
        dict
            The result with how it stands.
        """
        return self._connection.compute(f"{path_of_test(test_id)}/result", {}, **query)

    def result(self, test_id: str) -> Document:
        """Read the newest result of a test.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            The result with how it stands.
        """
        return self._part(test_id, "result")

    def record(self, test_id: str) -> Stored:
        """Read the record of a test, which is what its reduction sees.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        Stored
            The record, and its version where it was entered whole.
        """
        return self.part(test_id, "record")

    def file(self, test_id: str) -> Document:
        """Export a whole test as one file.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            The record, and under ``campaign`` how the test was planned, made, reviewed and approved. It is taken
            wherever a record is taken.
        """
        return self._part(test_id, "file")

    def put_record(self, test_id: str, record: Mapping[str, Any], *, etag: str | None = None) -> Stored:
        """Enter a finished test whole.

        Parameters
        ----------
        test_id : str
            The test's id; it was opened with the origin ``entered-record``.
        record : Mapping
            The test record, or the file of a whole test.
        etag : str or None
            The version that was read; None for the first.

        Returns
        -------
        Stored
            The record and its new version.
        """
        return self.store(test_id, "record", record, etag=etag)

    def review(self, test_id: str) -> Document:
        """Read the automatic review of the result.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            ``findings``, ``answers`` and ``open``.
        """
        return self._part(test_id, "review")

    def answer(self, test_id: str, finding: str, text: str, by: str) -> Document:
        """Answer a finding of the review.

        Parameters
        ----------
        test_id : str
            The test's id.
        finding, text, by : str
            Which finding, the answer, and whose it is.

        Returns
        -------
        dict
            The answer as stored.
        """
        body = {"finding": finding, "text": text, "by": by}
        return self.add(test_id, "review/answers", body)

    def ask_for_interim(self, test_id: str, limits: list[str], expiry_days: int | None = None) -> Document:
        """Put together the request for an interim operating condition; it is no approval.

        Parameters
        ----------
        test_id : str
            The test's id.
        limits : list of str
            What the ship will keep to meanwhile.
        expiry_days : int or None
            For how long; the service's default where None.

        Returns
        -------
        dict
            The page's facts.
        """
        body: Document = {"limits": limits} | ({} if expiry_days is None else {"expiry_days": expiry_days})
        return self.add(test_id, "interim-requests", body)

    def interim_requests(self, test_id: str) -> Iterator[Document]:
        """Read the requests for an interim operating condition.

        Parameters
        ----------
        test_id : str
            The test's id.

        Yields
        ------
        dict
            One request at a time.
        """
        yield from self._connection.pages(f"{path_of_test(test_id)}/interim-requests")

    def put_back(self, test_id: str) -> list[Document]:
        """List what has to be put back before the ship sails.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        list of dict
            One item a thing.
        """
        items: list[Document] = self._part(test_id, "put-back")["items"]
        return items

    def approve(self, test_id: str, name: str, *, etag: str | None = None, **facts: str) -> Document:
        """Approve a test; its lightship enters the vessel's history.

        Parameters
        ----------
        test_id : str
            The test's id.
        name : str
            Who approves.
        etag : str or None
            The version of the test that was read; None for whatever is there.
        **facts : str
            ``authority``, ``statement``, ``supersedes_lightship``, ``reason``.

        Returns
        -------
        dict
            The approval with the lightship's id.
        """
        return self._change(test_id, "approval", {"name": name, **facts}, etag).document

    def approval(self, test_id: str) -> Document:
        """Read who approved a test, and which lightship it became.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            The approval.
        """
        return self._part(test_id, "approval")

    def actions(self, vessel_id: str | None = None, *, open_only: bool = True) -> Iterator[Document]:
        """Read what is to be done after failed or doubtful results.

        Parameters
        ----------
        vessel_id : str or None
            Only of this vessel.
        open_only : bool
            Leave out those that are closed.

        Yields
        ------
        dict
            One action at a time.
        """
        yield from self._connection.pages("/v1/actions", vessel_id=vessel_id, open="true" if open_only else "false")

    def action(self, action_id: str) -> Document:
        """Read one action.

        Parameters
        ----------
        action_id : str
            The action's id.

        Returns
        -------
        dict
            The action.
        """
        return self._connection.get(f"/v1/actions/{quote(action_id, safe='')}")

    def close_action(self, action_id: str, evidence: str) -> Document:
        """Close an action with its evidence.

        Parameters
        ----------
        action_id : str
            The action's id.
        evidence : str
            What shows that it is done.

        Returns
        -------
        dict
            The action.
        """
        path = f"/v1/actions/{quote(action_id, safe='')}"
        etag = self._connection.get_stored(path).etag
        return self._connection.change("PUT", f"{path}/closing", {"evidence": evidence}, etag=etag).document

    def boundary(self, vessel_id: str) -> Document:
        """Read the lightship boundary register of a vessel.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.

        Returns
        -------
        dict
            ``items`` and ``in_force``.
        """
        return self._connection.get(f"{vessel_path(vessel_id)}/boundary-register")

    def decide_boundary(self, vessel_id: str, decision: Mapping[str, Any]) -> Document:
        """Record on which side of the lightship boundary a class of things lies.

        Parameters
        ----------
        vessel_id : str
            The vessel's id.
        decision : Mapping
            ``item_class``, ``counts``, ``decided_by``, ``decided_on``.

        Returns
        -------
        dict
            The decision as stored.
        """
        return self._connection.create(f"{vessel_path(vessel_id)}/boundary-register", dict(decision)).document
