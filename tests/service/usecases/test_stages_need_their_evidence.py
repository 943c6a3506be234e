"""No way of working leads a test to approved without its evidence: leave any step out, and it stays below."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest
from heelwright_client.errors import RefusedError
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from tests.support.box_test import Bench, bench


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A new folder for every installation."""
    root = tmp_path_factory.mktemp("stages")
    return (root / str(n) for n in itertools.count())


STEPS = (
    "plan", "tank plan", "issue", "work list", "prepare", "ticks", "advisory survey", "go on survey", "persons",
    "weights", "instruments", "water", "draughts", "soundings", "survey", "start", "states", "readings", "signatures",
    "close", "reduce", "result", "review", "answers", "approve",
)  # fmt: skip
SHORTCUTS = ("test-day", "preliminary-result", "under-review", "approve")


@example(left_out=frozenset(), shortcuts=[])
@given(
    left_out=st.frozensets(st.sampled_from(STEPS), min_size=1, max_size=2),
    shortcuts=st.lists(st.tuples(st.integers(0, len(STEPS)), st.sampled_from(SHORTCUTS)), max_size=4),
)
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_test_is_approved_only_when_nothing_was_left_out(
    folders: Iterator[Path], left_out: frozenset[str], shortcuts: list[tuple[int, str]]
) -> None:
    with bench(next(folders)) as made:
        steps = made.everything()
        assert tuple(steps) == STEPS
        for place, name in enumerate(STEPS):
            for _, shortcut in (each for each in shortcuts if each[0] == place):
                with contextlib.suppress(RefusedError):
                    take(made, shortcut)
            if name not in left_out:
                with contextlib.suppress(RefusedError):
                    steps[name]()
        assert (made.stage == "approved") == (not left_out)


def take(made: Bench, shortcut: str) -> None:
    """Try to get on without the work."""
    if shortcut == "approve":
        made.crew.approver.tests.approve(made.test_id, "P. Renard")
    else:
        made.crew.planner.tests.move(made.test_id, shortcut)
