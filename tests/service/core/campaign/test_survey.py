"""The survey: totals, landings, doubles, lumps, safe sides, and the lightship boundary."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.campaign.boundary import BoundaryDecision, check_boundary, in_force, reclassified
from heelwright_service.core.campaign.survey import (
    Limits,
    SurveyItem,
    carry_over,
    check_totals,
    landings,
    lumped,
    not_carried,
    safe_side_hint,
    totals,
    twins,
)
from heelwright_service.core.errors import CoreError
from hypothesis import given
from hypothesis import strategies as st

CABLE = SurveyItem("1", "Cable drum, main deck", "surplus", 2.0, 30.0, 1.0, 8.0)


def missing(mass_t: float, z_m: float) -> SurveyItem:
    return SurveyItem("m", "Mast", "missing", mass_t, 40.0, 0.0, z_m)


# 2008 IS Code annex 1, 4.1.4 (from memory): the six cases of the safe side.
@pytest.mark.parametrize(
    ("item", "heavy"),
    [
        (missing(1.0, 20.0), True),
        (missing(1.0, 1.0), False),
        (CABLE, False),
        (replace(CABLE, z_m=1.0), True),
        (replace(CABLE, kind="misplaced", to_z_m=12.0), True),
        (replace(CABLE, kind="misplaced", to_z_m=3.0), False),
    ],
)
def test_an_estimate_errs_on_the_safe_side(item: SurveyItem, heavy: bool) -> None:
    assert ("too heavy than" in safe_side_hint(item, 6.0)) is heavy


@given(st.sampled_from(["surplus", "missing"]), st.floats(0.1, 20.0), st.floats(0.0, 20.0))
def test_the_safe_side_is_the_one_that_raises_the_lightship(kind: str, mass_t: float, z_m: float) -> None:
    item = SurveyItem("1", "Thing", kind, mass_t, 0.0, 0.0, z_m)
    sign = 1.0 if kind == "missing" else -1.0

    def vcg(mass: float) -> float:
        return (1000.0 * 6.0 + sign * mass * z_m) / (1000.0 + sign * mass)

    heavier_raises = vcg(1.1 * mass_t) > vcg(mass_t) + 1e-12
    lighter_raises = vcg(0.9 * mass_t) > vcg(mass_t) + 1e-12
    if heavier_raises or lighter_raises:
        assert ("too heavy than" in safe_side_hint(item, vcg(mass_t))) is heavier_raises


def test_a_weighed_item_needs_no_hint() -> None:
    assert safe_side_hint(replace(CABLE, found_by="weighed"), 6.0) == ""


def test_totals_count_people_and_weights_as_surplus() -> None:
    found = totals([CABLE, missing(10.0, 20.0)], 1000.0, persons_and_weights_t=8.0)
    assert (found.surplus_percent, found.missing_percent) == (pytest.approx(1.0), pytest.approx(1.0))


@pytest.mark.parametrize(("mass", "status"), [(20.0, "pass"), (20.1, "fail")])
def test_missing_weight_is_limited_to_two_per_cent(mass: float, status: str) -> None:
    # IACS Recommendation 31
    check = check_totals(totals([missing(mass, 20.0)], 1000.0))[0]
    assert (check.id, check.status) == ("P-07", status)


def test_limits_agreed_for_a_small_vessel_are_shown_with_their_source() -> None:
    own = Limits(8.0, 4.0, "agreed with the Administration")
    check = check_totals(totals([missing(30.0, 20.0)], 1000.0), own)[0]
    assert (check.status, check.source) == ("pass", "agreed with the Administration")


def test_without_a_lightship_there_is_no_percentage() -> None:
    with pytest.raises(CoreError):
        totals([], 0.0)


def test_landing_the_heaviest_first_shows_what_is_left() -> None:
    items = [CABLE, replace(CABLE, id="2", mass_t=30.0), replace(CABLE, id="3", mass_t=20.0)]
    steps = landings(items, 1000.0)
    assert [each.id for each in steps] == ["2", "3", "1"]
    assert [round(each.surplus_percent, 6) for each in steps] == [2.2, 0.2, 0.0]


def test_one_thing_entered_twice_is_found() -> None:
    again = replace(CABLE, id="2", description="cable drum main deck", x_m=30.4, mass_t=2.1)
    assert [(each.first, each.second) for each in twins([CABLE, again])] == [("1", "2")]


def test_many_items_alike_are_each_named_with_one_of_them_and_not_with_all() -> None:
    pallets = [replace(CABLE, id=str(n), description="Pallet") for n in range(60)]
    found = twins(pallets)
    assert len(found) == 59
    assert {each for pair in found for each in (pair.first, pair.second)} == {each.id for each in pallets}


def test_a_row_that_is_like_two_unlike_ones_is_named_with_both() -> None:
    ends = [replace(CABLE, id="1", x_m=30.0), replace(CABLE, id="2", x_m=32.0)]
    assert twins(ends) == []
    found = twins([*ends, replace(CABLE, id="3", x_m=31.0)])
    assert [(each.first, each.second) for each in found] == [("1", "3"), ("2", "3")]


@pytest.mark.parametrize("change", [{"y_m": -1.0}, {"mass_t": 4.0}, {"kind": "missing"}, {"description": "Anchor"}])
def test_a_mate_on_the_other_side_is_no_double(change: dict[str, object]) -> None:
    assert twins([CABLE, replace(CABLE, id="2", **change)]) == []


def test_a_tanks_contents_are_not_listed_once_more() -> None:
    water = SurveyItem("9", "Water in fore peak tank", "surplus", 12.0, 60.0, 0.0, 3.0)
    assert twins([water], tank_names=["Fore peak tank"])[0].second == "Fore peak tank"
    assert twins([replace(water, description="Bosun's effects")], persons=["Ingrid Vale"]) == []


def test_items_below_the_materiality_limit_may_be_lumped_without_changing_the_moment() -> None:
    small = [replace(CABLE, id=str(i), mass_t=0.1 * i, x_m=10.0 * i) for i in range(1, 4)]
    [row] = lumped([*small, replace(CABLE, mass_t=50.0)], 1.0, 6.0)
    assert row.ids == ("1", "2", "3")
    assert row.mass_t * row.x_m == pytest.approx(sum(each.mass_t * each.x_m for each in small))


def test_an_advisory_row_is_ticked_not_typed() -> None:
    advisory = replace(CABLE, survey="advisory")
    row = carry_over(advisory, "10", 1.5)
    assert (row.carried_from, row.mass_t, row.x_m) == ("1", 1.5, 30.0)
    assert not_carried([advisory], [row]) == []
    assert not_carried([advisory], []) == [advisory]
    with pytest.raises(CoreError):
        carry_over(CABLE, "10")


NETS = BoundaryDecision("nets", "load", "Owner and class", "2028-03-01")


def test_what_the_register_calls_load_is_not_listed_as_missing() -> None:
    item = replace(CABLE, kind="missing", item_class="nets")
    assert check_boundary([item], [NETS])[0].status == "warn"
    assert check_boundary([replace(item, kind="surplus")], [NETS])[0].status == "pass"


def test_a_class_nobody_decided_on_is_asked_about() -> None:
    assert "nobody has decided" in check_boundary([replace(CABLE, item_class="spares")], [NETS])[0].text


def test_a_later_decision_counts_and_shows_as_reclassified() -> None:
    later = replace(NETS, counts="lightship", decided_on="2030-01-01")
    assert in_force([later, NETS])["nets"].counts == "lightship"
    assert in_force([later, NETS], "2029-01-01")["nets"].counts == "load"
    assert [each.item_class for each in reclassified([later, NETS], "2029-01-01", "2031-01-01")] == ["nets"]
    assert reclassified([NETS], "2029-01-01", "2031-01-01") == []
