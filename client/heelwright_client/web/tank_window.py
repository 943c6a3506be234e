"""A tank plan of very many tanks, some of them on a page at a time; storing a page leaves the others as they were."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from heelwright_client.errors import RefusedError
from heelwright_client.http import Stored
from heelwright_client.units import System
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Rows
from heelwright_client.web.merging import merged
from heelwright_client.web.pages.test_plan_form import TANK_PLAN
from heelwright_client.web.stored_test import StoredTest

_ON_A_PAGE = 40

Plan = Mapping[str, Any]


def tank_plan_shown(test: StoredTest, stored: Stored | None) -> Plan:
    """Return the tank plan, or one to begin with that lists the vessel's tanks.

    Parameters
    ----------
    test : StoredTest
        The test.
    stored : Stored or None
        Its tank plan, where there is one.

    Returns
    -------
    Mapping
        With ``tanks``.
    """
    if stored:
        return stored.document
    return {"tanks": [{"tank": tank["name"], "state": "empty"} for tank in test.tanks]}


@dataclass(frozen=True)
class TankWindow:
    """The tanks of one page.

    Parameters
    ----------
    shown : Mapping
        The plan with these tanks alone.
    page, pages : int
        Which page of how many; 1 for the first.
    """

    shown: Plan
    page: int
    pages: int

    @property
    def first(self) -> int:
        """Place of the page's first tank in the plan."""
        return (self.page - 1) * _ON_A_PAGE

    @property
    def table(self) -> Rows:
        """The table of the page; only the last page has rows to add tanks in."""
        table = next(part for part in TANK_PLAN if isinstance(part, Rows))
        return table if self.page == self.pages else replace(table, blank=0)

    def entry(self, system: System) -> Entry:
        """Fill the form of the page.

        Parameters
        ----------
        system : System
            The visitor's units.

        Returns
        -------
        Entry
            The form.
        """
        return Entry.of_document(TANK_PLAN, self.shown, system)

    def put_into(self, plan: Plan, entry: Entry) -> dict[str, Any]:
        """Put the page into the whole plan.

        Parameters
        ----------
        plan : Mapping
            The plan as stored.
        entry : Entry
            The page as filled in.

        Returns
        -------
        dict
            The new plan.
        """
        made = merged(plan, entry)
        before, after = plan["tanks"][: self.first], plan["tanks"][self.first + _ON_A_PAGE :]
        made["tanks"] = [*before, *made.get("tanks", []), *after]
        return made

    def take(self, entry: Entry, refused: RefusedError) -> None:
        """Put the service's errors beside the fields of this page; those of other pages are named by their tank's row.

        Parameters
        ----------
        entry : Entry
            The form.
        refused : RefusedError
            With pointers into the whole plan.
        """
        for problem in refused.errors:
            parts = problem.pointer.strip("/").split("/")
            row = int(parts[1]) - self.first if len(parts) > 1 and parts[1].isdecimal() else None
            if row is not None and 0 <= row < entry.counts.get("tanks", 0):
                entry.refuse(".".join([parts[0], str(row), *parts[2:]]), problem.message)
            elif row is not None:
                entry.other.append(f"Tank {int(parts[1]) + 1} of the plan: {problem.message}")
            else:
                entry.refuse(".".join(parts), problem.message)
        if not refused.errors:
            entry.other.append(str(refused))


def window_of(plan: Plan, page: int) -> TankWindow:
    """Cut one page out of a plan.

    Parameters
    ----------
    plan : Mapping
        With ``tanks``.
    page : int
        1 for the first; the last one where there are not so many.

    Returns
    -------
    TankWindow
        The page.
    """
    pages = max(1, -(-len(plan["tanks"]) // _ON_A_PAGE))
    at = min(page, pages)
    tanks = plan["tanks"][(at - 1) * _ON_A_PAGE : at * _ON_A_PAGE]
    return TankWindow({**plan, "tanks": tanks}, at, pages)
