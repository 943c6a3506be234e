"""What stands in the way of a plan is always said, also where the nearest plan misses something else or nothing."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.planning import PlanRequest, plan_weights
from heelwright_service.core.planning.binding import CHECKED_BY, binding
from heelwright_service.core.planning.checks import plan_checks
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.modelling import model_of, ship_of
from heelwright_service.core.planning.precision import SlopeUncertainty
from heelwright_service.core.planning.searching import searched
from heelwright_service.core.planning.solving import Lacking, solve
from heelwright_service.core.results import Check

from tests.service.core.planning.test_weight_plans import request

WEIGHTS_FAR_AFT = Path(__file__).parent / "requests" / "weights_far_aft.json"
"""An invented hull whose weights stand near her stern: the search overrates their trim."""

ASKED = from_document(PlanRequest, request())
LIMITS = Limits.of(ASKED)
FOUND = searched(ASKED, ship_of(ASKED, model_of(ASKED), SlopeUncertainty.of(ASKED)), LIMITS)


def checks_with(status: str, *ids: str) -> list[Check]:
    assert FOUND.outcome is not None
    checks = plan_checks(FOUND.outcome, LIMITS, ASKED)
    return [replace(each, status=status if each.id in ids else "pass") for each in checks]  # type: ignore[arg-type]


def said(lacking: Lacking, checks: list[Check]) -> str | None:
    assert FOUND.solution is not None
    assert FOUND.outcome is not None
    return binding(replace(FOUND.solution, lacking=lacking), FOUND.outcome, LIMITS, checks)


@pytest.mark.parametrize("lacking", list(CHECKED_BY))
def test_a_nearest_plan_that_misses_nothing_lies_at_the_edge_of_what_was_given_up(lacking: Lacking) -> None:
    found = said(lacking, checks_with("pass"))
    assert found is not None
    assert found.startswith(f"{lacking}: no plan keeps every limit")


def test_a_nearest_plan_that_misses_something_else_names_that() -> None:
    found = said("stability", checks_with("fail", "band"))
    assert found is not None
    assert found.startswith("band: ")


def test_what_was_given_up_is_named_first() -> None:
    found = said("stability", checks_with("fail", "band", "P-22"))
    assert found is not None
    assert found.startswith("P-22: ")
    assert "band" not in found


def test_every_reason_but_angles_deflection_and_states_has_its_checks() -> None:
    assert set(get_args(Lacking)) - set(CHECKED_BY) == {"nothing", "angles", "deflection", "states"}


def test_a_plan_that_keeps_every_limit_once_floated_is_a_plan_whatever_the_search_estimated_of_its_trim() -> None:
    asked = from_document(PlanRequest, json.loads(WEIGHTS_FAR_AFT.read_text()))
    solution = solve(asked, ship_of(asked, model_of(asked), SlopeUncertainty.of(asked)), Limits.of(asked))
    assert solution is not None
    assert solution.lacking == "trim"
    plan = plan_weights(asked)
    assert (plan.feasible, plan.binding_constraint) == (True, None)
    assert not [check.id for check in plan.checks if check.status == "fail"]
