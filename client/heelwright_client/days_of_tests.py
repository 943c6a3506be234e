"""Enter what is read on board in a stored test, and ask where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal
from urllib.parse import quote

from heelwright_client.calls_on_tests import CallsOnTests, path_of_test
from heelwright_client.http import Document

Collection = Literal[
    "water",
    "probes",
    "draughts",
    "freeboards",
    "soundings",
    "items",
    "persons",
    "weights",
    "instruments",
    "states",
    "ballast-moves",
    "ballast-procedure",
    "readings",
    "weather",
    "permits",
    "certificates",
    "reservations",
    "signatures",
    "deviations",
    "waivers",
    "closings",
    "statements",
    "uncertainties",
]


class DaysOfTests(CallsOnTests):
    """The calls of the survey and the test day."""

    def enter(
        self, test_id: str, collection: Collection, facts: Mapping[str, Any], *, idempotency_key: str | None = None
    ) -> Document:
        """Enter something in a test, or correct what was entered.

        Parameters
        ----------
        test_id : str
            The test's id.
        collection : str
            What it is.
        facts : Mapping
            The facts; a correction has ``corrects`` and ``reason``.
        idempotency_key : str or None
            The same key sent again gives the first answer again; a new one where None.

        Returns
        -------
        dict
            The entry as stored.
        """
        return self.add(test_id, collection, facts, idempotency_key=idempotency_key)

    def entries(self, test_id: str, collection: str, *, limit: int | None = None) -> Iterator[Document]:
        """Read what was entered, corrected entries included.

        Parameters
        ----------
        test_id : str
            The test's id.
        collection : str
            What it is.
        limit : int or None
            How many are asked for at once; the service's choice where None.

        Yields
        ------
        dict
            One entry at a time, in the order of their making.
        """
        yield from self._connection.pages(f"{path_of_test(test_id)}/{collection}", limit=limit)

    def entry(self, test_id: str, collection: str, entry_id: str) -> Document:
        """Read one entry.

        Parameters
        ----------
        test_id : str
            The test's id.
        collection, entry_id : str
            The entry.

        Returns
        -------
        dict
            The entry as stored.
        """
        return self._part(test_id, f"{collection}/{quote(entry_id, safe='')}")

    def withdraw(self, test_id: str, collection: Collection, entry_id: str, reason: str) -> Document:
        """Take back an entry that should not have been made.

        Parameters
        ----------
        test_id : str
            The test's id.
        collection, entry_id : str
            The entry.
        reason : str
            Why.

        Returns
        -------
        dict
            The withdrawal as stored.
        """
        return self.add(test_id, f"{collection}/{quote(entry_id, safe='')}/withdrawal", {"reason": reason})

    def tick(self, test_id: str, item_id: str, mass_t: float | None = None) -> Document:
        """Carry a row of the advisory survey over into the survey.

        Parameters
        ----------
        test_id : str
            The test's id.
        item_id : str
            The row.
        mass_t : float or None
            Its mass now, where that has changed [t].

        Returns
        -------
        dict
            The new row.
        """
        return self.add(test_id, f"items/{quote(item_id, safe='')}/tick", {} if mass_t is None else {"mass_t": mass_t})

    def survey(self, test_id: str) -> Document:
        """Sum up the survey.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            Totals, checks, landings, doubles, materiality and the boundary.
        """
        return self._part(test_id, "survey")

    def decide(self, test_id: str, deviation_id: str, decision: Mapping[str, Any]) -> Document:
        """Accept or mend a departure, or postpone for it.

        Parameters
        ----------
        test_id : str
            The test's id.
        deviation_id : str
            The departure.
        decision : Mapping
            ``decision``, ``name``, and optionally ``witness`` and ``remarks``.

        Returns
        -------
        dict
            The decision as stored, with the price that it was taken on.
        """
        return self.add(test_id, f"deviations/{quote(deviation_id, safe='')}/decisions", dict(decision))

    def running(self, test_id: str) -> Document:
        """Read where the test stands after its last state.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            Plot, GM so far, what to read again, whether one may stop.
        """
        return self._part(test_id, "running")

    def readiness(self, test_id: str) -> Document:
        """Ask whether the test can start and whether the ship can be left.

        Parameters
        ----------
        test_id : str
            The test's id.

        Returns
        -------
        dict
            ``start`` and ``leave``.
        """
        return self._part(test_id, "readiness")
