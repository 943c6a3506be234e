"""Computations take turns, the long ones among themselves: side by side all would be slow on one interpreter."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from heelwright_service.usecases.errors import BusyError


class _Lane:
    """A queue of computations of one size."""

    def __init__(self, wait_s: float, most_waiting: int | None) -> None:
        self._slot = threading.Lock()
        self._places = None if most_waiting is None else threading.BoundedSemaphore(1 + most_waiting)
        self._wait_s = wait_s

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Wait for a turn and hold it."""
        if self._places is not None and not self._places.acquire(blocking=False):
            raise BusyError("busy", "several long computations are waiting already; ask again in a while")
        try:
            if not self._slot.acquire(timeout=self._wait_s):
                raise BusyError("busy", f"other computations took longer than {self._wait_s:g} s; ask again in a while")
            try:
                yield
            finally:
                self._slot.release()
        finally:
            if self._places is not None:
                self._places.release()


class Turns:
    """Two queues of computations, so that what takes a moment never waits behind what takes a minute.

    Parameters
    ----------
    wait_s : float
        The longest wait for a turn, in seconds.
    most_waiting : int
        How many long computations may wait; each holds one of the server's threads, which readers need too.
    """

    def __init__(self, wait_s: float = 120.0, most_waiting: int = 4) -> None:
        self._short, self._long = _Lane(wait_s, None), _Lane(wait_s, most_waiting)

    @contextmanager
    def turn(self, *, long: bool = False) -> Iterator[None]:
        """Wait for a turn and hold it.

        Parameters
        ----------
        long : bool
            Whether the computation may take more than a second or two.

        Raises
        ------
        BusyError
            When none came up in time, or too many long ones are waiting.
        """
        with (self._long if long else self._short).turn():
            yield
