"""Requests that make no sense are refused by the field that is wrong, with what is allowed."""

from __future__ import annotations

import math
from typing import Any

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning import PlanRequest, plan_weights

from tests.service.core.planning.test_weight_plans import request

PLACE = request()["positions"][0]
CRANE = {"x_m": 0.0, "y_m": 0.0, "radius_max_m": 20.0, "curve": [[1, 9], [20, 5]], "onboard": True,
         "minutes_per_lift": 8.0}  # fmt: skip
TABLE = [{"draught_m": t, "volume_m3": 542.0 * t, "lcb_m": 30.0, "vcb_m": t / 2, "km_t_m": t / 2 + 24.0 / t}
         for t in (3.0, 4.0, 5.0)]  # fmt: skip

TABLED = {"length_bp_m": 60.0, "hydrostatic_table": {"rows": TABLE}}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"displacement_t": 0.0}, "/displacement_t"),
        ({"displacement_t": math.nan}, "/displacement_t"),
        ({"gm_m": math.inf}, "/gm_m"),
        ({"gm_uncertainty_m": -0.1}, "/gm_uncertainty_m"),
        ({"draught_m": 8.0}, "/draught_m"),
        ({"heel_band_deg": [3.0, 2.0]}, "/heel_band_deg"),
        ({"initial_heel_deg": 46.0}, "/initial_heel_deg"),
        ({"weights_count": 5}, "/weights_count"),
        ({"weights_count": []}, "/weights_count"),
        ({"weight_step_t": 0.1}, "/stock"),
        ({"stock": None}, "/stock"),
        ({"stock": [{"mass_t": -3.0, "count": 4}]}, "/stock/0/mass_t"),
        ({"stock": [{"mass_t": 3.0, "count": -1}]}, "/stock/0/count"),
        ({"stock": [{"id": "K", "mass_t": 3.0, "count": 2}] * 2}, "/stock/1/id"),
        ({"stock": [{"mass_t": 3.0, "count": 4, "footprint_m2": 0.0}]}, "/stock/0/footprint_m2"),
        ({"positions": []}, "/positions"),
        ({"positions": [PLACE | {"y_port_m": 0.5}]}, "/positions/0/y_port_m"),
        ({"positions": [PLACE | {"y_starboard_m": 0.0}]}, "/positions/0/y_starboard_m"),
        ({"positions": [PLACE | {"y_port_m": -14.5}]}, "/positions/0/y_port_m"),
        ({"positions": [PLACE, PLACE | {"y_starboard_m": 600.0}]}, "/positions/1/y_starboard_m"),
        ({"positions": [PLACE | {"x_m": 95.0}], "vessel": TABLED}, "/positions/0/x_m"),
        ({"positions": [PLACE | {"units_per_side": -1}]}, "/positions/0/units_per_side"),
        ({"positions": [PLACE | {"max_mass_t": 0.0}]}, "/positions/0/max_mass_t"),
        ({"positions": [PLACE | {"x_m": math.inf}]}, "/positions/0/x_m"),
        ({"shift_step_m": 0.0}, "/shift_step_m"),
        ({"instruments": []}, "/instruments"),
        ({"instruments": [{"id": "P1", "kind": "pendulum"}]}, "/instruments/0/length_m"),
        ({"instruments": [{"id": "I1", "kind": "inclinometer", "length_m": 2.0}]}, "/instruments/0/length_m"),
        ({"instruments": [{"id": "P1", "kind": "pendulum", "length_m": 4.0}] * 2}, "/instruments/1/id"),
        ({"crane": CRANE | {"curve": [[5, 9]]}}, "/crane/curve"),
        ({"crane": CRANE | {"curve": [[5, 9], [5, 8]]}}, "/crane/curve/1"),
        ({"crane": CRANE | {"minutes_per_lift": -1.0}}, "/crane/minutes_per_lift"),
        ({"target_gm_uncertainty_m": 0.0}, "/target_gm_uncertainty_m"),
        ({"rule_set": "no-such-rules"}, "/rule_set"),
        (
            {"vessel": {"length_bp_m": 60.0, "hydrostatic_table": {"rows": TABLE}}, "displacement_t": 5000.0},
            "/draught_m",
        ),
    ],
)
def test_a_request_that_makes_no_sense_names_the_field(change: dict[str, Any], pointer: str) -> None:
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, request(**change)))
    assert refusal.value.pointer == pointer
    assert refusal.value.message.endswith(".")


def test_a_table_gives_km_and_waterplane_and_says_so() -> None:
    plan = plan_weights(from_document(PlanRequest, request(vessel=TABLED)))
    box = plan_weights(from_document(PlanRequest, request()))
    assert plan.states[2].heel_deg.expected == pytest.approx(box.states[2].heel_deg.expected, abs=0.005)
    assert any("hydrostatic table" in text for text in plan.cautions)


def test_weights_that_sink_the_ship_beyond_her_table_are_refused() -> None:
    rows = [row | {"draught_m": min(row["draught_m"], 4.501), "volume_m3": min(row["volume_m3"], 542.0 * 4.501)}
            for row in TABLE]  # fmt: skip
    vessel = {"length_bp_m": 60.0, "hydrostatic_table": {"rows": rows}}
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, request(vessel=vessel)))
    assert refusal.value.code == "draught-outside-table"
