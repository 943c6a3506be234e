"""What a rule of planning, conduct or reduction is: figures with their unit, source and confidence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from heelwright_service.core.rules.definitions import CONFIDENCE_WORDS, ENFORCEABLE, Confidence

Severity = Literal["block", "warn", "info"]


@dataclass(frozen=True)
class TestRule:
    """One rule of how a test is planned, made or reduced.

    Parameters
    ----------
    id : str
        Identifier, the same in the procedure, the work list and the report.
    text : str
        What it asks, in one sentence with the figures.
    source : str
        Public document and paragraph, "office default" or "common practice".
    confidence : str
        F, F2, MH may fail a test; MM, ML, EP only advise.
    values : mapping of str to float
        The figures by name; each name ends in its unit.
    severity : {"block", "warn", "info"}
        Whether breaking it blocks approval without a recorded waiver.
    """

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    id: str
    text: str
    source: str
    confidence: Confidence
    values: Mapping[str, float] = field(default_factory=dict)
    severity: Severity = "warn"

    def __getitem__(self, name: str) -> float:
        """Return one figure by name, such as ``rule["maximum_deg"]``."""
        return self.values[name]

    @property
    def may_fail(self) -> bool:
        """Whether the rule may fail a test; otherwise breaking it is a warning."""
        return self.severity == "block" and self.confidence in ENFORCEABLE

    @property
    def cited_source(self) -> str:
        """The source with its confidence in words where the wording was not seen."""
        if self.confidence in ("F", "EP"):
            return self.source
        return f"{self.source} ({CONFIDENCE_WORDS[self.confidence]})"


def with_values(rule: TestRule, text: str, source: str, **values: float) -> TestRule:
    """Return a rule with other figures, text and source, for a profile.

    Parameters
    ----------
    rule : TestRule
        The general rule.
    text, source : str
        What the profile asks, and where.
    **values : float
        The figures that differ.

    Returns
    -------
    TestRule
        The profile's rule, marked as seen (F).
    """
    return replace(rule, text=text, source=source, confidence="F", values={**rule.values, **values})
