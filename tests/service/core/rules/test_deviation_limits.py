"""The limits of SOLAS, codes and national law, against figures worked out by hand from the paragraphs named."""

from __future__ import annotations

import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules import (
    RULE_SETS,
    Baseline,
    Deviation,
    Quantity,
    RuleVessel,
    Verdict,
    conduct_rule,
    default_rule_set,
    evaluate,
    interpolated_percent,
    kind_of,
    rule,
    rule_set,
    rules_for,
)

SHIP = RuleVessel(kind="cargo", length_m=105.0)
APPROVED = Baseline(mass_t=4000.0, vcg_m=7.5)


def judged(
    rule_id: str,
    quantity: Quantity,
    value: float,
    baseline: Baseline = APPROVED,
    vessel: RuleVessel = SHIP,
    name: str | None = None,
) -> Verdict:
    verdict = evaluate(rule(rule_id, name, quantity), Deviation(quantity, value), baseline, vessel)
    assert verdict is not None
    return verdict


@pytest.mark.parametrize(
    ("length_m", "percent"),
    [
        (24, 2.0),
        (49.99, 2.0),
        (50, 2.0),
        (50.01, 1.999909),
        (60, 1.909091),
        (77.5, 1.75),
        (80, 1.727273),
        (90, 1.636364),
        (100, 1.545455),
        (105, 1.5),
        (110, 1.454545),
        (120, 1.363636),
        (132.5, 1.25),
        (140, 1.181818),
        (150, 1.090909),
        (159.99, 1.000091),
        (160, 1.0),
        (300, 1.0),
    ],
)
def test_the_sister_limit_falls_from_two_per_cent_at_50_m_to_one_at_160_m(length_m: float, percent: float) -> None:
    # SOLAS 1974 II-1/5.2: limit % = 2 - (L - 50)/110 between 50 m and 160 m
    assert interpolated_percent(length_m) == pytest.approx(percent, abs=5e-7)


@pytest.mark.parametrize(
    ("length_m", "mass_t", "vcg_m", "limits"),
    [
        (45, 420, 3.90, (8.4, 0.225, 8.4, 0.45, 0.039, 4.2, 0.225, 0.0195)),
        (105, 4000, 7.50, (60.0, 0.525, 80.0, 1.05, 0.075, 40.0, 0.525, 0.0375)),
        (160, 12000, 11.0, (120.0, 0.8, 240.0, 1.6, 0.11, 120.0, 0.8, 0.055)),
        (250, 32000, 18.0, (320.0, 1.25, 640.0, 2.5, 0.18, 320.0, 1.25, 0.09)),
    ],
)
def test_limits_are_stated_in_tonnes_and_metres(
    length_m: float, mass_t: float, vcg_m: float, limits: tuple[float, ...]
) -> None:
    vessel, baseline = RuleVessel(kind="cargo", length_m=length_m), Baseline(mass_t, vcg_m)
    asked: tuple[tuple[str, Quantity], ...] = (
        ("D-01", "mass_t"),
        ("D-02", "lcg_m"),
        ("D-11", "mass_t"),
        ("D-11", "lcg_m"),
        ("D-12", "vcg_m"),
        ("D-14", "mass_t"),
        ("D-14", "lcg_m"),
        ("D-15", "vcg_m"),
    )
    found = [judged(rule_id, quantity, 0.0, baseline, vessel).limit for rule_id, quantity in asked]
    assert found == pytest.approx(limits, rel=1e-12)


@pytest.mark.parametrize(
    ("rule_id", "quantity", "value", "regulatory"),
    [
        ("D-01", "mass_t", 60.000, "pass"),
        ("D-01", "mass_t", 60.001, "fail"),
        ("D-07", "mass_t", 80.000, "pass"),
        ("D-07", "mass_t", 80.001, "fail"),
        ("D-07", "mass_t", -80.001, "fail"),
        ("D-08", "lcg_m", 1.050, "pass"),
        ("D-08", "lcg_m", -1.050, "pass"),
        ("D-08", "lcg_m", 1.0501, "fail"),
        ("D-08", "lcg_m", -1.0501, "fail"),
        ("D-12", "vcg_m", 0.0750, "pass"),
        ("D-12", "vcg_m", 0.0751, "fail"),
        ("D-12", "vcg_m", -0.0751, "fail"),
        ("T-13", "mass_t", 39.999, "pass"),
        ("T-13", "mass_t", 40.000, "fail"),
        ("T-24", "mass_t", 119.999, "pass"),
        ("T-24", "mass_t", 120.000, "fail"),
        ("T-24", "lcg_m", 1.050, "fail"),
    ],
)
def test_equal_passes_where_the_text_says_exceeds_and_fails_where_it_says_less_than(
    rule_id: str, quantity: Quantity, value: float, regulatory: str
) -> None:
    assert judged(rule_id, quantity, value).regulatory == regulatory


def test_a_value_computed_as_exactly_the_limit_passes_in_spite_of_binary_fractions() -> None:
    sum_of_tenths = sum([0.1] * 84)  # 8.4 plus rounding, the limit of a 420 t ship
    assert sum_of_tenths != 8.4
    assert judged("D-07", "mass_t", sum_of_tenths, Baseline(420.0)).regulatory == "pass"


def test_no_rule_limits_the_transverse_centre_of_a_ship() -> None:
    # explanatory notes to SOLAS II-1/5.4: TCG has no deviation limit
    for name in ("solas-2020", "solas-2009", "solas-pre-2009"):
        assert "tcg_m" not in {each.quantity for each in rule_set(name).rules}


@pytest.mark.parametrize(
    ("mass_t", "limit_t"), [(60, 2.0), (80, 2.0), (99.9, 2.0), (100, 2.0), (100.1, 2.002), (500, 10.0)]
)
def test_the_old_interpretation_allows_two_per_cent_or_two_tonnes(mass_t: float, limit_t: float) -> None:
    # MSC/Circ.1158 paragraph 4
    assert judged("D-18", "mass_t", 0.0, Baseline(mass_t)).limit == pytest.approx(limit_t, rel=1e-12)


def test_the_aggregate_of_a_towing_vessel_decides_where_the_net_change_would_not() -> None:
    # 46 CFR 144.315: 600 t, 6 t added, 5 t removed, 4 t relocated is 2.5 %; with 1 t relocated exactly 2 %
    tug = Baseline(600.0)
    assert judged("D-23", "aggregate_t", 15.0, tug).regulatory == "fail"
    assert judged("D-23", "aggregate_t", 12.0, tug).regulatory == "pass"
    assert judged("D-23", "aggregate_t", 15.0, tug).consequence == "survey"


@pytest.mark.parametrize(
    ("quantity", "value", "regulatory"),
    [
        ("vcg_m", 9.051 - 9.0, "pass"),
        ("vcg_m", 9.0511 - 9.0, "fail"),
        ("vcg_m", -0.5, "pass"),
        ("mass_t", 6.0, "pass"),
        ("mass_t", 6.1, "fail"),
        ("mass_t", -6.1, "fail"),
    ],
)
def test_a_us_fishing_vessel_counts_only_a_rise_of_vcg_in_millimetres(
    quantity: Quantity, value: float, regulatory: str
) -> None:
    # 46 CFR 28.501: more than 2 inches (51 mm) up, displacement beyond 3 %
    assert judged("D-32", quantity, value, Baseline(200.0, 9.0)).regulatory == regulatory


@pytest.mark.parametrize(("measured_gm_m", "regulatory"), [(0.900, "pass"), (0.899, "fail"), (1.2, "pass")])
def test_a_french_cargo_ship_redoes_her_file_when_gm_is_ten_per_cent_short(
    measured_gm_m: float, regulatory: str
) -> None:
    # division 222, art. 222-2.08 para 1.2.9: predicted GM 1.000 m
    predicted = Baseline(mass_t=300.0, gm_m=1.000)
    assert judged("D-31", "gm_m", measured_gm_m - 1.000, predicted).regulatory == regulatory


@pytest.mark.parametrize(("found_t", "regulatory"), [(420.0, "pass"), (420.1, "fail"), (379.9, "fail")])
def test_inland_floating_equipment_agrees_with_its_calculation_to_five_per_cent(
    found_t: float, regulatory: str
) -> None:
    # Rhine Vessel Inspection Regulations 17.06(2): calculated 400 t
    assert judged("T-34", "mass_t", found_t - 400.0, Baseline(400.0)).regulatory == regulatory


def test_a_fishing_vessel_of_24_m_counts_only_an_increase() -> None:
    trawler = RuleVessel(kind="trawler", length_m=30.0)
    assert judged("D-30", "mass_t", 8.1, Baseline(400.0), trawler).regulatory == "fail"
    assert judged("D-30", "mass_t", -8.1, Baseline(400.0), trawler).regulatory == "pass"


def test_missing_and_surplus_weights_have_the_limits_of_the_unified_procedure() -> None:
    # IACS Recommendation 31: 2 % and 4 % of 3000 t are 60 t and 120 t
    assert 3000.0 * conduct_rule("P-07")["maximum_percent"] / 100.0 == 60.0
    assert 3000.0 * conduct_rule("P-08")["maximum_percent"] / 100.0 == 120.0


def test_a_limit_from_weak_memory_reads_as_passed_and_only_advises() -> None:
    verdict = judged("D-19", "lcg_m", 2.0)
    assert verdict.passed_limit
    assert verdict.measured == "exceeded"
    assert (verdict.regulatory, verdict.advisory) == ("fail", True)
    assert verdict.confidence_text == "from memory, medium confidence"


def test_a_length_that_is_not_given_is_replaced_and_the_verdict_says_so() -> None:
    verdict = judged("D-08", "lcg_m", 0.0, name="solas-2009")
    assert verdict.length_basis == "L"
    assert "Ls" in verdict.remark
    known = RuleVessel(kind="cargo", length_m=105.0, subdivision_length_m=109.0)
    verdict = judged("D-08", "lcg_m", 0.0, vessel=known, name="solas-2009")
    assert verdict.limit == pytest.approx(1.09)
    assert (verdict.length_basis, verdict.remark) == ("Ls", "")


def test_a_limit_on_an_unknown_figure_gives_no_verdict() -> None:
    unit = RuleVessel(kind="offshore-unit", length_m=90.0, column_stabilized=True)
    change = Deviation("mass_t", 500.0)
    assert evaluate(rule("T-14"), change, Baseline(20000.0), unit) is None
    assert evaluate(rule("D-07"), Deviation("lcg_m", 1.0), APPROVED, SHIP) is None
    assert evaluate(rule("D-12"), Deviation("vcg_m", 1.0), Baseline(4000.0), SHIP) is None


def test_the_unit_s_limit_is_on_operating_displacement() -> None:
    # 1989 MODU Code 3.1.5: 1 % of operating displacement, not of lightship
    unit = RuleVessel("offshore-unit", 90.0, column_stabilized=True, operating_displacement_t=45000.0)
    assert judged("T-14", "mass_t", 450.0, Baseline(20000.0), unit).regulatory == "pass"
    assert judged("T-14", "mass_t", 450.1, Baseline(20000.0), unit).regulatory == "fail"


@pytest.mark.parametrize(
    ("kind", "length_m", "keel_laid", "expected"),
    [
        ("passenger", 120.0, None, "solas-2020"),
        ("passenger", 120.0, "2021-02-01", "solas-2020"),
        ("passenger", 120.0, "2019-12-31", "solas-2009"),
        ("passenger", 120.0, "2009-01-01", "solas-2009"),
        ("cargo", 60.0, "2008-12-31", "solas-pre-2009"),
        ("fishing", 24.0, None, "fishing-24m"),
        ("fishing", 23.9, None, "solas-2020"),
    ],
)
def test_the_rule_set_follows_the_kind_and_the_keel_and_says_why(
    kind: str, length_m: float, keel_laid: str | None, expected: str
) -> None:
    chosen, why = default_rule_set(RuleVessel(kind, length_m, keel_laid))
    assert chosen.id == expected
    assert why.startswith("No rule set was named")


def test_a_rule_concerns_only_the_kinds_and_lengths_that_it_names() -> None:
    fishing = rule_set("fishing-24m")
    assert rules_for(fishing, "survey", RuleVessel("trawler", 24.0))
    assert not rules_for(fishing, "survey", RuleVessel("trawler", 23.99))
    assert not rules_for(fishing, "survey", RuleVessel("cargo", 60.0))
    declared = rule_set("canada-passenger")
    assert "D-26" in {each.id for each in rules_for(declared, "alterations", RuleVessel("passenger", 24.0))}
    assert "D-26" not in {each.id for each in rules_for(declared, "alterations", RuleVessel("passenger", 24.1))}


def test_a_word_that_names_no_kind_is_not_guessed() -> None:
    assert kind_of("Ro-Pax ferry") == "passenger"
    assert kind_of("fishing_vessel") == "fishing"
    assert kind_of("thing") is None


def test_unknown_names_are_refused_with_the_names_there_are() -> None:
    with pytest.raises(CoreError, match="solas-2020") as refusal:
        rule_set("solas")
    assert (refusal.value.code, refusal.value.pointer) == ("unknown-rule-set", "/rule_set")
    with pytest.raises(CoreError, match="D-99"):
        rule("D-99")
    with pytest.raises(CoreError, match="X-01"):
        conduct_rule("X-01")


def test_every_rule_names_its_source_and_its_confidence_and_computes_its_limit() -> None:
    vessel = RuleVessel("cargo", 90.0, breadth_m=15.0, operating_displacement_t=9000.0)
    baseline = Baseline(3000.0, 7.0, 1.0)
    for each in (item for one in RULE_SETS.values() for item in one.rules):
        limit = each.limit.amount(baseline, vessel)
        assert limit is not None
        assert limit > 0.0
        assert each.source
        assert each.limit.words()
        assert each.consequence in {"re-incline", "survey", "amend"}
        assert each.enforceable == (each.confidence in {"F", "F2", "MH"})
