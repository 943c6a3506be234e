"""What the review of a result looks at, and how its findings are answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from heelwright_service.core.campaign.boundary import BoundaryDecision
from heelwright_service.core.campaign.judging import status_of
from heelwright_service.core.campaign.plan_document import Attachment, DraughtPlan, Purpose
from heelwright_service.core.campaign.stages import TestKind
from heelwright_service.core.campaign.survey import SurveyItem
from heelwright_service.core.record import TestRecord
from heelwright_service.core.results import Check
from heelwright_service.core.test_result import TestResult


@dataclass(frozen=True)
class SettledDeviation:
    """A departure from the procedure: its price in words, who accepted it, and whether the witness did.

    One that an imported file tells of is marked so: who accepted it there is a statement of the file.
    """

    text: str
    price: str | None = None
    accepted_by: str | None = None
    witness: str | None = None
    by_file: bool = False


@dataclass(frozen=True)
class Signature:
    """Somebody who initialled the data: role, name, time."""

    role: str
    name: str
    at: str


@dataclass(frozen=True)
class Statements:
    """What the report states besides the figures.

    Parameters
    ----------
    permanent_ballast : str, optional
        Its description, or that there is none.
    comparison : str, optional
        Why the result differs from the estimate or the last test, with the largest causes.
    vcg_reason : str, optional
        Where the adopted VCG comes from when it was not measured.
    lead_ship : str, optional
        For a sister: the lead ship, the differences, why values were adopted.
    instruments : str, optional
        What was found where instruments disagree.
    """

    permanent_ballast: str | None = None
    comparison: str | None = None
    vcg_reason: str | None = None
    lead_ship: str | None = None
    instruments: str | None = None


@dataclass(frozen=True)
class Expectation:
    """The lightship that was expected from the last test and the alterations logged since.

    Parameters
    ----------
    mass_t, lcg_m, vcg_m : float
        Mass [t] and centre [m].
    lcg_standard_m, mass_standard_t : float
        Standard uncertainties, of the last test and of the log together [m, t].
    alterations : int
        How many logged alterations are in it.
    """

    mass_t: float
    lcg_m: float
    lcg_standard_m: float = 0.0
    vcg_m: float | None = None
    mass_standard_t: float = 0.0
    alterations: int = 0


@dataclass(frozen=True)
class ReviewInputs:
    """A result with everything that a reviewer asks about it; who signed elsewhere is told by an imported file."""

    kind: TestKind
    record: TestRecord
    result: TestResult
    purpose: Purpose = "other"
    deviations: Sequence[SettledDeviation] = ()
    signatures: Sequence[Signature] = ()
    attachments: Sequence[Attachment] = ()
    draught_plan: DraughtPlan = field(default_factory=DraughtPlan)
    items: Sequence[SurveyItem] = ()
    decisions: Sequence[BoundaryDecision] = ()
    statements: Statements = field(default_factory=Statements)
    expectation: Expectation | None = None
    signed_there: Sequence[Signature] = ()


@dataclass(frozen=True)
class Answer:
    """An answer to a finding, by name."""

    finding: str
    text: str
    by: str


REVIEWERS = "common practice of plan reviewers"


def finding(
    rule: str,
    ok: bool | None,
    good: str,
    bad: str,
    *,
    fails: bool = False,
    source: str = REVIEWERS,
    value: float | None = None,
    limit: float | None = None,
    side: str | None = None,
) -> Check:
    """Make a finding of the review.

    Parameters
    ----------
    rule : str
        Its identifier.
    ok : bool or None
        The outcome; None where the data for it are absent.
    good, bad : str
        The sentence for either outcome.
    fails : bool
        Whether it fails rather than warns.
    source : str
        Public source.
    value, limit : float, optional
        What was found and what is allowed, in the unit that the sentence names.
    side : {"safe", "unsafe"}, optional
        Which way it pushes the result.

    Returns
    -------
    Check
        The finding.
    """
    return Check(rule, good if ok else bad, status_of(ok, fails), value, limit, source, None if ok else side)


def unanswered(findings: Sequence[Check], answers: Sequence[Answer]) -> list[Check]:
    """Return the findings that do not pass and that nobody has answered.

    Parameters
    ----------
    findings : sequence of Check
        The review.
    answers : sequence of Answer
        Answers by name; one without text or name does not count.

    Returns
    -------
    list of Check
        In the order of the review. A finding that could not be assessed wants an answer too.
    """
    answered = {each.finding for each in answers if each.text.strip() and each.by.strip()}
    return [each for each in findings if each.status != "pass" and each.id not in answered]
