"""Computations take turns, and say so when theirs does not come."""

from __future__ import annotations

import threading

import pytest
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.errors import BusyError


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
