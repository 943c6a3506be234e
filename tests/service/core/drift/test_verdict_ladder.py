"""From deviations to actions, boundary by boundary."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.drift import LightshipRecord
from heelwright_service.core.drift.request import Basis
from heelwright_service.core.rules import RuleVessel

from tests.service.core.drift.builders import EXACT, SHIP, TESTED, added, drift_of, record, verdict_on


def action_of(
    basis: Basis,
    mass_t: float = 4000.0,
    lcg_m: float = 50.0,
    vcg_m: float = 7.5,
    tcg_m: float = 0.0,
    rule_set: str = "solas-2020",
    vessel: RuleVessel = SHIP,
    baseline: LightshipRecord = TESTED,
) -> str:
    later = record("2020-01-01", basis, mass_t, lcg_m, tcg_m, None if basis == "lightweight-survey" else vcg_m)
    return drift_of([baseline, later], vessel=vessel, rule_set=rule_set).items[0].action


@pytest.mark.parametrize(
    ("mass_t", "lcg_m", "action"),
    [
        (4080.000, 50.0, "adopt"),
        (4080.001, 50.0, "re-incline"),
        (3919.999, 50.0, "re-incline"),
        (4000.0, 51.050, "adopt"),
        (4000.0, 48.950, "adopt"),
        (4000.0, 51.0501, "re-incline"),
        (4000.0, 48.9499, "re-incline"),
    ],
)
def test_a_survey_is_adopted_within_two_per_cent_and_one_per_cent_of_length(
    mass_t: float, lcg_m: float, action: str
) -> None:
    # SOLAS 1974 II-1/5.5: L 105 m, 4000 t
    assert action_of("lightweight-survey", mass_t, lcg_m) == action


@pytest.mark.parametrize(
    ("mass_t", "lcg_m", "vcg_m", "action"),
    [
        (4040.000, 50.0, 7.5, "record"),
        (4040.001, 50.0, 7.5, "amend"),
        (4080.000, 50.0, 7.5, "amend"),
        (4080.001, 50.0, 7.5, "re-incline"),
        (4000.0, 50.525, 7.5, "record"),
        (4000.0, 50.5251, 7.5, "amend"),
        (4000.0, 51.0501, 7.5, "re-incline"),
        (4000.0, 50.0, 7.5375, "record"),
        (4000.0, 50.0, 7.5376, "amend"),
        (4000.0, 50.0, 7.5750, "amend"),
        (4000.0, 50.0, 7.5751, "re-incline"),
        (4000.0, 50.0, 7.4249, "re-incline"),
    ],
)
def test_calculated_alterations_climb_from_record_to_amend_to_re_incline(
    mass_t: float, lcg_m: float, vcg_m: float, action: str
) -> None:
    # explanatory notes to SOLAS II-1/5.4, MSC.429(98)/Rev.2
    assert action_of("calculation", mass_t, lcg_m, vcg_m) == action
    assert action_of("estimate", mass_t, lcg_m, vcg_m) == action


@pytest.mark.parametrize("basis", ["lightweight-survey", "calculation"])
def test_a_transverse_shift_is_shown_and_never_decides(basis: Basis) -> None:
    assert action_of(basis, tcg_m=3.0) == action_of(basis, tcg_m=0.0)
    later = record("2020-01-01", basis, 4000.0, tcg_m=3.0)
    found = drift_of([TESTED, later]).items[0].delta.tcg_m
    assert found is not None
    assert found.value == 3.0


def test_the_running_total_re_inclines_although_each_step_is_small() -> None:
    # explanatory notes to SOLAS II-1/5.4, third paragraph: three times 30 t is 0.75, 1.5 and 2.25 % of 4000 t
    log = [added("2016-01-01", 30.0), added("2017-01-01", 30.0), added("2018-01-01", 30.0)]
    actions = [drift_of([TESTED], log[: count + 1]).logged.action for count in range(3)]
    assert actions == ["record", "amend", "re-incline"]


def test_a_survey_does_not_reset_the_running_total_and_an_approved_inclining_does() -> None:
    log = [added("2016-01-01", 50.0), added("2018-01-01", 50.0)]
    survey = record("2017-01-01", "lightweight-survey", 4050.0, approved=True)
    assert drift_of([TESTED, survey], log).logged.action == "re-incline"
    test = replace(TESTED, date="2017-01-01", mass_t=4050.0)
    assert drift_of([TESTED, test], log).logged.action == "amend"


def test_the_old_interpretation_allows_two_tonnes_on_a_small_ship() -> None:
    # MSC/Circ.1158 paragraph 4: 80 t, 2 t is more than 2 %
    small, launch = replace(TESTED, mass_t=80.0), RuleVessel("cargo", 25.0, keel_laid="1995-03-01")
    later = [record("2020-01-01", "calculation", mass, vcg_m=7.5) for mass in (82.0, 82.001)]
    actions = [drift_of([small, each], vessel=launch, rule_set=None).items[0].action for each in later]
    assert actions == ["amend", "re-incline"]


def test_a_survey_takes_mass_and_lcg_and_keeps_the_height_of_the_last_inclining() -> None:
    survey = record("2020-01-01", "lightweight-survey", 4050.0, 50.4, 0.02)
    adopted = drift_of([TESTED, survey]).items[0].adopted
    assert adopted is not None
    assert (adopted.mass_t, adopted.lcg_m, adopted.tcg_m, adopted.vcg_m) == (4050.0, 50.4, 0.02, 7.5)
    assert adopted.origins["vcg_m"] == "inclining test of 10 Jun 2015"
    assert adopted.origins["mass_t"] == "lightweight survey of 1 Jan 2020"
    assert adopted.rule == "D-10"


def test_a_survey_has_no_height_even_if_somebody_writes_one() -> None:
    survey = record("2020-01-01", "lightweight-survey", 4050.0, vcg_m=9.0)
    drift = drift_of([TESTED, survey])
    assert drift.items[0].delta.vcg_m is None
    assert drift.items[0].adopted is not None
    assert drift.items[0].adopted.vcg_m == 7.5
    assert any("measures no VCG" in text for text in drift.cautions)


def test_a_us_fishing_vessel_is_compared_with_her_first_lightweight() -> None:
    # 46 CFR 28.501: cumulative against the original; 3 % of 200 t is 6 t
    boat = RuleVessel("fishing", 26.0)
    first = record("2000-01-01", "inclining-test", 200.0, 12.0, 0.0, 3.0, approved=True)
    second = record("2010-01-01", "inclining-test", 204.0, 12.0, 0.0, 3.02, approved=True)
    later = record("2020-01-01", "calculation", 207.0, 12.0, 0.0, 3.051)
    item = drift_of([first, second, later], vessel=boat, rule_set="us-fishing").items[0]
    assert item.delta.mass_t.value == pytest.approx(3.0)
    assert verdict_on(item, "D-32").value == pytest.approx(7.0)
    assert verdict_on(item, "D-32").regulatory == "fail"
    assert verdict_on(item, "D-32", "vcg_m").value == pytest.approx(0.051)
    assert verdict_on(item, "D-32", "vcg_m").regulatory == "pass"
    assert item.action == "re-incline"


def test_a_unit_s_survey_is_judged_against_the_calculated_lightship() -> None:
    # 1989 MODU Code 3.1.5: 1 % of operating displacement 40 000 t is 400 t
    unit = RuleVessel("semi-submersible", 90.0, column_stabilized=True, operating_displacement_t=40000.0)
    tested = record("2015-01-01", "inclining-test", 20000.0, 45.0, 0.0, 20.0, approved=True)
    log = [added("2016-01-01", 500.0, 45.0)]
    survey = record("2020-01-01", "lightweight-survey", 20850.0, 45.0)
    item = drift_of([tested, survey], log, vessel=unit, rule_set="modu-1989").items[0]
    assert verdict_on(item, "T-14").value == pytest.approx(350.0)
    assert item.action == "adopt"
    heavier = replace(survey, mass_t=20901.0)
    assert drift_of([tested, heavier], log, vessel=unit, rule_set="modu-1989").items[0].action == "re-incline"


UNIT = RuleVessel("semi-submersible", 90.0, column_stabilized=True)


@pytest.mark.parametrize(("mass_t", "action"), [(20850.0, "re-incline"), (20300.0, "adopt")])
def test_a_limit_that_needs_an_unknown_figure_names_it_and_the_yardstick_stands_in(mass_t: float, action: str) -> None:
    tested = record("2015-01-01", "inclining-test", 20000.0, 45.0, 0.0, 20.0, approved=True)
    survey = record("2020-01-01", "lightweight-survey", mass_t, 45.0)
    item = drift_of([tested, survey], vessel=UNIT, rule_set="modu-1989").items[0]
    assert "operating_displacement_t" in item.not_assessed[0]
    assert (item.action, item.action_force) == (action, "yardstick")
    assert {each.rule for each in item.verdicts} == {"D-07", "D-08"}
    assert all(each.advisory for each in item.verdicts)


@pytest.mark.parametrize(
    ("rule_set", "vessel"),
    [
        ("canada-offshore", RuleVessel("offshore-unit", 80.0, breadth_m=60.0)),
        ("france-cargo-500", RuleVessel("cargo", 40.0)),
        ("us-towing", RuleVessel("tug", 40.0)),
        ("uk-small-fishing", RuleVessel("fishing", 13.0)),
        ("modu-2009", RuleVessel("jack-up", 80.0)),
    ],
)
def test_a_survey_that_no_rule_of_the_set_covers_is_measured_by_the_general_ladder(
    rule_set: str, vessel: RuleVessel
) -> None:
    # 12.5 % over: SOLAS 1974 II-1/5.5 (2 %) as a yardstick, without force
    drift = drift_of([TESTED, record("2020-01-01", "lightweight-survey", 4500.0)], vessel=vessel, rule_set=rule_set)
    item = drift.items[0]
    assert (item.action, item.action_force) == ("re-incline", "yardstick")
    assert item.action_reason.startswith("D-07")
    assert any("yardstick" in text for text in drift.cautions)


def test_a_log_that_no_rule_of_the_set_covers_is_measured_by_the_general_ladder() -> None:
    # 500 t on a unit of 20 000 t: 1989 MODU Code 3.1.5 compares surveys alone
    tested = record("2015-01-01", "inclining-test", 20000.0, 45.0, 0.0, 20.0, approved=True)
    unit = replace(UNIT, operating_displacement_t=20000.0)
    logged = drift_of([tested], [added("2016-01-01", 500.0, 45.0, 0.0, 20.0)], vessel=unit, rule_set="modu-2009").logged
    assert (logged.action, logged.action_force) == ("re-incline", "yardstick")
    small = drift_of([tested], [added("2016-01-01", 50.0, 45.0, 0.0, 20.0)], vessel=unit, rule_set="modu-2009").logged
    assert (small.action, small.action_force) == ("record", "yardstick")


@pytest.mark.parametrize(
    ("mass_t", "verdict", "action"),
    [(4500.0, "fail", "re-incline"), (4040.0, "pass", "adopt")],
)
def test_a_survey_beyond_a_limit_from_weak_memory_is_not_hidden(mass_t: float, verdict: str, action: str) -> None:
    # Marine Technical Note 04-95, from memory with medium confidence: 1 % of 4000 t is 40 t
    boat = RuleVessel("cargo", 50.0, length_bp_m=48.0)
    drift = drift_of([TESTED, record("2020-01-01", "lightweight-survey", mass_t)], vessel=boat, rule_set="us-mtn")
    found = verdict_on(drift.items[0], "D-25")
    assert (found.regulatory, found.advisory) == (verdict, True)
    assert (drift.items[0].action, drift.items[0].action_force) == (action, "advisory")


@pytest.mark.parametrize(("mass_t", "action"), [(90.0, "survey"), (500.0, "re-incline"), (80.0, "record")])
def test_a_rule_from_weak_memory_advises_and_is_heard(mass_t: float, action: str) -> None:
    drift = drift_of([TESTED], [added("2016-01-01", mass_t)], rule_set="us-mtn")
    assert (drift.logged.action, drift.logged.action_force) == (action, "advisory")
    advised = [text for text in drift.cautions if text.startswith("D-25 advises")]
    assert bool(advised) == (action != "record")


def test_a_rule_that_binds_decides_before_one_that_only_advises() -> None:
    # MSC/Circ.1158 paragraph 4: mass is found in the text, LCG from weak memory
    old = RuleVessel("cargo", 105.0, length_bp_m=100.0)
    both = record("2020-01-01", "calculation", 4081.0, 51.5, vcg_m=7.5)
    assert drift_of([TESTED, both], vessel=old, rule_set="solas-pre-2009").items[0].action_force == "binding"
    shifted = replace(both, mass_t=4000.0)
    item = drift_of([TESTED, shifted], vessel=old, rule_set="solas-pre-2009").items[0]
    assert (item.action, item.action_force) == ("re-incline", "advisory")


@pytest.mark.parametrize(("tested_t", "action", "regulatory"), [(440.0, "none", "pass"), (441.0, "amend", "fail")])
def test_a_first_test_is_held_against_the_calculation_that_predicted_it(
    tested_t: float, action: str, regulatory: str
) -> None:
    # France, division 222, art. 222-2.08 para 1.2.9: file redone over 10 % of displacement
    predicted = record("2019-01-01", "estimate", 400.0, 18.0, 0.0, 3.0)
    tested = record("2020-01-01", "inclining-test", tested_t, 18.0, 0.0, 3.0, approved=True)
    item = drift_of([predicted, tested], vessel=RuleVessel("cargo", 40.0), rule_set="france-cargo-500").earlier[0]
    assert (verdict_on(item, "D-31").regulatory, item.action) == (regulatory, action)
    assert item.not_assessed == ["D-31 on GM was not judged: the change is not known."]


def test_a_canadian_unit_is_surveyed_at_once_when_her_weight_changes_by_one_per_cent() -> None:
    # SOR/96-118 s. 57(8)
    unit = RuleVessel("offshore-unit", 105.0)
    over = drift_of([TESTED], [added("2022-01-01", 40.1)], vessel=unit, rule_set="canada-offshore")
    assert over.logged.action == "survey"
    assert over.next_due is not None
    assert (over.next_due.rule, over.next_due.date) == ("T-19", "2024-01-01")
    at = drift_of([TESTED], [added("2022-01-01", 40.0)], vessel=unit, rule_set="canada-offshore")
    assert at.logged.action == "record"


@pytest.mark.parametrize(
    ("mass_t", "regulatory", "measured"),
    [
        (4060.0, "pass", "undecided"),
        (4090.0, "fail", "undecided"),
        (4130.0, "fail", "exceeded"),
        (4010.0, "pass", "within"),
    ],
)
def test_the_regulatory_verdict_and_the_measured_one_stand_side_by_side(
    mass_t: float, regulatory: str, measured: str
) -> None:
    # default 0.4 % of each mass: standard uncertainty of the difference about 22.6 t, limit 80 t
    item = drift_of([TESTED, record("2020-01-01", "lightweight-survey", mass_t)]).items[0]
    verdict = verdict_on(item, "D-07")
    assert (verdict.regulatory, verdict.measured) == (regulatory, measured)


def test_exact_measurements_leave_nothing_undecided() -> None:
    exact = replace(TESTED, uncertainties=EXACT)
    survey = replace(record("2020-01-01", "lightweight-survey", 4079.0), uncertainties=EXACT)
    verdict = verdict_on(drift_of([exact, survey]).items[0], "D-07")
    assert (verdict.measured, verdict.probability_exceeded) == ("within", 0.0)
    assert verdict.early_warning == "amber"
    assert verdict.distance_to_limit == pytest.approx(1.0)
