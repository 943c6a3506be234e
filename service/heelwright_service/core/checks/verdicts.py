"""How a check and a caution are written: one rule, what was found, what is allowed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.results import Check
from heelwright_service.core.rules import TestRule
from heelwright_service.core.words import SAME_SHARE

Side = Literal["safe", "unsafe"]


@dataclass(frozen=True)
class Caution:
    """A sentence that no rule decides, with the side to which neglecting it pushes the result."""

    text: str
    side: Side | None = None

    @property
    def sentence(self) -> str:
        """The text, with its side said first."""
        if self.side is not None:
            return f"{self.side.capitalize()} side: {self.text}"
        return self.text[:1].upper() + self.text[1:]


def judged(
    rule: TestRule,
    kept: bool,
    text: str,
    value: float | None,
    limit: float | None,
    side: Side | None = None,
    aspect: str = "",
) -> Check:
    """Write a check that was made.

    Parameters
    ----------
    rule : TestRule
        The rule; one from memory of low confidence, or an office default, never fails a test.
    kept : bool
        Whether it is kept.
    text : str
        What was found and what is allowed, with units.
    value, limit : float or None
        The same two as figures.
    side : {"safe", "unsafe"}, optional
        Where breaking it pushes the result.
    aspect : str
        Appended to the rule's identifier where it judges several things.

    Returns
    -------
    Check
        Pass; else fail where the rule may fail a test, and a warning where not.
    """
    broken: Literal["fail", "warn"] = "fail" if rule.may_fail else "warn"
    return Check(rule.id + aspect, text, "pass" if kept else broken, value, limit, rule.cited_source, side)


def unassessed(rule: TestRule, why: str, side: Side | None = None, aspect: str = "") -> Check:
    """Write a check that could not be made; it is never left out.

    Parameters
    ----------
    rule : TestRule
        The rule.
    why : str
        What is missing, a whole sentence.
    side, aspect
        As in `judged`.

    Returns
    -------
    Check
        Not assessed, with what the rule asks.
    """
    text = f"{why} Asked: {rule.text}"
    return Check(rule.id + aspect, text, "not-assessed", None, None, rule.cited_source, side)


def at_most(value: float, limit: float) -> bool:
    """Whether a figure keeps an upper limit; equal keeps it.

    Parameters
    ----------
    value, limit : float
        The two, in one unit.

    Returns
    -------
    bool
        True when it does.
    """
    return value <= limit + SAME_SHARE * max(abs(limit), 1.0)


def at_least(value: float, limit: float) -> bool:
    """Whether a figure keeps a lower limit; equal keeps it.

    Parameters
    ----------
    value, limit : float
        The two, in one unit.

    Returns
    -------
    bool
        True when it does.
    """
    return at_most(limit, value)
