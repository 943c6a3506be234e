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


SMALL = {"displacement_t": 300.0, "gm_m": 2.0, "breadth_m": 12.0, "depth_m": 6.0, "draught_m": 2.05,
         "positions": [PLACE | {"z_m": 6.6}]}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "pointer", "named"),
    [
        ({"gm_m": 18.8}, "/gm_m", ("gm_m of 18.8 m", "breadth_m 12 m", "draught_m 2.05 m", "6.9 m for a box")),
        ({"displacement_t": 12600.0}, "/displacement_t", ("displacement_t of 12600 t", "breadth_m", "draught_m")),
        ({"displacement_t": 0.3}, "/displacement_t", ("displacement_t of 0.3 t", "breadth_m", "draught_m")),
        (
            {"vessel": {"length_bp_m": 10.0}, "positions": [PLACE | {"x_m": 5.0}]},
            "/displacement_t",
            ("block coefficient of 1.1", "length of 10 m"),
        ),
        ({"positions": [PLACE | {"z_m": 65.0}]}, "/positions/0/z_m", ("z_m of 65 m", "depth_m 6 m")),
        ({"positions": [PLACE, PLACE | {"z_m": -0.1}]}, "/positions/1/z_m", ("z_m of -0.1 m", "depth_m 6 m")),
    ],
)
def test_figures_that_cannot_belong_to_one_ship_are_refused_and_all_named(
    change: dict[str, Any], pointer: str, named: tuple[str, ...]
) -> None:
    """Box of 300 t: 300/(1.032·12·2.05) = 11.8 m; KM = T/2 + B²/(12·T) = 6.88 m (derived here)."""
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, request(**(SMALL | change))))
    assert (refusal.value.code, refusal.value.pointer) == ("contradiction", pointer)
    assert all(each in refusal.value.message for each in named), refusal.value.message


@pytest.mark.parametrize(
    ("change", "rule", "value", "limit"),
    [
        ({"gm_m": 8.0}, "gm-of-box", 8.0, 6.878),
        ({"displacement_t": 4000.0}, "length-of-box", 157.6, 144.0),
        ({"positions": [PLACE | {"z_m": 20.0}]}, "height-of-places", 20.0, 18.0),
    ],
)
def test_figures_that_hardly_belong_to_one_ship_are_warned_of(
    change: dict[str, Any], rule: str, value: float, limit: float
) -> None:
    plan = plan_weights(from_document(PlanRequest, request(**(SMALL | change))))
    found = next(check for check in plan.checks if check.id == rule)
    assert (found.status, found.source) == ("warn", "derived here, from the box about the ship")
    assert (found.value, found.limit) == (pytest.approx(value, rel=1e-3), pytest.approx(limit, rel=1e-3))


def test_a_ship_that_her_figures_fit_passes_what_is_plausible() -> None:
    plan = plan_weights(from_document(PlanRequest, request(**SMALL)))
    ids = ("gm-of-box", "length-of-box", "height-of-places")
    assert [check.status for check in plan.checks if check.id in ids] == ["pass"] * 3


def test_gm_beyond_the_km_of_a_table_is_refused() -> None:
    with pytest.raises(CoreError) as refusal:
        plan_weights(from_document(PlanRequest, request(vessel=TABLED, gm_m=8.0)))
    assert (refusal.value.code, refusal.value.pointer) == ("gm-exceeds-km", "/gm_m")


@pytest.mark.parametrize(("length", "instruments", "status"), [(24.0, 1, "warn"), (30.5, 1, "fail"), (24.0, 2, "pass")])
def test_one_instrument_is_enough_up_to_thirty_metres_only(length: float, instruments: int, status: str) -> None:
    """2008 IS Code part B 8.2.2.9: two at the least; class: one on ships of 30 m and less."""
    given = request()["instruments"][:instruments]
    plan = plan_weights(
        from_document(PlanRequest, request(**(SMALL | {"vessel": {"length_bp_m": length}, "instruments": given})))
    )
    found = next(check for check in plan.checks if check.id in ("H-01", "H-02"))
    assert found.status == status
    assert ("H-01" in str(plan.binding_constraint)) == (status == "fail")


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
