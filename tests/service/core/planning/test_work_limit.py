"""A request with too many choices is refused after so much counted work, and what fits is planned in seconds."""

from __future__ import annotations

import time
from typing import Any

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning import PlanRequest, plan_weights, planner

from tests.service.core.planning.test_weight_plans import request

SECONDS = 40.0
"""Far above the ten seconds that the work allowed takes on one core (2026): a guard against an unbounded search."""


def crowded(places: int, kinds: int, count: int, **other: Any) -> dict[str, Any]:
    """Places and kinds that all differ."""
    return request(
        weights_count=count,
        positions=[
            {"x_m": 10.0 + 3.0 * n, "y_port_m": -5.0 - 0.1 * n, "y_starboard_m": 5.0 + 0.1 * n,
             "z_m": 9.0 + 0.3 * (n % 3), "units_per_side": 2}
            for n in range(places)
        ],
        stock=[{"mass_t": round(0.8 + 0.27 * n, 2), "count": 2 + n % 3} for n in range(kinds)],
        **other,
    )  # fmt: skip


@pytest.mark.heavy
def test_twenty_places_and_twenty_kinds_for_six_weights_are_planned_within_the_work_allowed() -> None:
    plan = plan_weights(from_document(PlanRequest, crowded(20, 20, 6)))
    assert plan.feasible
    assert plan.total_mass_t <= plan_weights(from_document(PlanRequest, crowded(20, 12, 6))).total_mass_t


def test_more_kinds_of_weights_never_make_the_plan_heavier() -> None:
    more, fewer = (plan_weights(from_document(PlanRequest, crowded(6, kinds, 6))) for kinds in (8, 6))
    assert more.feasible
    assert more.total_mass_t <= fewer.total_mass_t


@pytest.mark.parametrize("repeat", [1, 2])
def test_more_choices_than_can_be_searched_are_refused_by_count_and_not_by_clock(repeat: int) -> None:
    singles = [{"mass_t": 0.5 + 0.031 * n, "count": 1} for n in range(100)]
    start = time.process_time()
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, crowded(20, 1, 6) | {"stock": singles}))
    assert time.process_time() - start < SECONDS
    assert refusal.value.code == "plan-too-large"
    assert refusal.value.pointer == "/stock"
    for field in ("positions", "stock", "weights_count", "shift_step_m"):
        assert field in refusal.value.message


@pytest.mark.parametrize(("work", "complete"), [(150_000, False), (600_000, True)])
def test_where_looking_for_changes_takes_too_long_the_answer_says_so(
    monkeypatch: pytest.MonkeyPatch, work: int, complete: bool
) -> None:
    monkeypatch.setattr(planner, "BESIDE_WORK", work)
    plan = plan_weights(from_document(PlanRequest, crowded(6, 6, 6, initial_heel_deg=1.0)))
    assert not plan.feasible
    assert plan.binding_constraint
    assert bool(plan.changes) == complete
    assert any("Not every change was looked for" in text for text in plan.cautions) != complete
