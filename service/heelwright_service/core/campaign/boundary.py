"""The lightship boundary of a vessel: which classes of things count as lightship, by whose decision."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.campaign.judging import status_of
from heelwright_service.core.campaign.survey import SurveyItem
from heelwright_service.core.results import Check
from heelwright_service.core.words import counted, on_day, plain


@dataclass(frozen=True)
class BoundaryDecision:
    """A decision that a class of things counts as lightship or not.

    Parameters
    ----------
    item_class : str
        The class, such as ``fishing-gear`` or ``crew-effects``.
    counts : {"lightship", "load"}
        Which side of the boundary it is on.
    decided_by, decided_on : str
        Who decided and when, ISO 8601.
    quantity : str, optional
        How much of it counts, in words with units.
    reason : str, optional
        Why.
    """

    item_class: str
    counts: Literal["lightship", "load"]
    decided_by: str
    decided_on: str
    quantity: str | None = None
    reason: str | None = None


@dataclass(frozen=True)
class Reclassified:
    """A class whose side has changed: in a drift it is a reclassification, not growth."""

    item_class: str
    before: BoundaryDecision
    after: BoundaryDecision


def in_force(decisions: Sequence[BoundaryDecision], on: str | None = None) -> dict[str, BoundaryDecision]:
    """Return the decision in force for each class.

    Parameters
    ----------
    decisions : sequence of BoundaryDecision
        All that were made.
    on : str, optional
        Day of the question, ISO 8601; later decisions do not count.

    Returns
    -------
    dict of str to BoundaryDecision
        The latest of each class; of two of one day the one entered later.
    """
    found: dict[str, BoundaryDecision] = {}
    for each in sorted(decisions, key=lambda decision: decision.decided_on[:10]):
        if on is None or each.decided_on[:10] <= on[:10]:
            found[each.item_class] = each
    return found


def reclassified(decisions: Sequence[BoundaryDecision], since: str, until: str) -> list[Reclassified]:
    """Return the classes that changed sides between two days.

    Parameters
    ----------
    decisions : sequence of BoundaryDecision
        All that were made.
    since, until : str
        The days, ISO 8601.

    Returns
    -------
    list of Reclassified
        By class.
    """
    before, after = in_force(decisions, since), in_force(decisions, until)
    changed = [name for name in sorted(before) if before[name].counts != after[name].counts]
    return [Reclassified(name, before[name], after[name]) for name in changed]


def check_boundary(
    items: Sequence[SurveyItem], decisions: Sequence[BoundaryDecision], on: str | None = None
) -> list[Check]:
    """Hold a survey against the register.

    Parameters
    ----------
    items : sequence of SurveyItem
        The rows that stand.
    decisions : sequence of BoundaryDecision
        The register.
    on : str, optional
        Day of the survey, ISO 8601.

    Returns
    -------
    list of Check
        RR-24, one for each class on the wrong side or without a decision, or one that all is in order.
    """
    register = in_force(decisions, on)
    checks = []
    for item in items:
        if item.item_class is None:
            continue
        decision, what = register.get(item.item_class), plain(item.item_class)
        if decision is None:
            text = f"“{item.description}”: nobody has decided whether {what} counts as lightship."
        elif decision.counts == "lightship" and item.kind == "surplus":
            text = f"“{item.description}” is listed as surplus, but {what} is lightship ({_by(decision)})."
        elif decision.counts == "load" and item.kind != "surplus":
            text = f"“{item.description}” is listed as {item.kind}, but {what} is load ({_by(decision)})."
        else:
            continue
        checks.append(_finding(text, False))
    return checks or [_no_contradiction(sum(item.item_class is not None for item in items), len(register))]


def _no_contradiction(classed: int, decisions: int) -> Check:
    if not decisions:
        text = "Nobody has decided where this vessel's lightship ends (crew effects, spares, nets, pool water, gear)."
        return _finding(f"{text} Enter the decisions in her boundary register.", False)
    if not classed:
        return _finding(f"No item is classed; the boundary register has {counted(decisions, 'decision')}.", True)
    agreed = f"{counted(classed, 'classed item')} {'agrees' if classed == 1 else 'agree'}"
    text = f"{agreed} with the boundary register of {counted(decisions, 'decision')}."
    return _finding(text, True)


def _finding(text: str, ok: bool) -> Check:
    return Check("RR-24", text, status_of(ok, may_fail=False), None, None, "common practice: the boundary is stated")


def _by(decision: BoundaryDecision) -> str:
    return f"decided by {decision.decided_by} on {on_day(decision.decided_on)}"
