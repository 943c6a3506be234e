"""Which vessel comes first."""

from __future__ import annotations

from heelwright_service.core.drift import rank, standing_of

from tests.service.core.drift.builders import TESTED, added, drift_of, record


def test_the_gravest_action_comes_first_and_then_the_likeliest_excess() -> None:
    fleet = {
        "quiet": drift_of([TESTED]),
        "near": drift_of([TESTED, record("2020-01-01", "lightweight-survey", 4070.0)]),
        "far": drift_of([TESTED, record("2020-01-01", "lightweight-survey", 4010.0)]),
        "over": drift_of([TESTED, record("2020-01-01", "lightweight-survey", 4081.0)]),
        "well over": drift_of([TESTED, record("2020-01-01", "lightweight-survey", 4150.0)]),
        "amended": drift_of([TESTED], [added("2016-01-01", 50.0)]),
    }
    assert rank(fleet) == ["well over", "over", "amended", "near", "far", "quiet"]
    assert rank(dict(reversed(fleet.items()))) == rank(fleet)


def test_an_open_re_inclining_is_not_closed_by_a_later_mild_survey() -> None:
    heavy, mild = record("2018-01-01", "lightweight-survey", 4100.0), record("2020-01-01", "lightweight-survey", 4050.0)
    assert standing_of(drift_of([TESTED, heavy, mild])).action == "re-incline"


def test_an_action_tells_by_what_it_is_due() -> None:
    survey = record("2020-01-01", "lightweight-survey", 4500.0)
    bound, lent = drift_of([TESTED, survey]), drift_of([TESTED, survey], rule_set="france-cargo-500")
    assert [standing_of(each).action_force for each in (bound, lent)] == ["binding", "yardstick"]
    assert all(standing_of(each).action_reason.startswith("D-07") for each in (bound, lent))


def test_a_vessel_without_later_evidence_has_no_action_and_no_probability() -> None:
    standing = standing_of(drift_of([TESTED]))
    assert (standing.action, standing.probability_exceeded) == ("none", 0.0)
