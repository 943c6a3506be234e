"""The order of a fleet and the drift of each vessel, kept as long as nothing that goes into them has changed."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, NamedTuple, TypeVar

from heelwright_service.core.drift import Drift, standing_of
from heelwright_service.core.drift.ladder import SEVERITY
from heelwright_service.core.errors import CoreError
from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.paging import CursorError, decode_cursor, encode_cursor

Told = Drift | CoreError | ConflictError
V = TypeVar("V")


@dataclass(frozen=True)
class FleetQuestion:
    """Which fleet (all when None), by which rules (each vessel's own when None), as of which day."""

    as_of: str
    fleet: str | None = None
    rule_set: str | None = None


class Place(NamedTuple):
    """Where a vessel stands in the order of a fleet; the worst has the least place, one without a drift the greatest.

    A cursor names the last place of a page and not how many came before: the next page begins after it, wherever others
    have come to stand meanwhile.
    """

    milder: int
    less_probable: float
    vessel_id: str

    @classmethod
    def of(cls, vessel_id: str, told: Told) -> Place:
        """Return the place of a vessel by her drift."""
        gravest = max(SEVERITY.values())
        if not isinstance(told, Drift):
            return cls(gravest + 1, 0.0, vessel_id)
        standing = standing_of(told)
        return cls(gravest - SEVERITY[standing.action], -standing.probability_exceeded, vessel_id)

    @classmethod
    def read(cls, cursor: str) -> Place:
        """Return the place that a cursor names.

        Raises
        ------
        CursorError
            When it names none.
        """
        milder, less_probable, vessel_id = decode_cursor(cursor, len(cls._fields))
        try:
            return cls(int(milder), float(less_probable), str(vessel_id))
        except ValueError as error:
            raise CursorError("not a cursor of this list; take next_cursor from the page before") from error

    @property
    def cursor(self) -> str:
        """The cursor of the page that begins after it."""
        return encode_cursor([self.milder, repr(self.less_probable), self.vessel_id])


class _Newest(Generic[V]):
    """The values that were used last, of any thread."""

    def __init__(self, most: int) -> None:
        self._kept: OrderedDict[Hashable, V] = OrderedDict()
        self._most = most
        self._lock = threading.Lock()

    def get(self, key: Hashable) -> V | None:
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def keep(self, key: Hashable, value: V) -> V:
        with self._lock:
            self._kept[key] = value
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return value


class Rankings:
    """The last orders of fleets and drifts of vessels that were worked out.

    An order is kept by the state of all histories. A drift is kept by the digest of everything that it is worked out
    from, the day among it, so that it cannot be out of date: a change of one vessel leaves the others' drifts good.

    Parameters
    ----------
    most_orders : int
        How many orders are kept.
    most_drifts : int
        How many drifts are kept.
    """

    def __init__(self, most_orders: int = 16, most_drifts: int = 5000) -> None:
        self._orders: _Newest[Sequence[Place]] = _Newest(most_orders)
        self._drifts: _Newest[Told] = _Newest(most_drifts)

    def get(self, key: Hashable) -> Sequence[Place] | None:
        """Return the order kept for a key, or None."""
        return self._orders.get(key)

    def keep(self, key: Hashable, order: Sequence[Place]) -> Sequence[Place]:
        """Keep an order, forget the oldest where there are too many, and return it."""
        return self._orders.keep(key, order)

    def told(self, name: str, request: Mapping[str, Any], work_out: Callable[[], Told]) -> Told:
        """Return the drift of a request, worked out where it is not kept, or the error that stands against it.

        Parameters
        ----------
        name : str
            The vessel's name, which errors have in them.
        request : Mapping
            Everything that the drift is worked out from.
        work_out : callable
            Works it out.

        Returns
        -------
        Drift or error
            As worked out now or before.
        """
        key = sha256_of({"name": name, "request": dict(request)})
        known = self._drifts.get(key)
        return self._drifts.keep(key, work_out()) if known is None else known
