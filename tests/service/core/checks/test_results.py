"""The two methods, the masses listed and the lightship found."""

from __future__ import annotations

from dataclasses import fields

import pytest
from heelwright_service.core.checks.methods import metacentre_change
from heelwright_service.core.record import StatedUncertainties

from tests.support.simulator import Options, simulate

from .records import (
    LENGTH_M,
    SIMULATED_NAMES,
    Document,
    changed,
    check,
    clean,
    given_of,
    hull_table,
    judged,
    readings,
    simulated,
    statuses,
    survey,
)


def with_item(**values: object) -> Document:
    record = clean()
    item = {"description": "Something", "kind": "surplus", "mass_t": 1.0, "x_m": 30.0, "y_m": 0.0, "z_m": 5.0}
    record["items"].append({**item, **values})
    return record


def test_methods_are_compared_against_the_uncertainty() -> None:
    found = check(clean(), "C-20", u95_m=0.020)
    assert (found.status, found.side) == ("pass", "unsafe")
    assert check(clean(), "C-20", u95_m=0.001).status == "warn"
    assert any("differ by more than the uncertainty" in c for c in judged(clean(), u95_m=0.001).cautions)


def test_without_an_uncertainty_the_difference_is_told_but_not_judged() -> None:
    found = check(clean(), "C-20", u95_m=None)
    assert found.status == "not-assessed"
    assert "mm lower than by heeled equilibrium" in found.text


def test_with_one_method_there_is_nothing_to_compare() -> None:
    assert check(clean(), "C-20", method="small-angle").status == "not-assessed"
    assert any("only the small-angle method was used" in c for c in judged(clean(), method="small-angle").cautions)


def test_the_number_of_record_is_named() -> None:
    assert any("number of record" in caution for caution in judged(clean()).cautions)


def test_a_wall_sided_hull_raises_its_metacentre_by_half_bm_times_the_square_of_the_tangent() -> None:
    # wall-sided formula: KM(φ) = KM + BM·tan²φ/2; BM = B²/(12·T)
    given = given_of(clean())
    found = metacentre_change(given)
    assert found is not None
    tangent = float(abs(given.state_tangents).max())
    bm = 14.0**2 / (12.0 * 2.8877)
    assert found[0] == pytest.approx(bm * tangent**2 / 2.0 / 7.1, rel=1e-3)


def flared() -> Document:
    """A hull whose sides open out above the waterline."""
    record = clean()
    contour = [[0.0, 0.0], [5.2, 0.0], [7.0, 2.8877], [13.0, 4.4]]
    for station in record["vessel"]["hull"]["stations"]:
        station["contour_m"] = contour
    return record


def test_a_flared_hull_changes_its_metacentre_beyond_a_percent() -> None:
    found = check(flared(), "P-21")
    assert (found.status, found.side) == ("warn", "unsafe")
    assert check(clean(), "P-21").status == "pass"


def inclined_in_equilibrium(record: Document, gm_m: float) -> Document:
    """The record with the readings that its own hull gives in equilibrium."""
    given = given_of(record, method="small-angle")
    assert given.source is not None
    floating, planes = given.outcome.floating, given.outcome.planes
    free = float(given.outcome.free_surface_t_m[0]) / given.displacement_t
    kg = float(floating.km_t_m[0]) - gm_m - free
    wanted = given.state_moments_t_m / given.displacement_t
    tangents = wanted / gm_m
    for _ in range(20):
        arms, slopes = given.source.arms(floating, planes, tangents[None])
        lift = kg + free * (1.0 + 0.5 * tangents**2)
        tangents = tangents - (arms[0] - tangents * lift - wanted) / (slopes[0] - lift)
    return changed(record, "readings", to=readings(tangents.tolist()))


def test_a_bend_that_the_hull_explains_asks_nothing_of_those_on_board() -> None:
    told = [c for c in judged(inclined_in_equilibrium(flared(), 0.95)).cautions if "a bend alike to both sides" in c]
    assert len(told) == 1
    assert "The hull form explains it" in told[0]
    assert "nothing on board" in told[0]


def test_the_methods_part_on_a_flared_hull_and_the_reason_is_the_hull() -> None:
    record = inclined_in_equilibrium(flared(), 0.95)
    found = check(record, "C-20", u95_m=0.01)
    assert (found.status, found.side) == ("warn", "unsafe")
    told = [c for c in judged(record, u95_m=0.01).cautions if "differ by more than the uncertainty" in c]
    assert len(told) == 1
    assert "flare or a chine" in told[0]


@pytest.mark.parametrize("name", SIMULATED_NAMES)
def test_the_methods_agree_within_an_ordinary_uncertainty_on_ordinary_hulls(name: str) -> None:
    assert check(simulated(name), "C-20", u95_m=0.03).status == "pass"


def test_a_simulated_test_on_a_bent_hull_shows_its_hog_and_keeps_the_line_straight() -> None:
    # floated by a simulator that shares no mathematics with the reduction, read at six marks without error
    bent = simulate("box_barge", 3, options=Options(hog_m=0.04, stations=41, refine=2)).record
    found = check(bent, "hog")
    assert found.value == pytest.approx(40.0, abs=0.1)
    assert {check(bent, f"C-07-{part}").status for part in ("residual", "sides", "instruments", "zero")} == {"pass"}


def test_missing_masses_are_added_to_get_the_lightship() -> None:
    found = check(clean(), "P-07")
    assert found.text.startswith("Missing, to be added to get the lightship: 9.500 t")
    assert (found.status, found.limit) == ("pass", 2.0)


@pytest.mark.parametrize(("percent", "status"), [(1.99, "pass"), (2.01, "fail")])
def test_missing_beyond_two_percent_fails(percent: float, status: str) -> None:
    # IACS Recommendation 31: 2 % of the lightship; the missing mass itself makes her heavier
    other = given_of(changed(clean(), "items", to=[])).lightship.mass_t[0]
    mass = float(other) * percent / (100.0 - percent)
    record = changed(
        clean(),
        "items",
        to=[{"description": "Crane", "kind": "missing", "mass_t": mass, "x_m": 30.0, "y_m": 0.0, "z_m": 9.0}],
    )
    found = check(record, "P-07")
    assert found.status == status
    assert found.value == pytest.approx(percent)


def test_surplus_counts_persons_and_weights_but_no_liquids() -> None:
    found = check(clean(), "P-08")
    # 4 t of tools, 0.16 t of persons, 12 t of weights
    light = float(given_of(clean()).lightship.mass_t[0])
    assert found.value == pytest.approx(100.0 * 16.16 / light)
    assert check(with_item(mass_t=100.0), "P-08").status == "fail"


def test_small_vessels_may_be_allowed_more_but_fail_until_they_are() -> None:
    small = simulated("chine-12")
    small["items"][0]["mass_t"] = 2.0
    found = check(small, "P-08")
    assert found.status == "fail"
    assert "case by case" in found.text


@pytest.mark.parametrize(
    "place",
    [
        {"x_m": 90.0},
        {"x_m": -8.0},
        {"y_m": 9.0},
        {"z_m": -2.0},
        {"z_m": 40.0},
        {"kind": "misplaced", "to_x_m": 30.0, "to_y_m": 0.0, "to_z_m": 50.0},
    ],
)
def test_a_mass_outside_the_ship_is_named(place: dict[str, object]) -> None:
    found = check(with_item(description="Spare anchor", **place), "item-places")
    assert found.status == "warn"
    assert "Spare anchor" in found.text


def test_a_mast_and_an_overhang_are_within_the_ship() -> None:
    assert check(with_item(x_m=-3.0, z_m=25.0), "item-places").status == "pass"


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"description": "Tools in the workshop", "kind": "missing"}, "of one name"),
        ({"description": "Box", "mass_t": 4.0, "x_m": 40.0, "z_m": 6.0}, "of one mass at one place"),
        ({"description": "Fresh water in FW 1"}, "the tank 'FW 1'"),
        ({"description": "Weight A"}, "the inclining weight 'A'"),
        ({"description": "one"}, "of one name"),
    ],
)
def test_nothing_is_counted_twice_unseen(entry: dict[str, object], words: str) -> None:
    found = check(with_item(**entry), "RR-13")
    assert found.status == "warn"
    assert words in found.text


def test_like_things_in_different_places_are_no_double_entry() -> None:
    record = with_item(description="Liferafts", kind="missing", mass_t=3.5, x_m=27.0, z_m=14.0)
    assert check(record, "RR-13").status == "pass"


def test_the_height_of_the_lightship_is_set_against_the_depth() -> None:
    # 1.2 times the depth is the most that is believed; this simulated barge lies at 1.85
    assert check(simulated("box-14"), "RR-18").status == "warn"
    assert check(clean(), "RR-18").status == "pass"


def approved(mass_off_t: float, vcg_off_m: float) -> Document:
    light = given_of(clean()).lightship
    mass, lcg, vcg = (float(value[0]) for value in (light.mass_t, light.lcg_m, light.vcg_m))
    older = {"mass_t": mass - mass_off_t, "lcg_m": lcg, "tcg_m": 0.0, "vcg_m": vcg - vcg_off_m, "date": "2014-05-01"}
    return changed(clean(), "vessel", "approved_lightship", to=older)


def test_a_gain_on_deck_is_plausible_and_its_centre_is_told() -> None:
    light = given_of(clean()).lightship
    mass, vcg = float(light.mass_t[0]), float(light.vcg_m[0])
    found = check(approved(30.0, 0.03), "implied-centre")
    # (W1·z1 − W0·z0)/(W1 − W0)
    assert found.status == "pass"
    assert found.value == pytest.approx((mass * vcg - (mass - 30.0) * (vcg - 0.03)) / 30.0)
    assert "1 May 2014" in found.text


@pytest.mark.parametrize("rise_m", [0.6, -0.4])
def test_a_gain_that_lies_outside_the_ship_is_likelier_an_error(rise_m: float) -> None:
    found = check(approved(30.0, rise_m), "implied-centre")
    assert found.status == "warn"
    assert "likelier than weight" in found.text


def test_too_small_a_gain_has_no_centre() -> None:
    found = check(approved(2.0, 0.5), "implied-centre")
    assert found.status == "not-assessed"
    assert "too little to speak of a centre" in found.text


def test_a_survey_is_judged_by_what_applies_and_knows_no_height() -> None:
    found = statuses(survey())
    assert not {name for name in found if name.startswith(("W-", "H-", "C-", "P-22", "T-"))}
    assert {"R-01", "R-07", "P-18", "K-02", "P-07", "P-08", "RR-13"} <= set(found)
    assert found["RR-18"] == "not-assessed"
    assert any("VCG is unknown here, not zero" in caution for caution in judged(survey()).cautions)


def test_a_survey_against_the_approved_lightship_is_compared_along_the_ship() -> None:
    older = {"mass_t": 2000.0, "lcg_m": LENGTH_M / 2, "tcg_m": 0.0, "vcg_m": 6.0}
    found = check(changed(survey(), "vessel", "approved_lightship", to=older), "implied-centre")
    assert found.status == "pass"
    assert "forward of the aft perpendicular" in found.text


def test_what_was_assumed_is_said() -> None:
    cautions = judged(clean()).cautions
    assert any("taken by default" in c and "freeboards 5 mm" in c and "draughts" not in c for c in cautions)
    assert any("no allowance for the shell" in c for c in cautions)
    every = {field.name: 0.001 for field in fields(StatedUncertainties)}
    assert not any("taken by default" in c for c in judged(changed(clean(), "uncertainties", to=every)).cautions)


def test_an_ullage_says_where_it_was_counted_from() -> None:
    record = clean()
    del record["soundings"][0]["sounding_m"]
    record["soundings"][0]["ullage_m"] = 1.0
    assert any("FW 1 (from 2.000 m)" in caution for caution in judged(record).cautions)


def test_a_table_says_what_it_leaves_out() -> None:
    record = changed(clean(), "vessel", "hull", to=None)
    told = judged(changed(record, "vessel", "hydrostatic_table", to=hull_table())).cautions
    assert any("the metacentre is fixed" in caution for caution in told)


def test_a_record_without_a_rule_set_says_which_figures_were_used() -> None:
    assert any("names no rule set" in c for c in judged(changed(clean(), "test", to={})).cautions)
    assert not any("names no rule set" in c for c in judged(clean()).cautions)
