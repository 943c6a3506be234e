"""What every judgement of a plan, a test or a drift looks like: one rule, what was found, what is allowed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["pass", "warn", "fail", "not-assessed"]


@dataclass(frozen=True)
class Check:
    """One rule applied once: never hidden, whatever its outcome.

    Parameters
    ----------
    id : str
        The rule's identifier, such as ``W-01``.
    text : str
        One sentence for people, with the figures in words and units.
    status : {"pass", "warn", "fail", "not-assessed"}
        The outcome; ``not-assessed`` where the data for it are absent.
    value : float or None
        What was found, in the unit that the text names.
    limit : float or None
        What is allowed, in the same unit.
    source : str
        The public source with its paragraph, or "office default" or "common practice".
    side : {"safe", "unsafe"} or None
        Whether breaking the rule makes the ship look less (safe) or more (unsafe) stable than she is.
    """

    id: str
    text: str
    status: Status
    value: float | None
    limit: float | None
    source: str
    side: str | None = None
