"""Readiness: what blocks, what can be waived, and what never can."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.readiness import Point, Waiver, check_waiver, decide
from heelwright_service.core.campaign.tank_document import PlannedTank, TankPlan
from heelwright_service.core.campaign.tanks_found import EntryPermit, TankFound, counts, tank_points
from heelwright_service.core.errors import CoreError

VOID = PlannedTank("Void 7", "empty", space="void", entry=True)
FULL = PlannedTank("Aft peak", "pressed", liquid="ballast-water")
PAIR = [
    PlannedTank("Day P", "slack", liquid="fuel-day", pair_with="Day S"),
    PlannedTank("Day S", "slack", liquid="fuel-day"),
]
PLAN = TankPlan([VOID, FULL, *PAIR])
PERMIT = EntryPermit(
    "Void 7", "H. Larkin", "GF 118", 20.9, "2031-05-14T06:00:00+00:00", "2031-05-14T18:00:00+00:00", "Mate", "Tripod"
)
NOON = "2031-05-14T14:00:00+02:00"
GOOD = [
    TankFound("Void 7", "empty", "entered", 0.0, at=NOON),
    TankFound("Aft peak", "pressed", "vent-overflow"),
    TankFound("Day P", "slack", "sounded", 1.0),
    TankFound("Day S", "slack", "sounded", 1.1),
]


def ids(found: list[TankFound], permits: tuple[EntryPermit, ...] = (PERMIT,)) -> dict[str, Point]:
    return {each.id: each for each in tank_points(PLAN, found, permits, NOON)}


def changed(tank: str, **facts: object) -> list[TankFound]:
    return [replace(each, **facts) if each.tank == tank else each for each in GOOD]


def test_tanks_as_planned_with_evidence_stand_in_no_ones_way() -> None:
    assert ids(GOOD) == {}


def test_a_missing_gas_free_certificate_blocks_and_cannot_be_waived() -> None:
    point = ids(GOOD, ())["gas-free/Void 7"]
    assert not decide([point], [Waiver(point.id, "A. Hurry", "we are late")]).ready
    with pytest.raises(CoreError) as refused:
        check_waiver(Waiver(point.id, "A. Hurry", "we are late"), [point])
    assert refused.value.code == "waiver-not-allowed"


@pytest.mark.parametrize(
    "permit",
    [
        replace(PERMIT, oxygen_percent=19.5),
        replace(PERMIT, oxygen_percent=23.5),
        replace(PERMIT, valid_until="2031-05-14T11:59:00+00:00"),
        replace(PERMIT, issued_at="2031-05-14T12:01:00+00:00"),
        replace(PERMIT, tank="Void 8"),
    ],
)
def test_a_permit_that_does_not_cover_the_entry_blocks(permit: EntryPermit) -> None:
    assert "gas-free/Void 7" in ids(GOOD, (permit,))


def test_a_permit_is_compared_by_the_clock_not_by_its_text() -> None:
    later = replace(PERMIT, valid_until="2031-05-14T13:30:00+01:00")
    assert "gas-free/Void 7" not in ids(GOOD, (later,))


def test_an_assumed_tank_blocks_and_is_never_waived() -> None:
    point = ids(changed("Aft peak", evidence="assumed"))["tank/Aft peak/evidence"]
    assert (point.severity, point.waivable) == ("block", False)
    assert "tank/Aft peak/evidence" in ids(changed("Aft peak", evidence=None))


def test_a_gauge_counts_less() -> None:
    assert ids(changed("Aft peak", evidence="gauge"))["tank/Aft peak/evidence"].severity == "block"
    assert ids(changed("Day P", evidence="gauge"))["tank/Day P/evidence"].severity == "warn"
    assert counts(TankFound("x", "slack", "gauge"))
    assert not counts(TankFound("x", "empty", "gauge"))


def test_a_tank_not_sounded_blocks() -> None:
    assert "tank/Day S/sounded" in ids(GOOD[:-1])


def test_a_mismatch_in_an_empty_or_pressed_tank_is_a_stop() -> None:
    assert ids(changed("Aft peak", state="slack"))["tank/Aft peak/state"].severity == "block"
    assert ids(changed("Void 7", sounding_m=0.15))["tank/Void 7/state"].severity == "block"
    assert "tank/Void 7/state" not in ids(changed("Void 7", sounding_m=0.01))


def test_a_slack_tank_at_another_level_is_no_stop() -> None:
    assert ids(changed("Day P", sounding_m=1.3)) == {}
    assert ids(changed("Day P", state="empty", evidence="seen"))["tank/Day P/state"].severity == "warn"


def test_equal_levels_in_a_slack_pair_are_warned_of() -> None:
    assert ids(changed("Day P", sounding_m=1.102))["pair/Day P/Day S"].severity == "warn"


def test_a_waiver_needs_a_name_a_reason_and_something_to_waive() -> None:
    point = Point("P-08", "Surplus 4.3 %.", "Land the heaviest.")
    for waiver, code in (
        (Waiver("P-08", " ", "fine"), "waiver-incomplete"),
        (Waiver("P-08", "R. Osei", ""), "waiver-incomplete"),
        (Waiver("P-09", "R. Osei", "fine"), "point-unknown"),
    ):
        with pytest.raises(CoreError) as refused:
            check_waiver(waiver, [point])
        assert refused.value.code == code


def test_a_waived_point_is_still_shown() -> None:
    found = decide([Point("P-08", "Surplus 4.3 %.", "Land.")], [Waiver("P-08", "R. Osei", "crane came late")])
    assert found.ready
    assert (found.waived[0].waived_by, found.waived[0].waived_reason) == ("R. Osei", "crane came late")
    assert found.blocking == ()
