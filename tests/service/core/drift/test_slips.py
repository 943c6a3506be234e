"""Entries that look like a slip are named; no figure is changed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heelwright_service.core.drift import Alteration, LightshipRecord

from tests.service.core.drift.builders import SHIP, TESTED, added, drift_of, record

SURVEY = record("2020-01-01", "lightweight-survey", 4010.0)


def looks(text: str, records: list[LightshipRecord], log: list[Alteration] | None = None) -> list[str]:
    return [each for each in drift_of(records, log or []).cautions if text in each]


@pytest.mark.parametrize(
    ("survey", "words"),
    [
        (replace(SURVEY, mass_t=4.0), "thousands of tonnes or a decimal point three places off"),
        (replace(SURVEY, mass_t=4_000_000.0), "kilograms"),
        (replace(SURVEY, mass_t=8_818_480.0), "pounds"),
        (replace(SURVEY, mass_t=400.0), "one place off"),
        (replace(SURVEY, mass_t=9000.0), "a slip of the unit or the decimal point; masses"),
        (replace(SURVEY, lcg_m=-50.0), "counted aft instead of forward"),
        (replace(SURVEY, lcg_m=-2.4), "counted forward from midships"),
        (replace(SURVEY, lcg_m=164.0), "given in feet"),
        (replace(SURVEY, lcg_m=90.0), "a slip of the axis, the sign or the unit; x is"),
    ],
)
def test_a_survey_in_another_unit_or_on_another_axis_is_asked_about(survey: LightshipRecord, words: str) -> None:
    # baseline 4000 t at 50 m, length 105 m; 1 t is 2204.62 lb, 1 ft is 0.3048 m
    found = looks("looks like a slip", [TESTED, survey])
    assert len(found) == 1
    assert found[0].startswith("lightweight-survey of 2020-01-01 (/lightships/1)")
    assert words in found[0]


def test_an_ordinary_history_raises_no_such_question() -> None:
    log = [added("2016-01-01", 10.0, 3.0, -4.0, 12.0), added("2016-01-01", 10.0, 3.0, 4.0, 12.0)]
    records = [TESTED, SURVEY, record("2021-01-01", "calculation", 4070.0, 50.4, 0.1, 7.6)]
    assert not looks("slip", records, log)
    assert not looks("the same", records, log)


@pytest.mark.parametrize(
    ("alteration", "words"),
    [
        (added("2016-01-01", 10.0, 500.0, 0.0, 75.0), ["x_m 500 is outside her ends", "z_m 75 is outside"]),
        (added("2016-01-01", 10.0, 50.0, 0.0, -3.0), ["z_m -3 is below the baseline"]),
        (added("2016-01-01", 10.0, 50.0, 12.0, 7.0), ["y_m 12 is outside her breadth"]),
        (Alteration("2016-01-01", "relocated", 5.0, 10.0, 0.0, 6.0, 210.0, 0.0, 6.0), ["to_x_m 210 is outside"]),
        (added("2016-01-01", 8500.0, 50.0, 0.0, 7.0), ["212 % of the lightship", "kilograms"]),
    ],
)
def test_an_alteration_outside_the_ship_or_of_her_own_size_is_named(alteration: Alteration, words: list[str]) -> None:
    drift = drift_of([TESTED], [added("2016-01-01", 1.0), alteration], vessel=replace(SHIP, breadth_m=18.0))
    found = [text for text in drift.cautions if "(/alterations/1)" in text]
    assert len(found) == 1
    assert all(each in found[0] for each in words)
    assert drift.logged.entries == 2


def test_the_same_entry_twice_is_named_and_both_are_counted() -> None:
    twice = [added("2016-01-01", 10.0, 60.0), added("2016-02-01", 10.0, 60.0), added("2016-01-01", 10.0, 60.0)]
    drift = drift_of([TESTED], twice)
    assert [text[:59] for text in drift.cautions if "the same" in text] == [
        "Alterations /alterations/0 and /alterations/2 are the same:"
    ]
    assert drift.logged.net.mass_t == 30.0


def test_an_entry_made_many_times_is_named_once() -> None:
    drift = drift_of([TESTED], [added("2016-01-01", 10.0, 60.0)] * 12)
    named = [text for text in drift.cautions if "the same" in text]
    assert len(named) == 1
    assert "/alterations/0, /alterations/1" in named[0]
    assert "and 4 more are the same" in named[0]
