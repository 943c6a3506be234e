"""Nobody overwrites what they have not read."""

from __future__ import annotations

import pytest
from heelwright_service.store.errors import StaleError
from heelwright_service.usecases.errors import PreconditionMissingError
from heelwright_service.usecases.preconditions import ABSENT, ANY, UNSTATED, Expected


@pytest.mark.parametrize(
    ("expected", "current", "refusal"),
    [
        (ANY, 0, None),
        (ANY, 4, None),
        (ABSENT, 0, None),
        (ABSENT, 1, StaleError),
        (UNSTATED, 0, None),
        (UNSTATED, 1, PreconditionMissingError),
        (Expected(frozenset({3})), 3, None),
        (Expected(frozenset({3})), 4, StaleError),
        (Expected(frozenset({3})), 0, StaleError),
        (Expected(frozenset()), 1, StaleError),
    ],
)
def test_what_was_read_decides_what_may_be_changed(
    expected: Expected, current: int, refusal: type[Exception] | None
) -> None:
    if refusal is None:
        expected.check(current)
        return
    with pytest.raises(refusal):
        expected.check(current)
