"""Where a test stands on its line, and the pages for the jobs of each stage."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heelwright_client.test_words import STAGE_WORDS, line_of


@dataclass(frozen=True)
class Mark:
    """One mark of the line: its words, and whether the test is past it, at it, or not there yet."""

    stage: str
    words: str
    place: str


@dataclass(frozen=True)
class Job:
    """A page for a job, what it is for, and whether it is the job of the stage."""

    endpoint: str
    words: str
    purpose: str
    now: bool


def stage_line(test: Mapping[str, Any]) -> list[Mark]:
    """Lay out the stages of a test.

    Parameters
    ----------
    test : Mapping
        As the service gives it.

    Returns
    -------
    list of Mark
        In their order; a test that left the line stands at a mark of its own.
    """
    stages = line_of(test["kind"], test["order"], test["origin"])
    if test["stage"] not in stages:
        marks = [Mark(stage, STAGE_WORDS[stage], "ahead") for stage in stages]
        return [*marks, Mark(test["stage"], STAGE_WORDS[test["stage"]], "here")]
    at = stages.index(test["stage"])
    places = ["past"] * at + ["here"] + ["ahead"] * (len(stages) - at - 1)
    return [Mark(stage, STAGE_WORDS[stage], place) for stage, place in zip(stages, places, strict=True)]


_JOBS = (
    ("test_plan.show", "Plan", "date, place, people, weights, limits; what reviewers would send back", ("planned",)),
    ("test_plan.tanks", "Tank plan", "every tank and void with the state it shall be in", ("planned",)),
    ("ship.show", "Tanks and preparations", "the ship's page: answer tank by tank, work the list",
     ("procedure-issued", "preparing")),
    ("survey.show", "Survey day", "surplus, missing and misplaced items against their limits",
     ("advisory-survey", "survey-day")),
    ("test_day.set_up", "Before the first move", "can we start: water, draughts, soundings, weather, weights",
     ("survey-day",)),
    ("test_day.show", "Test day", "one state at a time, with the plot and GM after each", ("test-day",)),
    ("reservations.show", "Reservations and signatures", "what the witnesses do not vouch for, and who has signed",
     ("test-day",)),
    ("test_day.deviations", "Price of a deviation", "what a departure does to mass and VCG, and who accepts it",
     ("test-day",)),
    ("record_entry.show", "Record", "the whole test as one file: take it out; of a finished test, put it in",
     ()),
    ("test_result.show", "Result", "lightship by both methods, with its uncertainty and every check",
     ("preliminary-result",)),
    ("sailing.put_back", "To be put back", "what was opened, shut or moved for the test", ("preliminary-result",)),
    ("sailing.interim", "Interim operating condition", "what she keeps to until the result is approved",
     ("preliminary-result",)),
    ("test_result.review", "Review and approval", "findings and answers by name; a second person approves",
     ("under-review",)),
)  # fmt: skip
_OF_ENTERED = ("test_result", "record_entry", "sailing.interim")
_INCLINING_ONLY = ("test_day.show",)


def jobs_of(test: Mapping[str, Any]) -> list[Job]:
    """List the pages of a test.

    Parameters
    ----------
    test : Mapping
        As the service gives it.

    Returns
    -------
    list of Job
        Those that concern its kind.
    """
    entered = test["origin"] == "entered-record"
    return [
        Job(endpoint, words, purpose, test["stage"] in stages)
        for endpoint, words, purpose, stages in _JOBS
        if not (endpoint in _INCLINING_ONLY and test["kind"] != "inclining-test")
        and not (entered and not endpoint.startswith(_OF_ENTERED))
    ]
