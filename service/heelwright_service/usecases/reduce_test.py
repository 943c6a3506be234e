"""Reduce a test record that came with the request; nothing is stored."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from heelwright_service import __version__
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import METHOD_VERSION, Method, reduce_record
from heelwright_service.core.rules import rule_set
from heelwright_service.store.base import utc_now
from heelwright_service.store.canonical import sha256_of
from heelwright_service.usecases.computing import Turns

QUICK_DRAWS = 2000


@dataclass(frozen=True)
class Reduction:
    """How a record is to be reduced; see :func:`heelwright_service.core.reduction.reduce_record`."""

    method: str | None = None
    uncertainty: str = "linear"
    draws: int | None = None
    seed: int | None = None

    @property
    def is_long(self) -> bool:
        """Whether it may take more than a second or two: a simulation of many draws, or of as many as it needs."""
        return self.uncertainty == "monte-carlo" and (self.draws is None or self.draws > QUICK_DRAWS)


@dataclass(frozen=True)
class Provenance:
    """Where a result comes from: who computed it, by which method and rules, from which record, and when."""

    service_version: str
    method_version: str
    rule_set: str
    record_sha256: str
    computed_at: datetime.datetime


def reduce_document(turns: Turns, record: Mapping[str, Any], wanted: Reduction) -> dict[str, Any]:
    """Reduce a test record to the lightship.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    record : Mapping
        The test record, of checked shape.
    wanted : Reduction
        Method and treatment of uncertainty.

    Returns
    -------
    dict
        The test result with its provenance.

    Raises
    ------
    CoreError
        Naming the field whenever the record cannot be computed.
    """
    with turns.turn(long=wanted.is_long):
        result = reduce_record(
            from_document(TestRecord, record),
            cast(Method | None, wanted.method),
            wanted.uncertainty,
            wanted.draws,
            1 if wanted.seed is None else wanted.seed,
        )
    return cast(dict[str, Any], to_document(result)) | {"provenance": to_document(provenance_of(record))}


def provenance_of(record: Mapping[str, Any]) -> Provenance:
    """Return the provenance of a result computed now from a record; the test around it is no part of its digest."""
    record = {name: part for name, part in record.items() if name != "campaign"}
    used = rule_set(record.get("test", {}).get("rule_set"), "/test/rule_set")
    return Provenance(__version__, METHOD_VERSION, used.id, sha256_of(dict(record)), utc_now())
