"""What cannot be planned is answered: what binds, in words with numbers, and a nearest change with which it can be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.planning import PlanRequest, WeightPlan, plan_weights

from tests.service.core.planning.test_weight_plans import request

PLACE = request()["positions"][0]
STOCK = [{"mass_t": 3.0, "count": 4, "footprint_m2": 1.0}]
CONTOUR = [[0.0, 0.0], [7.0, 0.0], [7.0, 8.0]]
BOX = {"length_bp_m": 38.7, "hull": {"stations": [{"x_m": x, "contour_m": CONTOUR} for x in (0.0, 19.35, 38.7)]}}
"""A box of 2 500 t at 4.5 m in sea water; KM = T/2 + B²/(12·T) = 5.88 m."""

FARTHEST = {"x_m": 38.0, "y_port_m": -1.0, "y_starboard_m": 1.0, "z_m": 8.0}


def crane(reach_m: float, load_t: float) -> dict[str, Any]:
    return {"x_m": 30.0, "y_m": -10.0, "radius_max_m": reach_m, "curve": [[3.0, load_t], [reach_m, load_t]],
            "onboard": True, "minutes_per_lift": 8.0}  # fmt: skip


IMPOSSIBLE: dict[str, tuple[dict[str, Any], str, str]] = {
    "stock of two where four are needed": (
        {"stock": [{"mass_t": 3.0, "count": 2}]}, "stock: 2 weights at hand, 4 are needed", "2 more 3 t weights",
    ),
    "stock of two where two, four or six would do": (
        {"stock": [{"mass_t": 3.0, "count": 2}], "weights_count": [2, 4, 6]},
        "stock: 2 weights at hand, 4 are needed", "2 more 3 t weights",
    ),
    "stock of one where four are needed": (
        {"stock": [{"mass_t": 3.0, "count": 1}]}, "stock: 1 weight at hand, 4 are needed", "3 more 3 t weights",
    ),
    "empty stock": (
        {"stock": [{"mass_t": 3.0, "count": 0}]}, "stock: 0 weights at hand, 4 are needed", "4 more 3 t weights",
    ),
    "stock too light": (
        {"stock": [{"mass_t": 1.0, "count": 4}]}, "band: the weights heel the ship by 0.5", "equal weights of",
    ),
    "stock too heavy": (
        {"stock": [{"mass_t": 300.0, "count": 4}]}, "stability: the 4 lightest weights, 1200 t", "equal weights of",
    ),
    "two weights never enough": ({"weights_count": 2, "stock": [{"mass_t": 3.0, "count": 6}]}, "C-01", "four weights"),
    "heel band not reached": (
        {"heel_band_deg": [2.5, 3.5]},
        "band: the weights heel the ship by 1.68° at the upper end of GM, at least 2.5° is wanted",
        "equal weights of",
    ),
    "heel band overshot": (
        {"stock": [{"mass_t": 3.0, "count": 4}], "shift_step_m": 12.0, "heel_band_deg": [0.5, 1.2],
         "instruments": [{"id": "I1", "kind": "inclinometer"}, {"id": "I2", "kind": "inclinometer"}]},
        "band: the weights heel the ship by 1.8", "equal weights of",
    ),
    "range of GM too wide for the band": ({"gm_uncertainty_m": 0.4}, "band: the range of GM is too wide", "GM known"),
    "deck load": (
        {"positions": [PLACE | {"deck_load_t_per_m2": 2.0}], "stock": STOCK},
        "P-23: A weight loads the deck with 3.00 t/m²; 2 t/m²", "footprints or spreaders",
    ),
    "mass at one place": (
        {"positions": [PLACE | {"max_mass_t": 5.0}]},
        "capacity: At most 12 t on one side of position 1 at once, 5 are allowed", "room for 4 weights, 12 t",
    ),
    "number at one place": (
        {"positions": [PLACE | {"units_per_side": 2}]},
        "capacity: At most 4 weights on one side of position 1 at once, 2 are allowed", "room for 4 weights, 12 t",
    ),
    "no place open": (
        {"positions": [PLACE | {"units_per_side": 0}]}, "capacity: At most 4 weights", "room for 4 weights",
    ),
    "crane reach": (
        {"crane": crane(8.0, 9.0)}, "P-30: The crane's hardest lift is 3.00 t at a radius of 1", "a crane that lifts",
    ),
    "crane safe working load": (
        {"crane": crane(16.0, 2.0)},
        "P-30: The crane's hardest lift is 3.00 t at a radius of 16.0 m; its safe working load there is 2.00 t",
        "a crane that lifts 3 t at a radius of 16.0 m",
    ),
    "deflection": (
        {"instruments": [{"id": "P1", "kind": "pendulum", "length_m": 4.0}]}, "H-04: within the heel allowed, P1 (4 m)",
        "a 5.2 m pendulum instead of 4 m (P1)",
    ),
    "difference of level in a U-tube": (
        {"instruments": [{"id": "U1", "kind": "u-tube", "length_m": 4.0}]}, "H-12: within the heel allowed, U1 (4 m)",
        "spacing of the U-tube's legs instead of 4 m (U1)",
    ),
    "freeboard": ({"depth_m": 4.65}, "deck-edge: at 1.0", "a heel band of"),
    "freeboard on a hull": (
        {"vessel": {"length_bp_m": 38.7, "hull": {"stations": [
            {"x_m": x, "contour_m": [[0.0, 0.0], [7.0, 0.0], [7.0, 4.65]]} for x in (0.0, 19.35, 38.7)]}},
         "depth_m": 4.65, "positions": [PLACE | {"x_m": 19.35}]},
        "deck-edge: at 1.0", "a heel band of",
    ),
    "list": (
        {"initial_heel_deg": 1.5}, "P-18: the initial list is", "the ship brought to 0.5° or less to starboard",
    ),
    "large list": (
        {"initial_heel_deg": -12.0}, "P-18: the initial list is", "the ship brought to 0.5° or less to port",
    ),
    "list on a hull": (
        {"initial_heel_deg": 3.0, "vessel": BOX, "positions": [PLACE | {"x_m": 19.35}]},
        "P-18: the initial list is", "or less to starboard",
    ),
    "GM below 0.20 m": (
        {"gm_m": 0.15, "gm_uncertainty_m": 0.01, "stock": [{"mass_t": 0.6, "count": 4}, {"mass_t": 1.0, "count": 4}]},
        "P-22: GM with the weights aboard is 0.1", "the ship made stiffer before the test, to a GM of 0.2",
    ),
    "GM below nothing": (
        {"gm_m": -0.5}, "stability: GM lies between -0.55 m and -0.45 m", "the ship made stiffer before the test",
    ),
    "GM of nothing": ({"gm_m": 0.0}, "stability: GM lies between", "the ship made stiffer before the test"),
    "GM not known well enough to be positive": (
        {"gm_uncertainty_m": 0.95}, "stability: GM lies between 0.00 m and 1.90 m", "GM known to within",
    ),
    "GM below nothing on a hull": (
        {"gm_m": -0.5, "vessel": BOX, "positions": [PLACE | {"x_m": 19.35}]},
        "stability: GM lies between", "the ship made stiffer before the test",
    ),
    "weights so high that she would not stay upright": (
        {"positions": [PLACE | {"z_m": 36.0}], "gm_m": 0.3, "stock": [{"mass_t": 30.0, "count": 4}]},
        "stability: the 4 lightest weights, 120 t", "equal weights of",
    ),
    "one pendulum": (
        {"instruments": [{"id": "P1", "kind": "pendulum", "length_m": 6.0}]},
        "H-01: 1 instrument; 3 are recommended, 2 are the least", "a second pendulum of 6 m (P1-2)",
    ),
    "one pendulum that is too short": (
        {"instruments": [{"id": "P1", "kind": "pendulum", "length_m": 4.0}]}, "H-04: within the heel allowed, P1 (4 m)",
        "a second pendulum of 5.2 m (P1-2) and a 5.2 m pendulum instead of 4 m (P1)",
    ),
    "one pendulum on a ship longer than 30 m": (
        {"instruments": [{"id": "P1", "kind": "pendulum", "length_m": 6.0}], "vessel": BOX,
         "positions": [PLACE | {"x_m": 19.35}]},
        "H-01: 1 instrument", "a second pendulum of 6 m (P1-2)",
    ),
    "trim": (
        {"vessel": BOX, "positions": [FARTHEST], "weight_step_t": 1.0, "stock": None},
        "P-19: The weights trim the ship", "position 1 at",
    ),
    "narrow places": (
        {"positions": [PLACE | {"y_port_m": -3.0, "y_starboard_m": 3.0}]}, "band: the weights heel the ship by 0.84°",
        "four equal weights of 5.6 t, shifted 6 m, in place of the stock",
    ),
    "narrow places and no other weights": (
        {"positions": [PLACE | {"y_port_m": -3.0, "y_starboard_m": 3.0, "max_mass_t": 12.0}]},
        "band: the weights heel the ship by 0.8", "every position 2.",
    ),
    "shifts too coarse": (
        {"shift_step_m": 13.0}, "shift-step: shifts are multiples of 13 m and the widest position allows 12 m",
        "shifts in steps of 0.1 m instead of 13 m",
    ),
    "target of uncertainty": (
        {"target_gm_uncertainty_m": 0.005}, "target-uncertainty: Expected expanded (95 %) uncertainty of GM:",
        "",
    ),
    "steps of mass too coarse": (
        {"stock": None, "weight_step_t": 20.0, "shift_step_m": 6.0}, "band: the weights heel",
        "weights in steps of 5 t instead of 20 t",
    ),
    "several at once": (
        {"stock": [{"mass_t": 3.0, "count": 2}], "crane": crane(8.0, 2.0), "initial_heel_deg": 2.0},
        "stock: 2 weights at hand, 4 are needed", " and ",
    ),
    "everything at once": (
        {"gm_m": 0.05, "stock": [{"mass_t": 30.0, "count": 1}], "crane": crane(4.0, 0.1), "initial_heel_deg": 5.0,
         "positions": [PLACE | {"units_per_side": 0, "y_port_m": -0.5, "y_starboard_m": 0.5}]},
        "stock: 1 weight at hand, 4 are needed", " and ",
    ),
}  # fmt: skip


def planned(document: Mapping[str, Any]) -> WeightPlan:
    return plan_weights(from_document(PlanRequest, document))


def merged(target: Any, patch: Any) -> Any:
    """RFC 7396, section 2."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            result.pop(name, None)
        else:
            result[name] = merged(result.get(name), value)
    return result


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_what_cannot_be_planned_is_named_and_the_nearest_change_mends_it(name: str) -> None:
    change, binds, mends = IMPOSSIBLE[name]
    document = request(**change)
    plan = planned(document)
    assert not plan.feasible
    assert str(plan.binding_constraint).startswith(binds), plan.binding_constraint
    assert mends in str(plan.nearest_change), plan.changes
    assert plan.nearest_change_patch
    again = planned(merged(document, plan.nearest_change_patch))
    assert again.feasible, again.binding_constraint
    assert plan.nearest_plan is not None
    assert plan.nearest_plan.text == plan.nearest_change
    assert plan.nearest_plan.total_mass_t == again.total_mass_t
    assert list(plan.nearest_plan.masses_t) == [weight.mass_t for weight in again.weights]
    assert plan.nearest_plan.max_heel_deg == pytest.approx(again.max_heel_deg.expected, abs=1e-9)


HOPELESS: dict[str, tuple[dict[str, Any], str, str]] = {
    "GM that may be below nothing, and a deck awash": (
        {"gm_m": 0.08, "gm_uncertainty_m": 0.27, "depth_m": 4.501}, "stability: GM lies between -0.19 m and 0.35 m",
        "first make sure that GM is 0.20 m or more at the lower end of its range",
    ),
    "stock of two and a deck awash": (
        {"stock": [{"mass_t": 3.0, "count": 2}], "depth_m": 4.501}, "stock: 2 weights at hand, 4 are needed",
        "first find out which 4 weights can be had",
    ),
    "shifts too coarse and a deck awash": (
        {"shift_step_m": 13.0, "depth_m": 4.501}, "shift-step: shifts are multiples of 13 m",
        "first check shift_step_m",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HOPELESS)
def test_where_no_change_helps_no_weights_are_made_up_and_what_has_to_be_known_first_is_said(name: str) -> None:
    change, binds, needed = HOPELESS[name]
    plan = planned(request(**change))
    assert not plan.feasible
    assert str(plan.binding_constraint).startswith(binds), plan.binding_constraint
    assert needed in str(plan.first_needed)
    assert str(plan.first_needed).startswith("No change of weights")
    assert not any((plan.weights, plan.states, plan.checks, plan.alternatives, plan.changes, plan.shown_after_change))
    of_a_plan = (plan.total_mass_t, plan.max_heel_deg, plan.expected_uncertainty, plan.lifts, plan.nearest_plan)
    assert of_a_plan == (None,) * 5
    assert "flag Administration" in plan.cautions[0]
