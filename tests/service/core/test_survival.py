"""Whatever comes, a reduction and a plan answer with finite numbers or refuse with a code: nothing else escapes."""

import json
from collections import Counter
from typing import Any

import pytest
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning import PlanRequest, plan_weights
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import reduce_record
from hypothesis import HealthCheck, given, settings

from tests.support.random_plans import plan_requests
from tests.support.random_records import records

USUAL = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
HEAVY = settings(USUAL, max_examples=2000, derandomize=False)


def survives(record: dict[str, Any]) -> str:
    """Reduce a record; the code of its refusal, or ``reduced``."""
    refusal = result = None
    try:
        result = reduce_record(from_document(TestRecord, record))
    except CoreError as error:
        refusal = error
    if refusal is None:
        json.dumps(to_document(result), allow_nan=False)
        return "reduced"
    assert refusal.code
    assert refusal.message.endswith(".")
    assert refusal.pointer == "" or refusal.pointer.startswith("/")
    return refusal.code


@given(records())
@USUAL
def test_any_record_is_reduced_to_finite_numbers_or_refused_with_a_code(record: dict[str, Any]) -> None:
    survives(record)


@pytest.mark.heavy
def test_two_thousand_records_are_reduced_or_refused() -> None:
    seen: Counter[str] = Counter()

    @given(records())
    @HEAVY
    def each(record: dict[str, Any]) -> None:
        seen[survives(record)] += 1

    each()
    print(dict(seen.most_common()))
    assert seen["reduced"] > 0.15 * seen.total()


def plan_survives(request: dict[str, Any]) -> str:
    """Plan the weights of a request; the code of its refusal, ``feasible`` or ``infeasible``."""
    refusal = plan = None
    try:
        plan = plan_weights(from_document(PlanRequest, request))
    except CoreError as error:
        refusal = error
    if plan is not None:
        json.dumps(to_document(plan), allow_nan=False)
        assert plan.feasible or plan.binding_constraint
        return "feasible" if plan.feasible else "infeasible"
    assert refusal is not None
    assert refusal.code
    assert refusal.message.endswith(".")
    return refusal.code


@given(plan_requests())
@settings(USUAL, max_examples=40)
def test_any_request_is_planned_with_finite_numbers_or_refused_with_a_code(request: dict[str, Any]) -> None:
    plan_survives(request)


@pytest.mark.heavy
def test_two_thousand_requests_are_planned_or_refused() -> None:
    seen: Counter[str] = Counter()

    @given(plan_requests())
    @HEAVY
    def each(request: dict[str, Any]) -> None:
        seen[plan_survives(request)] += 1

    each()
    print(dict(seen.most_common()))
    assert seen["feasible"] + seen["infeasible"] > 0.2 * seen.total()
