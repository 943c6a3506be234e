"""What holds for every check of every record, whatever it judges."""

from __future__ import annotations

import re

import numpy as np
import pytest
from heelwright_service.core.checks import judge
from heelwright_service.core.checks.assumptions import DEFERENCE
from heelwright_service.core.checks.own_rules import OWN_RULES
from heelwright_service.core.errors import CoreError
from heelwright_service.core.results import Check
from heelwright_service.core.rules import TestRule, conduct_rule
from heelwright_service.core.rules.conduct_data import RULES

from .records import (
    SIMULATED_NAMES,
    Document,
    changed,
    clean,
    given_of,
    hull_table,
    judged,
    readings,
    simulated,
    states,
    statuses,
    survey,
)


def _no_hull(record: Document) -> Document:
    table = changed(record, "vessel", "hydrostatic_table", to=hull_table())
    return changed(table, "vessel", "hull", to=None)


def _broken() -> Document:
    """A record in which as much as possible is wrong at once."""
    record = clean()
    record["soundings"] = record["soundings"][:3]
    record["soundings"][0]["sounding_m"] = 1.99
    record["soundings"][1]["sounding_m"] = 0.3
    record["water"]["samples"] = [{"density_t_per_m3": 1.033}]
    record["items"].append({**record["items"][0], "mass_t": 200.0, "x_m": 400.0})
    record["readings"] = readings(np.array([0.0, 0.004, 0.009, 0.007, 0.002, -0.001, -0.02, -0.003, 0.003]).tolist())
    return record


RECORDS = {
    "clean": clean(),
    "survey": survey(),
    "broken": _broken(),
    "table": _no_hull(clean()),
    "marks": {
        **{name: value for name, value in clean().items() if name != "freeboards"},
        "draughts": [{"mark": mark["name"], "reading_m": 2.888} for mark in clean()["vessel"]["marks"]],
    },
    **{name: simulated(name) for name in SIMULATED_NAMES},
}

every_record = pytest.mark.parametrize("record", RECORDS.values(), ids=RECORDS.keys())


def _rule_of(check: Check) -> TestRule:
    found = [rule_id for rule_id in {**RULES, **OWN_RULES} if check.id == rule_id or check.id.startswith(f"{rule_id}-")]
    assert found, check.id
    longest = max(found, key=len)
    return OWN_RULES.get(longest) or conduct_rule(longest)


def _is_written(figure: float, text: str) -> bool:
    """Whether a text has the figure, rounded as the text rounds."""
    for number in re.findall(r"\d+(?:\.\d+)?", text):
        decimals = len(number.partition(".")[2])
        if abs(float(number) - abs(figure)) <= 0.5 * 10.0**-decimals * (1.0 + 1e-6) + 1e-12:
            return True
    return False


@every_record
def test_every_text_says_what_was_found_and_what_is_allowed(record: Document) -> None:
    for check in judged(record).checks:
        if check.value is not None:
            assert _is_written(check.value, check.text), check
        if check.limit is not None:
            assert _is_written(check.limit, check.text), check


@every_record
def test_every_check_rests_on_a_rule_and_names_its_source(record: Document) -> None:
    for check in judged(record).checks:
        assert _rule_of(check).text
        assert check.source


@every_record
def test_a_check_that_was_not_made_says_why_and_what_is_asked(record: Document) -> None:
    for check in judged(record).checks:
        if check.status == "not-assessed":
            assert "Asked: " in check.text
            assert (check.value, check.limit) == (None, None)


@every_record
def test_office_defaults_and_weak_memory_never_fail_a_test(record: Document) -> None:
    for check in judged(record).checks:
        assert check.status != "fail" or _rule_of(check).may_fail, check


@every_record
def test_no_check_is_written_twice(record: Document) -> None:
    ids = [check.id for check in judged(record).checks]
    assert len(ids) == len(set(ids))


@every_record
def test_no_figure_is_not_a_number(record: Document) -> None:
    for check in judged(record).checks:
        assert all(figure is None or np.isfinite(figure) for figure in (check.value, check.limit)), check
        assert "nan" not in check.text.split()


@every_record
def test_cautions_put_the_unsafe_side_first_and_end_with_who_decides(record: Document) -> None:
    cautions = judged(record).cautions
    unsafe = [caution.startswith("Unsafe side: ") for caution in cautions]
    assert unsafe == sorted(unsafe, reverse=True)
    assert any(unsafe)
    assert cautions[-1] == DEFERENCE


@every_record
def test_a_judgement_is_the_same_every_time(record: Document) -> None:
    assert judge(given_of(record)) == judged(record)


def test_a_record_that_keeps_every_rule_passes_every_check_it_has_data_for() -> None:
    found = statuses(clean())
    assert {name for name, status in found.items() if status == "not-assessed"} == {
        "R-18",
        "K-07",
        "H-12",
        "implied-centre",
        "approved-mass",
        "upright-zero",
        "table-smooth",
    }
    assert set(found.values()) == {"pass", "not-assessed"}


def test_a_record_with_everything_wrong_fails_and_warns_and_still_tells_all() -> None:
    found = statuses(_broken())
    assert set(found) == set(statuses(clean()))
    assert {"K-08", "P-08", "K-01-empty", "RP-03"} <= {name for name, status in found.items() if status == "fail"}
    assert {"R-10", "R-17", "item-places", "C-07-residual", "C-07-zero"} <= {
        name for name, status in found.items() if status == "warn"
    }


def test_no_check_is_dropped_for_want_of_a_hull_or_of_data() -> None:
    bare = _no_hull(clean())
    for name in ("items", "persons", "soundings"):
        bare[name] = []
    assert set(statuses(bare)) == set(statuses(clean()))


def test_an_unknown_rule_set_is_refused_by_name() -> None:
    with pytest.raises(CoreError) as refused:
        judged(changed(clean(), "test", "rule_set", to="nobody-2020"))
    assert (refused.value.code, refused.value.pointer) == ("unknown-rule-set", "/test/rule_set")


def test_figures_of_the_rule_set_are_used_and_not_the_general_ones() -> None:
    # class asks 100 mm (RINA part B chapter 3 appendix 1, 1.1.4) where the 2008 IS Code asks 150 mm
    short = changed(
        clean(), "readings", to=readings([t * 72 / 2375 for t in (0, 0.5, 0.8, 0.5, 0, -0.5, -0.8, -0.5, 0)])
    )
    assert statuses(short)["H-04"] == "fail"
    assert statuses(changed(short, "test", "rule_set", to="class-10cm"))["H-04"] == "pass"


def test_states_in_another_order_are_judged_alike() -> None:
    shuffled = changed(clean(), "states", to=states()[::-1])
    assert judged(shuffled) == judged(clean())
