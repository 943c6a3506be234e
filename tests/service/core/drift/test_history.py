"""Which records count, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.drift import (
    Alteration,
    AlterationUncertainties,
    DriftRequest,
    LightshipRecord,
    StandardUncertainties,
    assess_drift,
)
from heelwright_service.core.drift.history import standing
from heelwright_service.core.errors import CoreError

from tests.service.core.drift.builders import SHIP, TESTED, drift_of, record


def refused(request: DriftRequest) -> CoreError:
    with pytest.raises(CoreError) as refusal:
        assess_drift(request)
    return refusal.value


def ask(*records: LightshipRecord, alterations: tuple[Alteration, ...] = ()) -> DriftRequest:
    return DriftRequest(SHIP, records, alterations, as_of="2024-01-01")


def test_the_baseline_is_the_latest_approved_inclining_test() -> None:
    older = replace(TESTED, date="2005-01-01", mass_t=3900.0)
    unapproved = replace(TESTED, date="2022-01-01", approved=False)
    survey = record("2020-01-01", "lightweight-survey", 4010.0, approved=True)
    drift = drift_of([older, TESTED, survey, unapproved])
    assert drift.baseline.date == "2015-06-10"
    assert [each.date for each in drift.items] == ["2020-01-01", "2022-01-01"]
    assert [each.date for each in drift.earlier] == ["2005-01-01"]
    assert drift.earlier[0].action == "none"


def test_the_day_of_the_question_decides_what_is_known() -> None:
    newer = replace(TESTED, date="2021-01-01", mass_t=4100.0)
    assert drift_of([TESTED, newer], as_of="2020-12-31").baseline.mass_t == 4000.0
    assert drift_of([TESTED, newer], as_of="2021-01-01").baseline.mass_t == 4100.0
    assert any("left out" in text for text in drift_of([TESTED, newer], as_of="2020-12-31").cautions)


def test_without_an_approved_inclining_test_there_is_no_drift() -> None:
    survey = record("2020-01-01", "lightweight-survey", 4010.0, approved=True)
    error = refused(ask(replace(TESTED, approved=False), survey))
    assert (error.code, error.pointer) == ("no-baseline", "/lightships")


def test_the_day_of_the_question_is_never_guessed() -> None:
    error = refused(DriftRequest(SHIP, [TESTED]))
    assert (error.code, error.pointer) == ("as-of-missing", "/as_of")


def test_two_lightships_of_one_day_and_basis_are_refused_by_name() -> None:
    error = refused(ask(TESTED, replace(TESTED, mass_t=4010.0)))
    assert error.code == "duplicate-lightship"
    assert "/lightships/0 and /lightships/1" in error.message
    assert error.pointer == "/lightships/1"


@pytest.mark.parametrize("name", ["first", "/lightships/0", "2015-06-10"])
def test_a_correction_takes_the_place_of_what_it_supersedes(name: str) -> None:
    first = replace(TESTED, id="first")
    drift = drift_of([first, replace(TESTED, mass_t=4010.0, supersedes=name)])
    assert drift.baseline.mass_t == 4010.0
    assert drift.items == []
    assert drift.earlier == []


def test_a_chain_of_corrections_leaves_the_last() -> None:
    chain = [
        replace(TESTED, id="a"),
        replace(TESTED, id="b", mass_t=4001.0, supersedes="a"),
        replace(TESTED, id="c", mass_t=4002.0, supersedes="b"),
    ]
    assert [each.id for each in standing(chain, "2024-01-01")] == ["c"]


def test_a_correction_dated_later_does_not_reach_back_before_its_day() -> None:
    survey = LightshipRecord("2020-01-01", "lightweight-survey", 4010.0, 50.0, id="a")
    again = LightshipRecord("2021-01-01", "lightweight-survey", 4020.0, 50.0, supersedes="a")
    assert [each.mass_t for each in standing([survey, again], "2020-06-01")] == [4010.0]
    assert [each.mass_t for each in standing([survey, again], "2021-06-01")] == [4020.0]


def test_a_name_that_names_nothing_is_refused_even_where_only_one_could_be_meant() -> None:
    error = refused(ask(replace(TESTED, id="first"), replace(TESTED, mass_t=4010.0, supersedes="x")))
    assert (error.code, error.pointer) == ("supersedes-unknown", "/lightships/1/supersedes")


def test_superseding_nothing_known_or_each_other_is_refused() -> None:
    survey = replace(TESTED, date="2020-01-01", supersedes="ghost")
    error = refused(ask(TESTED, survey))
    assert (error.code, error.pointer) == ("supersedes-unknown", "/lightships/1/supersedes")
    circle = [
        replace(TESTED, id="a", supersedes="b"),
        replace(TESTED, id="b", date="2016-01-01", supersedes="a"),
    ]
    assert refused(ask(*circle)).code == "supersedes-circle"


@pytest.mark.parametrize(
    ("change", "code", "pointer"),
    [
        ({"date": "10.06.2015"}, "date-invalid", "/lightships/0/date"),
        ({"date": "20150610"}, "date-invalid", "/lightships/0/date"),
        ({"date": "9999-12-31"}, "date-invalid", "/lightships/0/date"),
        ({"mass_t": 0.0}, "not-positive", "/lightships/0/mass_t"),
        ({"mass_t": float("nan")}, "not-positive", "/lightships/0/mass_t"),
        ({"lcg_m": float("inf")}, "not-finite", "/lightships/0/lcg_m"),
        (
            {"uncertainties": StandardUncertainties(mass_t=-1.0)},
            "uncertainty-invalid",
            "/lightships/0/uncertainties/mass_t",
        ),
    ],
)
def test_a_record_that_makes_no_sense_is_refused_with_its_field(
    change: dict[str, object], code: str, pointer: str
) -> None:
    error = refused(ask(replace(TESTED, **change)))  # type: ignore[arg-type] # the fields differ in type
    assert (error.code, error.pointer) == (code, pointer)


@pytest.mark.parametrize(
    ("alteration", "code", "pointer"),
    [
        (Alteration("2016-01-01", "added", -1.0, 1.0, 0.0, 1.0), "not-positive", "/alterations/0/mass_t"),
        (
            Alteration("2016-01-01", "relocated", 1.0, 1.0, 0.0, 1.0, 2.0, 0.0),
            "relocation-place",
            "/alterations/0/to_z_m",
        ),
        (Alteration("2016-01-01", "removed", 1.0, 1.0, 0.0, 1.0, 2.0), "relocation-place", "/alterations/0/to_x_m"),
        (Alteration("2016-13-01", "added", 1.0, 1.0, 0.0, 1.0), "date-invalid", "/alterations/0/date"),
        (Alteration("2016-01-01", "added", 1.0, float("nan"), 0.0, 1.0), "not-finite", "/alterations/0/x_m"),
        (
            Alteration("2016-01-01", "added", 1.0, 1.0, 0.0, 1.0, uncertainties=AlterationUncertainties(-1.0)),
            "uncertainty-invalid",
            "/alterations/0/uncertainties/mass_t",
        ),
        (Alteration("2016-01-01", "removed", 4000.0, 1.0, 0.0, 1.0), "mass-removed-exceeds", "/alterations"),
    ],
)
def test_an_alteration_that_makes_no_sense_is_refused_with_its_field(
    alteration: Alteration, code: str, pointer: str
) -> None:
    error = refused(ask(TESTED, alterations=(alteration,)))
    assert (error.code, error.pointer) == (code, pointer)


def test_a_vessel_without_length_and_an_unknown_rule_set_are_refused() -> None:
    error = refused(DriftRequest(replace(SHIP, length_m=0.0), [TESTED], as_of="2024-01-01"))
    assert error.pointer == "/vessel/length_m"
    error = refused(DriftRequest(replace(SHIP, keel_laid="2001"), [TESTED], as_of="2024-01-01"))
    assert error.pointer == "/vessel/keel_laid"
    error = refused(DriftRequest(SHIP, [TESTED], rule_set="solas", as_of="2024-01-01"))
    assert error.code == "unknown-rule-set"
