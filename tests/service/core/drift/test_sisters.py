"""Ships whose inclining was waived on the data of a lead ship."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.drift import Alteration, Drift, DriftRequest, LeadShip, LightshipRecord, assess_drift
from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules import RuleVessel

from tests.service.core.drift.builders import EXACT, TESTED, added, drift_of, record, verdict_on

LEAD = LeadShip("2015-06-10", 4000.0, 50.0, 7.5, 0.0, EXACT, "Invented Lead")
CARGO = RuleVessel("cargo", 105.0)


def sister_of(
    lead: LeadShip,
    records: list[LightshipRecord],
    log: list[Alteration] | None = None,
    vessel: RuleVessel = CARGO,
    rule_set: str = "solas-2020",
) -> Drift:
    return assess_drift(DriftRequest(vessel, records, log or [], rule_set, "2024-01-01", lead))


def surveyed(mass_t: float, lcg_m: float = 50.0, tcg_m: float | None = None) -> LightshipRecord:
    return record("2017-03-01", "lightweight-survey", mass_t, lcg_m, tcg_m)


@pytest.mark.parametrize(
    ("length_m", "mass_t", "lcg_m", "action"),
    [
        (105.0, 4060.0, 50.0, "adopt"),
        (105.0, 4060.001, 50.0, "re-incline"),
        (105.0, 3939.999, 50.0, "re-incline"),
        (45.0, 4080.0, 50.0, "adopt"),
        (160.0, 4040.0, 50.0, "adopt"),
        (160.0, 4040.1, 50.0, "re-incline"),
        (105.0, 4000.0, 50.525, "adopt"),
        (105.0, 4000.0, 50.5251, "re-incline"),
    ],
)
def test_a_sister_is_inclined_beyond_two_to_one_per_cent_and_half_a_per_cent_of_length(
    length_m: float, mass_t: float, lcg_m: float, action: str
) -> None:
    # SOLAS 1974 II-1/5.2: 2 % up to 50 m, 1 % from 160 m, linear between; 0.5 % L
    drift = sister_of(LEAD, [surveyed(mass_t, lcg_m)], vessel=replace(CARGO, length_m=length_m))
    assert drift.items[0].action == action
    assert drift.items[0].action_force == "binding"
    assert {each.rule for each in drift.items[0].verdicts} == {"D-01", "D-02"}


def test_known_differences_are_calculated_first_and_the_survey_is_held_against_the_adjusted_lead() -> None:
    # MSC/Circ.1158 paragraph 3: 40 t of known differences, 4100 t measured: 60 t remain, the limit is 1.5 % of 4040 t
    drift = sister_of(LEAD, [surveyed(4100.0)], [added("2016-05-01", 40.0)])
    verdict = verdict_on(drift.items[0], "D-01")
    assert verdict.value == pytest.approx(60.0)
    assert verdict.limit == pytest.approx(60.6)
    assert "known differences" in verdict.compared_with
    assert drift.lead is not None
    assert (drift.lead.tested.mass_t, drift.lead.adjusted.mass_t) == (4000.0, 4040.0)


@pytest.mark.parametrize(("mass_t", "action"), [(60.0, "record"), (60.001, "re-incline")])
def test_known_differences_that_alone_pass_a_limit_call_for_inclining_before_any_survey(
    mass_t: float, action: str
) -> None:
    # MSC.429(98)/Rev.2, explanatory notes to SOLAS II-1/5.2, from memory
    logged = sister_of(LEAD, [surveyed(4060.0)], [added("2016-05-01", mass_t)]).logged
    assert logged.action == action
    assert logged.action_reason.startswith("D-05") == (action == "re-incline")


@pytest.mark.parametrize(
    ("z_m", "vcg_m", "origin"),
    [(15.0, (4000.0 * 7.5 + 30.0 * 15.0) / 4030.0, "calculated"), (1.0, 7.5, "lead ship's test")],
)
def test_the_higher_of_the_lead_ships_and_the_calculated_height_is_adopted(
    z_m: float, vcg_m: float, origin: str
) -> None:
    # MSC/Circ.1158 paragraph 3
    drift = sister_of(LEAD, [surveyed(4035.0, 50.1, 0.01)], [added("2016-05-01", 30.0, z_m=z_m)])
    found = drift.items[0].adopted
    assert found is not None
    assert (found.mass_t, found.lcg_m, found.tcg_m, found.rule) == (4035.0, 50.1, 0.01, "D-06")
    assert found.vcg_m == pytest.approx(vcg_m)
    assert found.origins["vcg_m"].startswith(origin)


def test_a_passenger_ship_has_to_be_inclined_whatever_her_sister_weighed() -> None:
    # SOLAS 1974 II-1/5.1 and 5.2: cargo ships alone may be exempted
    item = sister_of(LEAD, [surveyed(4001.0)], vessel=replace(CARGO, kind="passenger")).items[0]
    assert (item.action, item.action_force) == ("re-incline", "binding")
    assert "has to be inclined" in item.not_assessed[0]


@pytest.mark.parametrize(
    ("rule_set", "vessel", "mass_t", "lcg_m", "tcg_m", "failed"),
    [
        # 2009 MODU Code 3.1.2: less than 1 % of lightship, length and breadth; equal fails
        ("modu-2009", RuleVessel("semi-submersible", 80.0, breadth_m=60.0), 4039.9, 50.79, 0.59, []),
        ("modu-2009", RuleVessel("semi-submersible", 80.0, breadth_m=60.0), 4040.0, 50.0, 0.0, ["mass_t"]),
        ("modu-1989", RuleVessel("semi-submersible", 80.0, breadth_m=60.0), 4000.0, 50.8, 0.6, ["lcg_m", "tcg_m"]),
        # 46 CFR 28.535(b): less than 3 % of lightweight and 1 % of length
        ("us-fishing", RuleVessel("fishing", 30.0), 4119.9, 50.29, 0.0, []),
        ("us-fishing", RuleVessel("fishing", 30.0), 4120.0, 50.3, 0.0, ["mass_t", "lcg_m"]),
    ],
)
def test_units_of_a_series_and_us_fishing_vessels_have_their_own_limits(
    rule_set: str, vessel: RuleVessel, mass_t: float, lcg_m: float, tcg_m: float, failed: list[str]
) -> None:
    item = sister_of(LEAD, [surveyed(mass_t, lcg_m, tcg_m)], vessel=vessel, rule_set=rule_set).items[0]
    assert [each.quantity for each in item.verdicts if each.regulatory == "fail"] == failed
    assert item.action == ("re-incline" if failed else "adopt")


@pytest.mark.parametrize(("mass_t", "action"), [(4060.0, "adopt"), (4060.001, "re-incline")])
def test_the_first_survey_after_a_lightship_approved_on_a_sisters_data_is_held_to_the_sister_limits(
    mass_t: float, action: str
) -> None:
    waived = record("2016-01-01", "sister-ship", 4000.0, vcg_m=7.5, approved=True, uncertainties=EXACT)
    drift = drift_of([waived, surveyed(mass_t)], vessel=CARGO)
    assert drift.baseline.basis == "sister-ship"
    assert drift.items[0].action == action
    later = replace(surveyed(4075.0), date="2022-01-01")
    assert drift_of([waived, surveyed(4010.0), later], vessel=CARGO).items[1].action == "adopt"


@pytest.mark.parametrize(("mass_t", "action"), [(4060.0, "record"), (4060.001, "re-incline")])
def test_a_lightship_taken_from_a_sister_is_held_against_the_approved_test(mass_t: float, action: str) -> None:
    taken = record("2020-01-01", "sister-ship", mass_t, vcg_m=7.5)
    assert drift_of([TESTED, taken], vessel=CARGO).items[0].action == action


def test_her_own_approved_test_counts_before_the_lead_ships() -> None:
    drift = sister_of(LEAD, [replace(TESTED, date="2018-01-01", mass_t=4111.0)])
    assert (drift.baseline.mass_t, drift.baseline.basis, drift.lead) == (4111.0, "inclining-test", None)


def test_a_sister_without_a_survey_has_to_be_surveyed() -> None:
    # SOLAS 1974 II-1/5.2: the survey on completion stays compulsory
    for log in ([], [added("2016-05-01", 10.0)]):
        drift = sister_of(LEAD, [], log)
        assert (drift.logged.action, drift.logged.action_force) == ("survey", "binding")
        assert any(text.startswith("Not judged yet: D-01, D-02 need a lightweight survey") for text in drift.cautions)
    assert sister_of(LEAD, [], [added("2016-05-01", 90.0)]).logged.action == "re-incline"


def test_another_ships_test_is_no_point_of_her_trend_and_starts_no_calendar() -> None:
    drift = sister_of(LEAD, [surveyed(4010.0)], vessel=replace(CARGO, kind="passenger"))
    assert drift.growth is None
    assert drift.next_due is None
    assert any("lead ship" in text and "Invented Lead" in text for text in drift.cautions)


def test_without_a_test_and_without_a_lead_ship_there_is_no_baseline() -> None:
    with pytest.raises(CoreError) as caught:
        drift_of([surveyed(4000.0)], vessel=CARGO)
    assert caught.value.code == "no-baseline"
    assert "lead ship" in caught.value.message


def test_a_lead_ships_figures_are_checked_by_their_own_name() -> None:
    with pytest.raises(CoreError) as caught:
        sister_of(replace(LEAD, mass_t=0.0), [])
    assert caught.value.pointer == "/lead/mass_t"
