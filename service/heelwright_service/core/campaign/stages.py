"""The stages of a test, which follow which, and the evidence that each of them needs.

The main line runs from planned to approved; survey day and test day change places where the test is made first. What a
stage needs is data: one requirement a row, met by one field of the evidence.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal, get_args

from heelwright_service.core.errors import CoreError

Stage = Literal[
    "planned",
    "procedure-issued",
    "preparing",
    "advisory-survey",
    "survey-day",
    "test-day",
    "preliminary-result",
    "under-review",
    "approved",
    "postponed",
    "abandoned",
    "superseded",
]
STAGES: tuple[Stage, ...] = get_args(Stage)
TestKind = Literal["inclining-test", "lightweight-survey"]
Order = Literal["survey-first", "test-first"]
Origin = Literal["conducted", "entered-record"]

BOTH: tuple[TestKind, ...] = ("inclining-test", "lightweight-survey")
INCLINING: tuple[TestKind, ...] = ("inclining-test",)
CONDUCTED: tuple[Origin, ...] = ("conducted",)
ENTERED: tuple[Origin, ...] = ("entered-record",)
ANY_ORIGIN: tuple[Origin, ...] = ("conducted", "entered-record")

END_STAGES: frozenset[Stage] = frozenset({"abandoned", "superseded"})
FROZEN_STAGES: frozenset[Stage] = frozenset({"approved", "superseded", "abandoned"})
_BEFORE_RESULT: tuple[Stage, ...] = (
    "planned",
    "procedure-issued",
    "preparing",
    "advisory-survey",
    "survey-day",
    "test-day",
)


@dataclass(frozen=True)
class Evidence:
    """What is known about a test, each field a yes or no that a requirement can ask for.

    Parameters
    ----------
    kind, order, origin : str
        What is tested, which day comes first, and whether the test is conducted here or entered as a finished record.
    """

    kind: TestKind = "inclining-test"
    order: Order = "survey-first"
    origin: Origin = "conducted"
    date_and_place_set: bool = False
    vessel_described: bool = False
    model_accepted: bool = False
    weight_plan_made: bool = False
    tank_plan_made: bool = False
    person_in_charge_named: bool = False
    procedure_review_clear: bool = False
    work_list_made: bool = False
    advisory_survey_closed: bool = False
    ready_to_start: bool = False
    survey_closed: bool = False
    water_sampled: bool = False
    draughts_read: bool = False
    tanks_sounded: bool = False
    readings_taken: bool = False
    reservations_signed: bool = False
    deviations_settled: bool = False
    test_day_closed: bool = False
    day_set_anew: bool = True
    record_source_named: bool = False
    result_computed: bool = False
    result_matches_record: bool = False
    review_answered: bool = False
    approver_is_independent: bool = False
    reason_given: bool = False
    successor_named: bool = False


@dataclass(frozen=True)
class Requirement:
    """One thing that has to be there before a stage is entered.

    Parameters
    ----------
    stage : str
        The stage.
    field : str
        The field of the evidence that meets it.
    text, mend : str
        What is asked, and how to bring it about.
    kinds, origins : tuple of str
        Tests that it concerns.
    """

    stage: Stage
    field: str
    text: str
    mend: str
    kinds: tuple[TestKind, ...] = BOTH
    origins: tuple[Origin, ...] = CONDUCTED


@dataclass(frozen=True)
class Missing:
    """A requirement that is not met: which stage asks it, what, and how to mend it."""

    stage: Stage
    requirement: str
    text: str
    mend: str


REQUIREMENTS: tuple[Requirement, ...] = (
    Requirement("procedure-issued", "date_and_place_set", "The date and the place are settled.",
                "Put them into the plan."),
    Requirement("procedure-issued", "vessel_described", "A hull form or hydrostatic table, marks and tanks are stored.",
                "Store them with the vessel."),
    Requirement("procedure-issued", "model_accepted", "The hydrostatic model is accepted by a named checker.",
                "Enter the acceptance in the plan, or a waiver with name and reason."),
    Requirement("procedure-issued", "weight_plan_made", "The weights and their moves are planned.",
                "Put a weight plan into the plan.", INCLINING),
    Requirement("procedure-issued", "tank_plan_made", "Every tank and void has a planned state.",
                "Store the tank plan."),
    Requirement("procedure-issued", "person_in_charge_named", "One person is in full charge.",
                "Name him or her among the persons of the plan."),
    Requirement("procedure-issued", "procedure_review_clear", "No failed check of the procedure stands open.",
                "Mend what the review names, or record a waiver with name and reason."),
    Requirement("preparing", "work_list_made", "The ship's work list is generated from the plan.",
                "Generate the preparations."),
    Requirement("preparing", "day_set_anew", "A new day is set in place of the one that was broken off.",
                "Put the new date into the plan: what was read on the old day stays there, and counts no more."),
    Requirement("survey-day", "advisory_survey_closed", "The advisory survey is done, or waived by name with a reason.",
                "Close the advisory survey, or record a waiver."),
    Requirement("test-day", "ready_to_start", "Nothing blocks the start.",
                "Ask for the readiness and work off its blocking points.", INCLINING),
    Requirement("preliminary-result", "survey_closed", "The survey is closed by a named person.",
                "Close the survey of surplus, missing and misplaced items."),
    Requirement("preliminary-result", "water_sampled", "The density of the water is sampled.",
                "Enter a water sample.", BOTH, ANY_ORIGIN),
    Requirement("preliminary-result", "draughts_read", "Draughts or freeboards are read.",
                "Enter draughts or freeboards.", BOTH, ANY_ORIGIN),
    Requirement("preliminary-result", "tanks_sounded", "Every tank and void is sounded with evidence that counts.",
                "Enter soundings; a state that is only assumed does not count."),
    Requirement("preliminary-result", "readings_taken", "The inclinations are read.",
                "Enter states and readings.", INCLINING, ANY_ORIGIN),
    Requirement("preliminary-result", "reservations_signed", "The reservations are signed, an empty list too.",
                "Sign the reservations."),
    Requirement("preliminary-result", "deviations_settled", "Every deviation is accepted or mended by a named person.",
                "Settle the open deviations."),
    Requirement("preliminary-result", "test_day_closed", "The taking of data is closed by a named person.",
                "Close the test day."),
    Requirement("preliminary-result", "record_source_named", "The source of the entered record is named.",
                "Say which document the record was entered from, and who entered it.", BOTH, ENTERED),
    Requirement("preliminary-result", "result_computed", "A result is computed.", "Reduce the test.", BOTH, ANY_ORIGIN),
    Requirement("under-review", "result_matches_record", "The result belongs to the record as it stands.",
                "Reduce the test again: the record has changed since.", BOTH, ANY_ORIGIN),
    Requirement("approved", "review_answered", "Every finding of the review that is not passed is answered by name.",
                "Answer the open findings.", BOTH, ANY_ORIGIN),
    Requirement("approved", "approver_is_independent", "The approver recorded nothing in this test.",
                "Let a second person approve.", BOTH, ANY_ORIGIN),
    Requirement("postponed", "reason_given", "The reason is given.", "Give the reason.", BOTH, ANY_ORIGIN),
    Requirement("abandoned", "reason_given", "The reason is given.", "Give the reason.", BOTH, ANY_ORIGIN),
    Requirement("superseded", "successor_named", "The test that takes its place is named.",
                "Approve another test that names this one.", BOTH, ANY_ORIGIN),
)  # fmt: skip


def main_line(kind: TestKind, order: Order = "survey-first", origin: Origin = "conducted") -> tuple[Stage, ...]:
    """Return the stages from planned to approved in their order.

    Parameters
    ----------
    kind : str
        An inclining test, or a lightweight survey: that has no test day of its own.
    order : str
        Which of survey and test comes first.
    origin : str
        A record that is entered finished goes from planned straight to its result.

    Returns
    -------
    tuple of str
        The stages.

    Examples
    --------
    >>> main_line("lightweight-survey")[4:6]
    ('survey-day', 'preliminary-result')
    """
    end: tuple[Stage, ...] = ("preliminary-result", "under-review", "approved")
    if origin == "entered-record":
        return ("planned", *end)
    days: tuple[Stage, ...] = ("survey-day", "test-day") if order == "survey-first" else ("test-day", "survey-day")
    if kind == "lightweight-survey":
        days = ("survey-day",)
    return ("planned", "procedure-issued", "preparing", "advisory-survey", *days, *end)


def following(stage: Stage, evidence: Evidence) -> tuple[Stage, ...]:
    """Return the stages that may follow a stage, whether or not their evidence is there.

    Parameters
    ----------
    stage : str
        Where the test is.
    evidence : Evidence
        Which kind of test it is, in which order, of which origin.

    Returns
    -------
    tuple of str
        The next stage of the main line first.

    Examples
    --------
    >>> following("approved", Evidence())
    ('superseded',)
    """
    if stage in END_STAGES:
        return ()
    if stage == "approved":
        return ("superseded",)
    if stage == "postponed":
        return ("planned", "preparing", "abandoned")
    line = main_line(evidence.kind, evidence.order, evidence.origin)
    ahead: tuple[Stage, ...] = line[line.index(stage) + 1 :][:1] if stage in line else ()
    back: tuple[Stage, ...] = ("preliminary-result",) if stage == "under-review" else ()
    skip: tuple[Stage, ...] = line[4:5] if stage == "preparing" else ()
    put_off: tuple[Stage, ...] = ("postponed",) if stage in _BEFORE_RESULT else ()
    return (*ahead, *skip, *back, *put_off, "abandoned")


def missing_for(stage: Stage, evidence: Evidence) -> list[Missing]:
    """Return what still has to be there before a stage is entered.

    Parameters
    ----------
    stage : str
        The stage.
    evidence : Evidence
        What there is.

    Returns
    -------
    list of Missing
        Of this stage and of all before it on the main line: nothing is forgotten by skipping a stage.

    Examples
    --------
    >>> [each.requirement for each in missing_for("abandoned", Evidence())]
    ['reason_given']
    """
    line = main_line(evidence.kind, evidence.order, evidence.origin)
    asked = set(line[: line.index(stage) + 1]) if stage in line else {stage}
    return [
        Missing(each.stage, each.field, each.text, each.mend)
        for each in REQUIREMENTS
        if each.stage in asked
        and evidence.kind in each.kinds
        and evidence.origin in each.origins
        and not getattr(evidence, each.field)
    ]


def advance(stage: Stage, to: Stage, evidence: Evidence) -> Stage:
    """Return the new stage, or refuse the step.

    Parameters
    ----------
    stage, to : str
        Where the test is, and where it shall go.
    evidence : Evidence
        What there is.

    Returns
    -------
    str
        The new stage.

    Raises
    ------
    CoreError
        ``stage-not-next`` when the stage does not follow, ``stage-evidence-missing`` when evidence lacks.
    """
    allowed = following(stage, evidence)
    if to not in allowed:
        after = ", ".join(allowed) or "nothing: this stage is final"
        message = f"From {stage} a test cannot go to {to}; after {stage} comes {after}."
        raise CoreError("stage-not-next", message, "/stage")
    lacking = missing_for(to, evidence)
    if lacking:
        what = " ".join(f"{each.text} {each.mend}" for each in lacking)
        raise CoreError("stage-evidence-missing", f"Before {to} this is still needed: {what}", "/stage")
    return to


def evidence_fields() -> tuple[str, ...]:
    """Return the names of the yes-or-no fields of the evidence."""
    return tuple(each.name for each in fields(Evidence) if each.name not in ("kind", "order", "origin"))
