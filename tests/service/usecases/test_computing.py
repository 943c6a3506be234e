"""Computations take turns, and say so when theirs does not come."""

from __future__ import annotations

import threading

import pytest
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.errors import BusyError
from heelwright_service.usecases.reduce_test import Reduction


def test_one_computation_waits_for_the_one_before_it() -> None:
    turns, running, most = Turns(), 0, 0

    def compute() -> None:
        nonlocal running, most
        with turns.turn():
            running += 1
            most = max(most, running)
            threading.Event().wait(0.01)
            running -= 1

    threads = [threading.Thread(target=compute) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == 1


def test_a_computation_whose_turn_does_not_come_is_refused() -> None:
    turns = Turns(wait_s=0.01)
    with turns.turn(), pytest.raises(BusyError, match=r"0\.01 s"), turns.turn():
        pass


def test_a_computation_that_fails_gives_its_turn_back() -> None:
    turns = Turns(wait_s=0.01)
    for _ in range(3):
        with pytest.raises(ValueError, match="failed"), turns.turn():
            raise ValueError("failed")


def test_a_short_computation_does_not_wait_behind_a_long_one() -> None:
    turns = Turns(wait_s=0.01)
    with turns.turn(long=True), turns.turn(), pytest.raises(BusyError), turns.turn(long=True):
        pass


def test_no_more_long_computations_wait_than_leave_threads_for_readers() -> None:
    turns, hold, started = Turns(wait_s=30.0, most_waiting=2), threading.Event(), threading.Semaphore(0)

    def compute() -> None:
        started.release()
        with turns.turn(long=True):
            hold.wait(30)

    threads = [threading.Thread(target=compute) for _ in range(3)]
    for thread in threads:
        thread.start()
        started.acquire()
    while turns._long._places._value > 0:  # type: ignore[union-attr]  # until all three have come in
        threading.Event().wait(0.001)
    with pytest.raises(BusyError, match="waiting already"), turns.turn(long=True):
        pass
    hold.set()
    for thread in threads:
        thread.join()
    with turns.turn(long=True):
        pass


@pytest.mark.parametrize(
    ("uncertainty", "draws", "long"),
    [
        ("linear", None, False),
        ("monte-carlo", 2000, False),
        ("monte-carlo", 100_000, True),
        ("monte-carlo", None, True),
    ],
)
def test_a_simulation_of_many_draws_is_long(uncertainty: str, draws: int | None, long: bool) -> None:
    assert Reduction(uncertainty=uncertainty, draws=draws).is_long is long
