"""One computation at a time: side by side they would take more than twice as long on one interpreter."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from heelwright_service.usecases.errors import BusyError


class Turns:
    """A queue of computations.

    Parameters
    ----------
    at_once : int
        How many may run side by side.
    wait_s : float
        The longest wait for a turn, in seconds.
    """

    def __init__(self, at_once: int = 1, wait_s: float = 120.0) -> None:
        self._slots = threading.BoundedSemaphore(at_once)
        self._wait_s = wait_s

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Wait for a turn and hold it.

        Raises
        ------
        BusyError
            When none came up in time.
        """
        if not self._slots.acquire(timeout=self._wait_s):
            raise BusyError("busy", f"other computations took longer than {self._wait_s:g} s; ask again in a while")
        try:
            yield
        finally:
            self._slots.release()
