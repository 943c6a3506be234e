"""The acceptance sheet: the model set against what is approved, difference by difference."""

import doctest
from dataclasses import replace
from typing import Any

import pytest
from heelwright_service.core.documents import from_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.model_acceptance import (
    AcceptanceRequest,
    ApprovedHydrostatics,
    ApprovedMark,
    ApprovedRow,
    CapacityPlan,
    CapacityRow,
    Difference,
    MarkPlan,
    Reason,
    Space,
    StatedLimits,
    accept_model,
    acceptance_caution,
)
from heelwright_service.core.model_acceptance import sheet as sheet_module
from heelwright_service.core.record import (
    HullDocument,
    Mark,
    ModelAcceptance,
    SoundingPipe,
    Station,
    Tank,
    TankRow,
    TestRecord,
    Vessel,
    Water,
)

from tests.service.core.checks.records import changed, clean, hull_table, judged

LENGTH, BREADTH, DENSITY = 50.0, 12.0, 1.025
BOX = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)]
RING = [(1.0, 0.5), (4.0, 0.5), (4.0, 2.5), (1.0, 2.5)]
TANK = Tank(
    "FO 1",
    60.0,
    SoundingPipe(20.0, 2.5, 0.5),
    [TankRow(0.0, 0.0, 20.0, 2.5, 0.5, 22.5, 250.0), TankRow(2.0, 60.0, 20.0, 2.5, 1.5, 22.5, 250.0)],
    geometry=HullDocument([Station(15.0, RING), Station(25.0, RING)]),
)
VESSEL = Vessel(
    LENGTH,
    hull=HullDocument([Station(0.0, BOX), Station(LENGTH, BOX)]),
    marks=[Mark("aft", 1.0, 0.0, -0.012), Mark("forward", 48.5, 0.0, -0.012)],
    tanks=[TANK],
)


def approved_row(draught_m: float, trim_m: float, from_m: float = 0.0) -> ApprovedRow:
    """A box: Δ = ρ·L·B·T, LCB = L/2 − L²/12T · trim/L, KM_T = T/2 + B²/12T with the trim's share of z_B."""
    t, slope = draught_m, trim_m / LENGTH
    vcb = t / 2 + 0.5 * LENGTH**2 / (12.0 * t) * slope**2
    return ApprovedRow(
        draught_m + from_m,
        DENSITY * LENGTH * BREADTH * t,
        LENGTH / 2 - LENGTH**2 / (12.0 * t) * slope,
        vcb + BREADTH**2 / (12.0 * t),
        trim_m,
    )


ROWS = [approved_row(t, s) for t in (1.5, 2.0, 2.5) for s in (0.0, 0.4)]
REQUEST = AcceptanceRequest(
    VESSEL,
    ApprovedHydrostatics("hydrostatics, drawing 101 rev B", DENSITY, "moulded-baseline", ROWS),
    "R. Hale",
    "2024-02-01",
    "3f9a",
    CapacityPlan("capacity plan, drawing 102", [CapacityRow("FO 1", 60.0, 20.0, 2.5, 1.5)]),
    MarkPlan("docking plan, drawing 103", [ApprovedMark("aft", 1.0, -0.012), ApprovedMark("forward", 48.5, -0.012)]),
    [Space("bow thruster tunnel", False, False)],
)


def beyond(request: AcceptanceRequest) -> list[Difference]:
    sheet = accept_model(request)
    found = [one for one in sheet.differences if not one.within]
    assert sheet.accepted == (not found and not sheet.not_compared)
    return found


def test_examples_in_the_documentation_run() -> None:
    assert doctest.testmod(sheet_module).failed == 0


def test_a_model_like_what_is_approved_is_accepted_by_name_and_version() -> None:
    sheet = accept_model(REQUEST)
    assert sheet.accepted
    assert sheet.not_compared == []
    assert len(sheet.differences) == 3 * 6 + 4 * 2 + 2 * 2 + 1
    assert max(sheet.largest.values()) < 1e-9
    assert (sheet.checker, sheet.date, sheet.version) == ("R. Hale", "2024-02-01", "3f9a")
    assert sheet.sentence == "Accepted by R. Hale on 2024-02-01: 31 comparisons."


@pytest.mark.parametrize(
    ("change", "quantity", "difference"),
    [
        ({"displacement_t": 1230.0 * 1.006}, "displacement_t", 1.0 / 1.006 - 1.0),
        ({"km_t_m": 1.0 + 6.0 - 0.011}, "km_t_m", 0.011),
        ({"lcb_m": 25.06}, "lcb_m", -0.06 / LENGTH),
    ],
)
def test_hydrostatics_beyond_their_limits_are_named_with_draught_and_trim(
    change: dict[str, float], quantity: str, difference: float
) -> None:
    rows = [*ROWS[:2], replace(ROWS[2], **change), *ROWS[3:]]
    found = beyond(replace(REQUEST, approved_hydrostatics=replace(REQUEST.approved_hydrostatics, rows=rows)))
    assert [one.quantity for one in found] == [quantity]
    assert found[0].subject == "draught 2 m, trim 0 m by the stern"
    assert found[0].difference == pytest.approx(difference, abs=1e-9)
    assert found[0].source


def test_draughts_from_under_the_keel_are_carried_to_the_baseline() -> None:
    keel_m = 0.014
    rows = [approved_row(t, s, keel_m) for t in (1.5, 2.0, 2.5) for s in (0.0, 0.4)]
    datum = ApprovedHydrostatics("drawing 101", DENSITY, "underside-of-keel", rows, keel_m)
    assert beyond(replace(REQUEST, approved_hydrostatics=datum)) == []
    mistaken = beyond(
        replace(REQUEST, approved_hydrostatics=ApprovedHydrostatics("", DENSITY, "moulded-baseline", rows))
    )
    assert {one.quantity for one in mistaken} >= {"displacement_t", "km_t_m"}


@pytest.mark.parametrize(("datum", "keel_m"), [("underside-of-keel", None), ("moulded-baseline", 0.014)])
def test_a_datum_and_its_keel_thickness_go_together(datum: str, keel_m: float | None) -> None:
    approved = replace(REQUEST.approved_hydrostatics, draughts_from=datum, keel_thickness_m=keel_m)
    with pytest.raises(CoreError) as caught:
        accept_model(replace(REQUEST, approved_hydrostatics=approved))
    assert caught.value.code == "keel-thickness"


def test_a_tank_unlike_the_capacity_plan_is_named_by_table_and_by_shape() -> None:
    plan = CapacityPlan("drawing 102", [CapacityRow("FO 1", 61.0, 20.0, 2.5, 1.58)])
    found = beyond(replace(REQUEST, capacity_plan=plan))
    assert [(one.subject, one.quantity) for one in found] == [
        ("tank FO 1, table", "volume_m3"),
        ("tank FO 1, table", "z_m"),
        ("tank FO 1, shape", "volume_m3"),
        ("tank FO 1, shape", "z_m"),
    ]


def test_a_tank_that_only_one_of_them_has_is_a_difference() -> None:
    plan = CapacityPlan("drawing 102", [CapacityRow("FO 2", 60.0, 20.0, 2.5, 1.5)])
    found = {one.subject: one.source for one in beyond(replace(REQUEST, capacity_plan=plan))}
    assert found == {"tank FO 1": "only in the model", "tank FO 2": "only in the capacity plan"}


def test_a_mark_counted_from_another_datum_is_found() -> None:
    plan = MarkPlan("drawing 103", [ApprovedMark("aft", 1.0, 0.0), ApprovedMark("forward", 48.4, -0.012)])
    found = beyond(replace(REQUEST, mark_plan=plan))
    assert [(one.subject, one.quantity) for one in found] == [("mark aft", "zero_z_m"), ("mark forward", "x_m")]
    assert found[0].difference == pytest.approx(-0.012)


def test_a_space_that_only_the_model_counts_as_buoyant_is_a_difference() -> None:
    found = beyond(replace(REQUEST, spaces=[Space("forecastle", True, False)]))
    assert [one.subject for one in found] == ["space forecastle"]


def test_a_difference_may_be_accepted_with_its_reason() -> None:
    spaces = [Space("forecastle", True, False)]
    reason = [Reason("space forecastle", "dry at every draught of the test")]
    sheet = accept_model(replace(REQUEST, spaces=spaces, reasons=reason))
    assert sheet.accepted
    assert sheet.sentence.endswith("1 beyond their limits with a reason.")
    with pytest.raises(CoreError) as caught:
        accept_model(replace(REQUEST, reasons=reason))
    assert (caught.value.code, caught.value.pointer) == ("reason-unused", "/reasons/0/subject")


def test_limits_stated_on_the_sheet_stand_in_place_of_the_defaults() -> None:
    rows = [*ROWS[:-1], replace(ROWS[-1], km_t_m=ROWS[-1].km_t_m + 0.02)]
    approved = replace(REQUEST.approved_hydrostatics, rows=rows)
    assert len(beyond(replace(REQUEST, approved_hydrostatics=approved))) == 1
    assert beyond(replace(REQUEST, approved_hydrostatics=approved, limits=StatedLimits(km_t_m=0.05))) == []


def test_what_was_not_compared_keeps_a_model_from_being_accepted() -> None:
    few = replace(REQUEST.approved_hydrostatics, rows=ROWS[:2])
    sheet = accept_model(replace(REQUEST, approved_hydrostatics=few, capacity_plan=None, mark_plan=None, spaces=[]))
    assert not sheet.accepted
    assert sheet.not_compared[0].split(":")[0] == "Draughts compared in the hydrostatics"
    assert len(sheet.not_compared) == 4
    assert sheet.sentence.startswith("Not accepted: beyond their limits 0 of 6 comparisons")


def test_nobody_is_no_checker() -> None:
    with pytest.raises(CoreError) as caught:
        accept_model(replace(REQUEST, checker="  "))
    assert (caught.value.code, caught.value.pointer) == ("checker-missing", "/checker")


def test_a_table_is_compared_like_a_hull() -> None:
    table = hull_table((0.0, 0.4))
    length = table["rows"][0]["lcf_m"] * 2
    vessel = from_document(Vessel, {"length_bp_m": length, "hydrostatic_table": table})
    rows = [
        ApprovedRow(row["draught_m"], row["volume_m3"], row["lcb_m"], row["km_t_m"], row["trim_m"])
        for row in table["rows"]
    ]
    approved = ApprovedHydrostatics("drawing 101", 1.0, "moulded-baseline", rows)
    sheet = accept_model(AcceptanceRequest(vessel, approved, "R. Hale", "2024-02-01", "1", spaces=REQUEST.spaces))
    assert sheet.accepted


def test_a_vessel_without_a_model_has_nothing_to_accept() -> None:
    with pytest.raises(CoreError) as caught:
        accept_model(replace(REQUEST, vessel=Vessel(LENGTH)))
    assert caught.value.code == "hull-or-table-missing"


def test_a_record_on_a_model_never_accepted_is_cautioned() -> None:
    record = TestRecord(VESSEL, Water([]))
    caution = acceptance_caution(record)
    assert caution is not None
    assert "never accepted" in caution
    accepted = replace(VESSEL, model_acceptance=ModelAcceptance("R. Hale", "2024-02-01", "3f9a"))
    assert acceptance_caution(replace(record, vessel=accepted)) is None


def test_the_result_of_a_test_on_a_model_never_accepted_says_so() -> None:
    def said(document: dict[str, Any]) -> bool:
        return any("never accepted" in caution for caution in judged(document).cautions)

    accepted = {"checker": "R. Hale", "date": "2024-02-01", "version": "3f9a"}
    assert said(clean())
    assert not said(changed(clean(), "vessel", "model_acceptance", to=accepted))


def test_draughts_and_trims_a_millimetre_apart_are_no_comparison_of_a_range() -> None:
    """A box is right at any one draught with the wrong flare above it: three draughts are asked for their range."""
    rows = [approved_row(2.0 + d, s) for d in (0.0, 0.001, 0.002) for s in (0.0, 0.001)]
    sheet = accept_model(replace(REQUEST, approved_hydrostatics=replace(REQUEST.approved_hydrostatics, rows=rows)))
    assert not sheet.accepted
    assert [text.split(";")[0] for text in sheet.not_compared] == [
        "Draughts compared in the hydrostatics: 1",
        "Trims compared in the hydrostatics: 1",
    ]


@pytest.mark.parametrize("swapped", [False, True])
def test_a_name_that_stands_twice_in_an_approved_document_is_refused(swapped: bool) -> None:
    """Of two rows of one tank only the last would be compared: 120 m³ stood unnoticed before 60 m³."""
    rows = [CapacityRow("FO 1", 120.0, 20.0, 2.5, 1.5), CapacityRow("FO 1", 60.0, 20.0, 2.5, 1.5)]
    plan = CapacityPlan("drawing 102", rows[::-1] if swapped else rows)
    with pytest.raises(CoreError) as caught:
        accept_model(replace(REQUEST, capacity_plan=plan))
    assert (caught.value.code, caught.value.pointer) == ("approved-twice", "/capacity_plan/rows/1/tank")
    marks = MarkPlan("drawing 103", [ApprovedMark("aft", 1.0, 0.5), *REQUEST.mark_plan.rows])  # type: ignore[union-attr]
    with pytest.raises(CoreError) as caught:
        accept_model(replace(REQUEST, mark_plan=marks))
    assert caught.value.pointer == "/mark_plan/rows/1/name"


def test_a_table_that_ends_ten_per_cent_short_is_found_though_the_capacity_is_right() -> None:
    short = replace(TANK, table=[TANK.table[0], replace(TANK.table[1], volume_m3=54.0)])
    found = beyond(replace(REQUEST, vessel=replace(VESSEL, tanks=[short])))
    assert [(one.subject, one.quantity) for one in found] == [("tank FO 1, table", "volume_m3")]
    assert found[0].difference == pytest.approx(-0.1)


def test_a_model_accepted_by_wider_limits_says_which() -> None:
    sheet = accept_model(replace(REQUEST, limits=StatedLimits(km_t_m=3.0, lcb_share_of_length=0.0005)))
    assert sheet.accepted
    assert sheet.sentence.endswith("31 comparisons. Limits wider than the office's: km_t_m 3 for 0.01.")


@pytest.mark.parametrize("slip", ["long tons", "amidships", "trim by the bow", "fresh water"])
def test_slips_of_units_datum_and_sign_in_what_is_approved_are_found(slip: str) -> None:
    rows = {
        "long tons": [replace(row, displacement_t=row.displacement_t / 1.0160469) for row in ROWS],
        "amidships": [replace(row, lcb_m=row.lcb_m - LENGTH / 2) for row in ROWS],
        "trim by the bow": [replace(row, trim_m=-row.trim_m) for row in ROWS],
        "fresh water": [replace(row, displacement_t=row.displacement_t / DENSITY) for row in ROWS],
    }
    assert beyond(replace(REQUEST, approved_hydrostatics=replace(REQUEST.approved_hydrostatics, rows=rows[slip])))
