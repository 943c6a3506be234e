"""The figures that plans, test days and reductions are judged by."""

from __future__ import annotations

import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.rules import CONFIDENCE_WORDS, conduct_rule
from heelwright_service.core.rules.conduct_data import PROFILES, RULES


@pytest.mark.parametrize(
    ("rule_id", "name", "figure"),
    [
        ("P-07", "maximum_percent", 2.0),  # IACS Recommendation 31
        ("P-08", "maximum_percent", 4.0),  # IACS Recommendation 31
        ("W-01", "minimum_deg", 1.0),  # 2008 IS Code part B 8.2.2.8
        ("W-01", "maximum_deg", 4.0),
        ("H-01", "minimum", 2.0),  # 2008 IS Code part B 8.2.2.9
        ("H-01", "recommended", 3.0),
        ("H-04", "minimum_deflection_mm", 150.0),  # 2008 IS Code part B annex 1, 2.4.1
        ("P-18", "maximum_deg", 0.5),  # 2008 IS Code part B 8.2.2.7
        ("P-19", "maximum_percent_of_lbp", 1.0),
        ("P-22", "minimum_gm_m", 0.20),  # DNV Classification Note 20.1
        ("R-01", "freeboards_per_side", 5.0),  # 2008 IS Code part B 8.4.1.1
        ("C-01", "movements", 8.0),  # 2008 IS Code part B 8.4.1.2
        ("K-03", "maximum_fill_percent", 80.0),
        ("K-04", "minimum_fill_percent", 40.0),
        ("K-08", "minimum_fill_percent", 98.0),
    ],
)
def test_the_figures_are_those_of_the_sources(rule_id: str, name: str, figure: float) -> None:
    assert conduct_rule(rule_id)[name] == figure


def test_a_class_rule_asks_for_ten_centimetres_and_leaves_the_heel_alone() -> None:
    assert conduct_rule("H-04", "class-10cm")["minimum_deflection_mm"] == 100.0
    assert conduct_rule("W-01", "class-10cm") == conduct_rule("W-01")


def test_french_tests_heel_between_two_and_three_degrees() -> None:
    for name in ("fishing-24m", "france-cargo-500"):
        french = conduct_rule("W-01", name)
        assert (french["minimum_deg"], french["maximum_deg"]) == (2.0, 3.0)
        assert conduct_rule("H-05", name).may_fail
    assert not conduct_rule("H-05").may_fail


def test_an_unknown_rule_set_is_refused_not_replaced() -> None:
    with pytest.raises(CoreError) as refusal:
        conduct_rule("W-01", "narnia")
    assert refusal.value.code == "unknown-rule-set"


def test_office_defaults_and_weak_memories_never_fail_a_test() -> None:
    for rule in (*RULES.values(), *(each for profile in PROFILES.values() for each in profile.values())):
        if rule.confidence in {"MM", "ML", "EP"}:
            assert not rule.may_fail
        assert rule.confidence in CONFIDENCE_WORDS
        assert rule.source
        assert rule.text.endswith(".")


def test_office_defaults_say_that_they_are() -> None:
    for rule in RULES.values():
        assert (rule.confidence == "EP") == rule.source.startswith("office default"), rule.id


def test_a_figure_from_memory_says_so_where_it_is_cited() -> None:
    assert conduct_rule("K-08").cited_source.endswith("(from memory, high confidence)")
    assert "memory" not in conduct_rule("P-07").cited_source


def test_every_figure_is_named_with_its_unit_or_is_a_count() -> None:
    units = ("_percent", "_deg", "_mm", "_m", "_t_per_m3", "_days", "_minutes", "_kn", "_m_per_s")
    counts = {
        "recommended", "minimum", "minimum_pendulums", "maximum_pairs_per_liquid", "inclinations", "large_samples",
        "inclinations_by_leave", "small_samples", "movements", "straight_movements", "movements_before_last_zero",
        "freeboards_per_side", "draught_marks", "minimum_persons", "kg_over_gm",
    }  # fmt: skip
    for rule in RULES.values():
        for name in rule.values:
            assert name in counts or name.endswith(units) or "_percent_of_" in name, f"{rule.id} {name}"
