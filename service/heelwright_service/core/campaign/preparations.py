"""The ship's work list: generated from the plan, kept in step with it, and nothing ticked is ever lost."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from heelwright_service.core.campaign.dates import due_on
from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.preparation_texts import GENERAL, NOT_NEEDED, TANKS, Wording
from heelwright_service.core.campaign.tank_document import PlannedTank, TankPlan

ItemState = Literal["open", "done", "verified", "waived"]


@dataclass(frozen=True)
class CostOfLeaving:
    """What leaving an item undone does to the lightship: signed changes, the side they push to, words."""

    mass_t: float | None
    vcg_m: float | None
    side: Literal["safe", "unsafe", "neutral"]
    text: str


PriceOf = Callable[[str, PlannedTank | None], CostOfLeaving | None]
"""Prices an item left undone by its kind and tank; None where no model can say."""


@dataclass(frozen=True)
class Preparation:
    """One item of the work list.

    Parameters
    ----------
    key : str
        Stable name: the same work has the same key in every version of the list.
    what, why, verify : str
        What to do, why in one line, and how it will be verified.
    who : str
        Who does it.
    due : str or None
        Until when, ISO 8601; None while the test has no date.
    rule : str
        Identifier of the rule behind it, or "common practice".
    price : CostOfLeaving or None
        What it would cost the result if left.
    state : {"open", "done", "verified", "waived"}
        Where it stands.
    done_by, done_at, remarks : str or None
        Who ticked it, when, and what he found.
    obsolete : bool
        The plan no longer asks for it, but somebody has worked on it.
    added_by : str or None
        Who added it by hand.
    """

    key: str
    what: str
    why: str
    verify: str
    who: str
    due: str | None = None
    rule: str = "common practice"
    price: CostOfLeaving | None = None
    state: ItemState = "open"
    done_by: str | None = None
    done_at: str | None = None
    remarks: str | None = None
    obsolete: bool = False
    added_by: str | None = None

    @property
    def touched(self) -> bool:
        """Whether somebody has ticked, waived, remarked on or added it."""
        return self.state != "open" or self.remarks is not None or self.added_by is not None


def work_list(plan: TestPlan, tanks: TankPlan, price: PriceOf | None = None) -> list[Preparation]:
    """Generate the ship's work list.

    Parameters
    ----------
    plan : TestPlan
        The plan of the test.
    tanks : TankPlan
        The tank plan.
    price : callable, optional
        Prices an item left undone.

    Returns
    -------
    list of Preparation
        Tanks first, in the order of the tank plan.
    """
    items = [item for tank in tanks.tanks for item in _for_tank(tank, plan, price)]
    for system in tanks.systems:
        wording = TANKS["cross-connection" if system.kind == "cross-connection" else "system"]
        items.append(_item(wording, f"system/{system.name}", plan, price, None, name=system.name, state=system.planned))
    if any(each.entry for each in tanks.tanks):
        items.append(_item(TANKS["permit"], "entry-permits", plan, price, None))
    for thing in plan.mobile_things:
        wording, where = GENERAL["mobile"], thing.reading_position
        items.append(_item(wording, f"mobile/{thing.name}", plan, price, None, name=thing.name, state=where))
    for key, wording in GENERAL.items():
        if key != "mobile" and (wording.only is None or wording.only == _crane(plan)):
            items.append(_item(wording, key, plan, price, None))
    return items


def not_needed() -> tuple[str, ...]:
    """Return what the ship need not do, so that nobody works for nothing."""
    return NOT_NEEDED


def merge(old: Sequence[Preparation], generated: Sequence[Preparation]) -> list[Preparation]:
    """Bring a work list into step with a changed plan.

    Parameters
    ----------
    old : sequence of Preparation
        The list as it stands, ticks and remarks included.
    generated : sequence of Preparation
        The list that the plan now asks for.

    Returns
    -------
    list of Preparation
        The generated items with the marks of the old ones of the same key and content; a tick for work that now reads
        otherwise is kept in the remarks and the item is open again. Items that the plan no longer asks for stay,
        marked obsolete, when somebody has touched them.

    Examples
    --------
    >>> done = Preparation("bilges", "Dry the bilges.", "", "", "yard", None, state="done", done_by="Bosun")
    >>> [(each.key, each.obsolete) for each in merge([done], [])]
    [('bilges', True)]
    """
    before = {item.key: item for item in old}
    found = [_carried(item, before.get(item.key)) for item in generated]
    now = {item.key for item in generated}
    left = [item for item in old if item.key not in now and item.touched]
    return found + [item if item.added_by is not None else replace(item, obsolete=True) for item in left]


def open_items(items: Sequence[Preparation]) -> list[Preparation]:
    """Return the items that still have to be worked on."""
    return [item for item in items if item.state == "open" and not item.obsolete]


def overdue(items: Sequence[Preparation], today: str) -> list[Preparation]:
    """Return the open items whose date has passed.

    Parameters
    ----------
    items : sequence of Preparation
        The list.
    today : str
        The day of the question, ISO 8601.

    Returns
    -------
    list of Preparation
        In the order of the list.
    """
    return [item for item in open_items(items) if item.due is not None and item.due < today[:10]]


def _carried(new: Preparation, old: Preparation | None) -> Preparation:
    if old is None:
        return new
    marks = {name: getattr(old, name) for name in ("state", "done_by", "done_at", "remarks", "added_by")}
    if old.what == new.what or old.state == "open":
        return replace(new, **marks)
    note = f"Before the plan changed: “{old.what}” was {old.state}"
    note += f" by {old.done_by}" if old.done_by else ""
    note += f" at {old.done_at}." if old.done_at else "."
    return replace(new, remarks=f"{old.remarks} {note}" if old.remarks else note)


def _for_tank(tank: PlannedTank, plan: TestPlan, price: PriceOf | None) -> list[Preparation]:
    level = f"{tank.sounding_m:.2f} m" if tank.sounding_m is not None else f"{tank.fill_percent or 0.0:.0f} %"
    names = [{"empty": "emptied"}.get(tank.state, tank.state)]
    names += ["gas-free", "access"] if tank.entry else []
    names += ["heated"] if tank.state == "slack" and tank.viscous else []
    names += ["sounded"]
    parts = [(name, TANKS[name]) for name in names]
    key = f"tank/{tank.tank}"
    return [_item(words, f"{key}/{name}", plan, price, tank, name=tank.tank, state=level) for name, words in parts]


def _item(
    wording: Wording, key: str, plan: TestPlan, price: PriceOf | None, tank: PlannedTank | None, **blanks: str
) -> Preparation:
    due = due_on(wording.due, plan.date, plan.order) if plan.date is not None else None
    return Preparation(
        key=key,
        what=wording.what.format(**blanks) if blanks else wording.what,
        why=wording.why,
        verify=wording.verify,
        who=wording.who,
        due=due,
        rule=wording.rule,
        price=None if price is None else price(wording.kind, tank),
    )


def _crane(plan: TestPlan) -> str | None:
    return "crane" if any(each.kind == "crane" for each in plan.mobile_things) else None
