"""Who recorded in a test cannot approve it: people are compared, whatever they signed in with."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.stored_tests import StoredTest
from heelwright_service.usecases.test_evidence import recorded_by


def of(
    origin: str = "conducted", *, opened_by: str = "K. Lund", entered_by: str | None = None, by: str = "M. Ito"
) -> Any:
    """What is looked at of a test: who opened it, who entered it whole, who entered a reading."""
    entries = [
        SimpleNamespace(kind="reading", token_id="token-of-the-day", recorded_by="M. Ito"),
        SimpleNamespace(kind="permit", token_id="token-of-the-watch", recorded_by="J. Watch"),
    ]
    row = SimpleNamespace(created_by=opened_by)
    authors = frozenset() if entered_by is None else frozenset({entered_by})
    return cast(StoredTest, SimpleNamespace(origin=origin, row=row, entered_by=authors, history=entries))


@pytest.mark.parametrize("name", ["M. Ito", "m. ito", "M.  Ito ", "Ｍ. Ito"])
def test_another_token_or_a_session_of_the_same_person_counts_as_that_person(name: str) -> None:
    assert recorded_by(of(), Caller("a-session-of-today", name, "approver"))


def test_the_same_token_counts_under_whatever_name() -> None:
    assert recorded_by(of(), Caller("token-of-the-day", "Somebody Else", "approver"))


@pytest.mark.parametrize("name", ["P. Renard", "K. Lund", "J. Watch"])
def test_who_entered_no_data_of_the_test_may_approve(name: str) -> None:
    assert not recorded_by(of(), Caller("another", name, "approver"))


@pytest.mark.parametrize("name", ["k. lund", "B. Kell"])
def test_who_opened_or_sent_in_a_finished_test_entered_it(name: str) -> None:
    assert recorded_by(of("entered-record", entered_by="B. Kell"), Caller("another", name, "approver"))
