"""What a rule set is made of: plain data that names its source, its limit and how sure we are of it.

Axes: x metres forward of the aft perpendicular, y metres to starboard, z metres above the moulded baseline.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

Confidence = Literal["F", "F2", "MH", "MM", "ML", "EP"]
CONFIDENCE_WORDS: Mapping[Confidence, str] = {
    "F": "wording seen in a copy of the document",
    "F2": "figure seen in a secondary source that names the document",
    "MH": "from memory, high confidence",
    "MM": "from memory, medium confidence",
    "ML": "from memory, low confidence",
    "EP": "office default, no standard behind it",
}
ENFORCEABLE: frozenset[Confidence] = frozenset({"F", "F2", "MH"})

Quantity = Literal["mass_t", "lcg_m", "tcg_m", "vcg_m", "aggregate_t", "gm_m"]
Stage = Literal["survey", "alterations", "survey-against-calculation", "sister", "prediction"]
Comparison = Literal["exceeds", "reaches"]
Direction = Literal["absolute", "rise", "fall"]
LengthBasis = Literal["L", "Ls", "LBP"]
Action = Literal["re-incline", "survey", "amend", "adopt", "record", "none"]
Kind = Literal["passenger", "cargo", "fishing", "towing", "offshore-unit", "high-speed-craft", "inland"]


@dataclass(frozen=True)
class RuleVessel:
    """The facts about a vessel that decide which rules apply and how large their limits are.

    Parameters
    ----------
    kind : str
        What she is, in trade words ("passenger", "cargo", "fishing", "tug").
    length_m : float
        Length L of the load-line rules [m].
    keel_laid : str, optional
        Date of keel laying, ISO 8601.
    length_bp_m, subdivision_length_m, breadth_m, depth_m : float, optional
        Length between perpendiculars, subdivision length Ls, moulded breadth and depth [m].
    top_z_m : float, optional
        Height above baseline of the highest part that can carry weight [m].
    aft_x_m, forward_x_m : float, optional
        Ends of the vessel, forward of the aft perpendicular [m].
    operating_displacement_t : float, optional
        Operating displacement of an offshore unit [t].
    column_stabilized : bool, optional
        Whether an offshore unit is column-stabilized.
    """

    kind: str
    length_m: float
    keel_laid: str | None = None
    length_bp_m: float | None = None
    subdivision_length_m: float | None = None
    breadth_m: float | None = None
    depth_m: float | None = None
    top_z_m: float | None = None
    aft_x_m: float | None = None
    forward_x_m: float | None = None
    operating_displacement_t: float | None = None
    column_stabilized: bool | None = None


@dataclass(frozen=True)
class Baseline:
    """The approved values that a deviation is compared with, in tonnes and metres; None is unknown, never zero."""

    mass_t: float
    vcg_m: float | None = None
    gm_m: float | None = None


@dataclass(frozen=True)
class Deviation:
    """A signed deviation from the baseline with its standard uncertainty, both in the unit of the quantity."""

    quantity: Quantity
    value: float
    standard: float = 0.0


class Limit(Protocol):
    """A limit formula: how large a deviation is allowed, in the unit of the quantity."""

    def amount(self, baseline: Baseline, vessel: RuleVessel) -> float | None:
        """Return the limit in tonnes or metres, or None where a figure it needs is not known."""

    def words(self) -> str:
        """Return the limit in words for people."""


@dataclass(frozen=True)
class Applicability:
    """Which vessels a rule is for; an empty field does not restrict."""

    kinds: frozenset[Kind] = frozenset()
    from_length_m: float | None = None
    above_length_m: float | None = None
    below_length_m: float | None = None
    up_to_length_m: float | None = None
    column_stabilized: bool | None = None


@dataclass(frozen=True)
class DeviationRule:
    """One limit on a deviation.

    Parameters
    ----------
    id : str
        Identifier of the rule, the same in every document.
    text : str
        What it asks, in one sentence.
    quantity : str
        Which deviation it limits; the name ends in the unit.
    limit : Limit
        Formula of the limit.
    stages : tuple of str
        What may be judged by it: a survey, calculated alterations, a survey against the calculation, a sister, a
        prediction.
    consequence : str
        The action due when the limit is passed.
    source : str
        Public document and paragraph.
    confidence : str
        F, F2, MH may fail; MM, ML, EP only advise.
    comparison : {"exceeds", "reaches"}
        Whether a deviation equal to the limit still passes ("exceeds") or fails ("reaches").
    direction : {"absolute", "rise", "fall"}
        Which deviations count.
    reference : {"baseline", "original"}
        Compared with the latest approved inclining test, or with the first.
    """

    id: str
    text: str
    quantity: Quantity
    limit: Limit
    stages: tuple[Stage, ...]
    consequence: Action
    source: str
    confidence: Confidence
    comparison: Comparison = "exceeds"
    direction: Direction = "absolute"
    applies: Applicability = field(default_factory=Applicability)
    reference: Literal["baseline", "original"] = "baseline"

    @property
    def enforceable(self) -> bool:
        """Whether the rule may fail a vessel; otherwise it only advises."""
        return self.confidence in ENFORCEABLE


@dataclass(frozen=True)
class CalendarRule:
    """A survey or test that falls due a number of years after the last event that counts."""

    id: str
    text: str
    due: Literal["lightweight-survey", "inclining-test"]
    interval_years: int
    counted_from: tuple[str, ...]
    source: str
    confidence: Confidence
    applies: Applicability = field(default_factory=Applicability)


@dataclass(frozen=True)
class EarlyWarning:
    """Office thresholds for amber and red, beside the regulatory verdict and never in place of it."""

    amber_fraction_of_limit: float = 0.5
    amber_probability: float = 0.05
    red_probability: float = 0.5
    rule: str = "D-29"
    source: str = "office default"
    confidence: Confidence = "EP"


@dataclass(frozen=True)
class RuleSet:
    """A named edition of deviation limits and due dates.

    Parameters
    ----------
    id, name, edition : str
        Stable identifier, name for people, and which text is meant.
    rules : tuple of DeviationRule
        The limits.
    calendar : tuple of CalendarRule
        The due dates.
    actions_within : mapping of stage to action
        What is done when every limit of that stage is kept.
    early_warning : EarlyWarning
        Office thresholds shown beside the verdicts.
    notes : tuple of str
        What a reader must know before relying on the set.
    """

    id: str
    name: str
    edition: str
    rules: tuple[DeviationRule, ...] = ()
    calendar: tuple[CalendarRule, ...] = ()
    actions_within: Mapping[Stage, Action] = field(default_factory=dict)
    early_warning: EarlyWarning = field(default_factory=EarlyWarning)
    notes: tuple[str, ...] = ()
