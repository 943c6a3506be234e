"""Worked examples from textbooks, examination papers, standards and open data, and closed forms, at their tolerances.

Every case names its source; "from memory" stands where the citation was not verified. Where the printed figure is
wrong, the recomputed one is tested and the note says what is wrong in print.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.reference import bodies, draughts, inclining, measurement

Case = dict[str, Any]

PUBLISHED: list[Case] = json.loads((Path(__file__).parent / "published.json").read_text(encoding="utf-8"))
BY_ID = {case["id"]: case for case in PUBLISHED}

MAPPED: dict[str, Callable[[Case], Case]] = {
    **inclining.CASES,
    **draughts.CASES,
    **bodies.CASES,
    **measurement.CASES,
    "HUL-02": lambda given: bodies.series_60_heeled(given, BY_ID["HUL-01"]["given"]),
}

NOT_APPLICABLE: dict[str, str] = {}
"""Cases that no public function answers, with the reason."""


def label(case: Case) -> str:
    """What a failing run shows: the case, its source, and whether it was verified."""
    source = case["source"].split(", http")[0]
    return f"{case['id']} {source[:70]}{' (from memory)' if case['from_memory'] else ''}"


def misfits(case: Case, found: Case, against: Case) -> list[str]:
    """The quantities that differ from what is expected by more than the tolerance."""
    sentences = []
    for name, expected in against.items():
        value, tolerance = np.asarray(found[name], float), case["tolerance"][name]
        if value.shape != np.shape(expected) or not np.all(np.abs(value - expected) <= tolerance):
            sentences.append(f"{name}: {found[name]} instead of {expected} ± {tolerance}")
    return sentences


@pytest.mark.parametrize("case", PUBLISHED, ids=label)
def test_a_published_case_is_reproduced_within_its_tolerance(case: Case) -> None:
    if case["id"] in NOT_APPLICABLE:
        assert NOT_APPLICABLE[case["id"]]
        return
    found = MAPPED[case["id"]](case["given"])
    assert not misfits(case, found, case["expected"]), f"{case['source']}\n{case['note']}"


@pytest.mark.parametrize("case", [c for c in PUBLISHED if c["agrees_with_printed"] is False], ids=label)
def test_a_figure_that_is_wrong_in_print_is_not_reproduced(case: Case) -> None:
    found = MAPPED[case["id"]](case["given"])
    printed = {name: value for name, value in case["printed"].items() if name in case["tolerance"]}
    assert misfits(case, found, printed), case["note"]
    assert not misfits(case, found, {name: case["recomputed"][name] for name in printed})


def test_every_published_case_is_computed_or_says_why_not() -> None:
    assert set(MAPPED) | set(NOT_APPLICABLE) == set(BY_ID)
    assert not set(MAPPED) & set(NOT_APPLICABLE)
    assert len(NOT_APPLICABLE) <= 3
