"""The order of a fleet, kept until something changes: working it out takes a drift of every vessel."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class FleetQuestion:
    """Which fleet (all when None), by which rules (each vessel's own when None), as of which day."""

    as_of: str
    fleet: str | None = None
    rule_set: str | None = None


class Rankings:
    """The last orders of fleets that were worked out; a change of any vessel or history makes them useless.

    Parameters
    ----------
    most : int
        How many are kept.
    """

    def __init__(self, most: int = 16) -> None:
        self._kept: OrderedDict[Hashable, Sequence[str]] = OrderedDict()
        self._most = most
        self._lock = threading.Lock()

    def get(self, key: Hashable) -> Sequence[str] | None:
        """Return the order kept for a key, or None."""
        with self._lock:
            return self._kept.get(key)

    def keep(self, key: Hashable, order: Sequence[str]) -> Sequence[str]:
        """Keep an order, forget the oldest where there are too many, and return it."""
        with self._lock:
            self._kept[key] = order
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return order
