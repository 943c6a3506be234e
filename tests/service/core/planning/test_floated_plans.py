"""Plans on a hull form against a triangulated hull floated freely, state by state: other mathematics."""

from __future__ import annotations

import collections
from typing import Any

import numpy as np
import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning import PlanRequest, WeightPlan, plan_weights

from tests.support.simulator import hull_of, plane_of
from tests.support.simulator.clipping import Plane
from tests.support.simulator.floating import Buoyancy, Load, float_freely
from tests.support.simulator.forms import HullShape
from tests.support.simulator.hydrostatics import km_t_m
from tests.support.simulator.mesh import Mesh

WATER_T_PER_M3 = 1.025
LARGEST_DIFFERENCE_DEG = 0.02
STATIONS, REFINE = 121, 4
FAMILIES = [
    "box_barge", "raked_barge", "wall_sided", "round_bilge", "hard_chine", "tumblehome", "bulbous_bow", "catamaran",
    "asymmetric",
]  # fmt: skip


def request_for(
    shape: HullShape, mesh: Mesh, gm_relative: float, **other: Any
) -> tuple[dict[str, Any], float, float, float]:
    """A request for a hull on an even keel with a GM of so much of its KM; its LCB, TCB and KM."""
    cut = Buoyancy(mesh, WATER_T_PER_M3).cut(plane_of(shape.length_bp_m, shape.draught_m))
    km, volume = km_t_m(cut), cut.volume_m3
    displacement, gm = WATER_T_PER_M3 * volume, gm_relative * km
    need = displacement * gm * np.tan(np.radians(2.5)) / 2 / (2 * shape.weight_y_m)
    place = {"y_port_m": -shape.weight_y_m, "y_starboard_m": shape.weight_y_m, "units_per_side": 2}
    request = {
        "displacement_t": displacement, "gm_m": gm, "gm_uncertainty_m": 0.08 * gm, "breadth_m": shape.breadth_m,
        "depth_m": shape.depth_m, "draught_m": shape.draught_m, "heel_band_deg": [1.5, 3.0], "weights_count": 4,
        "positions": [{"x_m": share * shape.length_bp_m, "z_m": shape.depth_m + 0.6, **place} for share in (0.35, 0.6)],
        "stock": [{"mass_t": round(float(need * share), 2), "count": 4} for share in (0.8, 0.9, 1.0, 1.1, 1.2)],
        "instruments": [{"id": "P1", "kind": "pendulum", "length_m": 6.0}, {"id": "I1", "kind": "inclinometer"}],
        "vessel": {"length_bp_m": shape.length_bp_m, "hull": shape.document(61, 1)}, **other,
    }  # fmt: skip
    return request, float(cut.moments_m4[0] / volume), float(cut.moments_m4[1] / volume), km


def floated_deg(
    plan: WeightPlan, request: dict[str, Any], mesh: Mesh, ship_m: tuple[float, float, float]
) -> list[float]:
    """Heel of every state with the ship's own weight as one mass at a place."""
    masses = [request["displacement_t"], *(weight.mass_t for weight in plan.weights)]
    heels, plane = [], Plane(request["draught_m"], 0.0, 0.0)
    for state in plan.states:
        places = [ship_m, *(state.positions[weight.id] for weight in plan.weights)]
        afloat = float_freely(Buoyancy(mesh, WATER_T_PER_M3), Load.of_points(masses, places), plane)
        plane = afloat.plane
        heels.append(afloat.heel_deg)
    return heels


@pytest.mark.parametrize("family", FAMILIES)
def test_heels_agree_with_a_triangulated_hull_within_two_hundredths_of_a_degree(family: str) -> None:
    shape = hull_of(family, np.random.default_rng(5))
    mesh = shape.mesh(STATIONS, REFINE)
    request, lcb, tcb, km = request_for(shape, mesh, 0.15)
    plan = plan_weights(from_document(PlanRequest, request))
    assert plan.feasible, plan.binding_constraint
    for end, gm in (("expected", request["gm_m"]), ("low", request["gm_m"] * 0.92), ("high", request["gm_m"] * 1.08)):
        floated = floated_deg(plan, request, mesh, (lcb, tcb, km - gm))
        for state, heel in zip(plan.states, floated, strict=True):
            stiff = (end == "high") != (state.moment_t_m > 0.0)
            said = state.heel_deg.expected if end == "expected" else (
                state.heel_deg.high if stiff else state.heel_deg.low
            )  # fmt: skip
            assert said == pytest.approx(heel, abs=LARGEST_DIFFERENCE_DEG), (end, state.number)


@pytest.mark.parametrize("initial_deg", [-0.4, 0.4])
@pytest.mark.parametrize("family", ["asymmetric", "catamaran"])
def test_a_ship_that_lists_floats_at_her_list_again_without_the_weights(family: str, initial_deg: float) -> None:
    """Weights of a gram change nothing: the plan's first state is the list that was stated, to either side."""
    shape = hull_of(family, np.random.default_rng(5))
    mesh = shape.mesh(21, 1)
    request, *_ = request_for(
        shape, mesh, 0.15, initial_heel_deg=initial_deg, stock=[{"mass_t": 1e-6, "count": 4}], gm_uncertainty_m=0.0
    )
    plan = plan_weights(from_document(PlanRequest, request))
    assert plan.states[0].heel_deg.expected == pytest.approx(initial_deg, abs=0.001)


def test_a_feasible_plan_on_a_hull_keeps_the_band_at_its_floated_heels() -> None:
    shape = hull_of("tumblehome", np.random.default_rng(8))
    mesh = shape.mesh(STATIONS, REFINE)
    request, *_ = request_for(shape, mesh, 0.12, initial_heel_deg=0.4)
    plan = plan_weights(from_document(PlanRequest, request))
    assert plan.feasible
    band = next(check for check in plan.checks if check.id == "band")
    assert band.status == "pass"
    tangents = np.tan(np.radians([state.heel_deg.expected for state in plan.states]))
    changes = np.degrees(np.arctan(tangents - tangents[0]))
    assert 1.5 < max(changes) < 3.0
    assert 1.5 < -min(changes) < 3.0
    assert plan.initial_list_deg.high <= 0.5


def test_other_plans_keep_the_band_afloat_too_and_their_heel_is_floated() -> None:
    shape = hull_of("tumblehome", np.random.default_rng(8))
    mesh = shape.mesh(STATIONS, REFINE)
    request, *_ = request_for(shape, mesh, 0.12)
    plan = plan_weights(from_document(PlanRequest, request))
    assert plan.alternatives
    for other in plan.alternatives:
        masses = collections.Counter(other.masses_t)
        stock = [{"mass_t": mass, "count": count} for mass, count in masses.items()]
        alone = plan_weights(from_document(PlanRequest, request | {"stock": stock}))
        assert alone.feasible, alone.binding_constraint
        assert other.max_heel_deg == pytest.approx(alone.max_heel_deg.expected, abs=1e-6)


def test_the_hull_says_how_km_changes_with_heel() -> None:
    shape = hull_of("hard_chine", np.random.default_rng(3))
    request, *_ = request_for(shape, shape.mesh(STATIONS, REFINE), 0.12)
    plan = plan_weights(from_document(PlanRequest, request))
    found = next(check for check in plan.checks if check.id == "P-21")
    assert found.status in ("pass", "warn")
    assert found.value is not None
    request.pop("vessel")
    without = plan_weights(from_document(PlanRequest, request))
    assert next(check for check in without.checks if check.id == "P-21").status == "not-assessed"


def test_a_waterplane_that_changes_with_heel_is_warned_of_with_the_heel_up_to_which_it_does_not() -> None:
    """Sides that flare flat at the waterline: the rule asks for a warning, and for the reduction at true heel."""
    contour = [[0.0, 0.0], [2.0, 4.3], [7.0, 4.7], [7.0, 8.0]]
    place = {"x_m": 20.0, "y_port_m": -6.0, "y_starboard_m": 6.0, "z_m": 8.6}
    plan = plan_weights(from_document(PlanRequest, {
        "displacement_t": 1.025 * 40.0 * (2 * 4.3 + 0.2 * 4.5 + 0.2), "gm_m": 2.7, "gm_uncertainty_m": 0.1,
        "breadth_m": 14.0, "depth_m": 8.0, "draught_m": 4.5, "heel_band_deg": [1.0, 3.5], "weights_count": 4,
        "positions": [place], "weight_step_t": 0.1,
        "instruments": [{"id": "P1", "kind": "pendulum", "length_m": 6.0}, {"id": "I1", "kind": "inclinometer"}],
        "vessel": {"length_bp_m": 40.0, "hull": {"stations": [{"x_m": x, "contour_m": contour} for x in (0, 20, 40)]}},
    }))  # fmt: skip
    found = next(check for check in plan.checks if check.id == "P-21")
    assert plan.feasible
    assert found.status == "warn"
    assert found.value is not None
    assert found.value > 1.0
    assert "of heel it stays within 1 %" in found.text


def test_a_box_with_a_hull_and_one_with_vertical_sides_get_the_same_weights() -> None:
    shape = hull_of("box_barge", np.random.default_rng(5))
    request, *_ = request_for(shape, shape.mesh(21, 1), 0.15)
    hull = plan_weights(from_document(PlanRequest, request))
    request.pop("vessel")
    prism = plan_weights(from_document(PlanRequest, request))
    assert [weight.mass_t for weight in hull.weights] == [weight.mass_t for weight in prism.weights]
    for one, other in zip(hull.states, prism.states, strict=True):
        assert one.heel_deg.expected == pytest.approx(other.heel_deg.expected, abs=0.06)


def test_a_hull_that_contradicts_the_displacement_is_refused() -> None:
    shape = hull_of("box_barge", np.random.default_rng(5))
    request, *_ = request_for(shape, shape.mesh(21, 1), 0.15)
    request["displacement_t"] *= 1.3
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, request))
    assert refusal.value.pointer == "/draught_m"


def test_a_gm_above_the_hulls_km_is_refused() -> None:
    shape = hull_of("box_barge", np.random.default_rng(5))
    request, *_ = request_for(shape, shape.mesh(21, 1), 1.05)
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, request))
    assert refusal.value.pointer == "/gm_m"
