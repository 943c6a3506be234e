"""The planner against a brute force that floats a box state by state, with no line of code in common."""

from __future__ import annotations

import collections

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.planning.limits import Limits
from heelwright_service.core.planning.modelling import model_of, ship_of
from heelwright_service.core.planning.precision import SlopeUncertainty
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.request_checks import check_request
from heelwright_service.core.planning.solving import Solution, solve

from tests.service.core.planning.random_requests import random_request
from tests.support.brute_force_planner import brute_force, size

MOST_PLANS = 40_000
PLACING = ("crane", "deck", "capacity", "stability", "several")


def solved(request: PlanRequest) -> Solution | None:
    check_request(request)
    return solve(request, ship_of(request, model_of(request), SlopeUncertainty.of(request)), Limits.of(request))


def compare(seeds: range) -> collections.Counter[str]:
    """Compare the planner with the brute force; count what came out."""
    seen: collections.Counter[str] = collections.Counter()
    for seed in seeds:
        document = random_request(seed)
        if size(document) > MOST_PLANS or _cannot_move(document):
            continue
        best, found = brute_force(document), solved(from_document(PlanRequest, document))
        if best is None or found is None:
            assert best is None, f"seed {seed}"
            assert found is None or found.lacking in PLACING, f"seed {seed}"
            seen["unplaced"] += 1
            continue
        choice = found.choice
        assert (found.lacking, choice.which.lifts) == (best.lacking, best.lifts), f"seed {seed}"
        assert choice.mass_t == pytest.approx(best.mass_t, rel=1e-9), f"seed {seed}"
        assert choice.gm_uncertainty_m == pytest.approx(best.gm_uncertainty_m, rel=1e-9), f"seed {seed}"
        assert (choice.plus_t_m, choice.minus_t_m) == pytest.approx(best.largest_t_m, rel=1e-9), f"seed {seed}"
        assert (choice.kinds, choice.spots, choice.steps) == (best.kinds, best.spots, best.steps), f"seed {seed}"
        assert found.widened_deg == pytest.approx(best.widened_deg, abs=1e-9), f"seed {seed}"
        seen[best.lacking] += 1
    return seen


def _cannot_move(document: dict[str, object]) -> bool:
    positions = document["positions"]
    assert isinstance(positions, list)
    return max(p["y_starboard_m"] - p["y_port_m"] for p in positions) < float(str(document["shift_step_m"]))


def test_the_plan_is_the_best_of_all_plans_on_every_small_case() -> None:
    seen = compare(range(1100))
    assert sum(seen.values()) > 800
    assert all(seen[each] >= 20 for each in ("nothing", "target", "deflection", "angles", "unplaced")), seen


@pytest.mark.heavy
def test_the_plan_is_the_best_of_all_plans_on_many_small_cases() -> None:
    seen = compare(range(100_000, 120_000))
    assert sum(seen.values()) > 15_000
