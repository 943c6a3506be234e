"""The stages of a test: no way leads to approved without its evidence."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.stages import (
    REQUIREMENTS,
    Evidence,
    Stage,
    advance,
    evidence_fields,
    following,
    main_line,
    missing_for,
)
from heelwright_service.core.errors import CoreError
from hypothesis import given
from hypothesis import strategies as st

FULL = Evidence(**dict.fromkeys(evidence_fields(), True))
KINDS = st.sampled_from(["inclining-test", "lightweight-survey"])
ORDERS = st.sampled_from(["survey-first", "test-first"])
ORIGINS = st.sampled_from(["conducted", "entered-record"])


@st.composite
def evidences(draw: st.DrawFn) -> Evidence:
    values = {name: draw(st.booleans()) for name in evidence_fields()}
    return Evidence(kind=draw(KINDS), order=draw(ORDERS), origin=draw(ORIGINS), **values)


def test_every_requirement_asks_for_a_field_that_exists() -> None:
    assert {each.field for each in REQUIREMENTS} <= set(evidence_fields())


@given(KINDS, ORDERS, ORIGINS)
def test_a_test_with_all_its_evidence_walks_the_main_line_to_approved(kind: str, order: str, origin: str) -> None:
    evidence = replace(FULL, kind=kind, order=order, origin=origin)
    line = main_line(evidence.kind, evidence.order, evidence.origin)
    stage: Stage = "planned"
    for to in line[1:]:
        stage = advance(stage, to, evidence)
    assert stage == "approved"


@given(st.lists(st.tuples(st.integers(0, 5), evidences()), max_size=25))
def test_no_sequence_of_steps_reaches_approved_without_the_evidence(steps: list[tuple[int, Evidence]]) -> None:
    stage: Stage = "planned"
    for pick, evidence in steps:
        options = following(stage, evidence)
        if not options:
            break
        try:
            reached = advance(stage, options[pick % len(options)], evidence)
        except CoreError:
            continue
        if reached == "approved":
            asked = [
                each.field
                for each in REQUIREMENTS
                if each.stage not in ("postponed", "abandoned", "superseded")
                and evidence.kind in each.kinds
                and evidence.origin in each.origins
                and each.stage in main_line(evidence.kind, evidence.order, evidence.origin)
            ]
            assert all(getattr(evidence, name) for name in asked)
        stage = reached


@pytest.mark.parametrize("field", ["approver_is_independent", "result_computed", "readings_taken", "draughts_read"])
def test_one_missing_piece_keeps_a_test_from_being_approved(field: str) -> None:
    with pytest.raises(CoreError) as refused:
        advance("under-review", "approved", replace(FULL, **{field: False}))
    assert refused.value.code == "stage-evidence-missing"


def test_a_stage_cannot_be_jumped_over() -> None:
    with pytest.raises(CoreError) as refused:
        advance("planned", "approved", FULL)
    assert refused.value.code == "stage-not-next"
    assert "procedure-issued" in refused.value.message


def test_a_lightweight_survey_asks_for_no_readings_of_heel() -> None:
    survey = replace(FULL, kind="lightweight-survey", readings_taken=False, weight_plan_made=False)
    assert missing_for("approved", survey) == []


def test_a_day_that_was_broken_off_needs_a_new_date() -> None:
    assert missing_for("postponed", FULL) == []
    missing = missing_for("preparing", replace(FULL, day_set_anew=False))
    assert [each.requirement for each in missing] == ["day_set_anew"]


def test_test_first_does_not_wait_for_the_survey() -> None:
    started = replace(FULL, order="test-first", survey_closed=False)
    assert missing_for("test-day", started) == []
    assert "survey_closed" in [each.requirement for each in missing_for("preliminary-result", started)]


def test_nothing_follows_an_abandoned_test() -> None:
    assert following("abandoned", FULL) == ()
    with pytest.raises(CoreError, match="final"):
        advance("abandoned", "planned", FULL)


def test_an_approved_test_can_only_be_superseded() -> None:
    assert following("approved", FULL) == ("superseded",)
