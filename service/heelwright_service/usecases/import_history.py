"""Store a whole history, lightships and alterations of any number of vessels, in one transaction or not at all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from heelwright_service.store.errors import StoreError
from heelwright_service.store.queries.vessels import lock_vessels
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.errors import UseCaseError
from heelwright_service.usecases.record_history import record_alteration, record_lightship


def import_history(work: UnitOfWork, caller: Caller, entries: Sequence[Mapping[str, Any]]) -> dict[str, int]:
    """Record every entry, or none when one is refused.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction that all entries share.
    caller : Caller
        Who records them; approved lightships need an approver.
    entries : sequence of Mapping
        Each with ``vessel_id`` and either ``lightship`` or ``alteration``.

    Returns
    -------
    dict
        ``lightships`` and ``alterations``: how many were stored.

    Raises
    ------
    StoreError, UseCaseError
        What recording one entry alone would raise, its pointer below ``/entries/N``.
    """
    stored = {"lightships": 0, "alterations": 0}
    with work.transaction() as session:
        lock_vessels(session, [entry["vessel_id"] for entry in entries], caller.scope)
        for number, entry in enumerate(entries):
            kind = "lightship" if entry.get("lightship") is not None else "alteration"
            record = record_lightship if kind == "lightship" else record_alteration
            with _located(number, kind):
                record(work, caller, entry["vessel_id"], entry[kind])
            stored[f"{kind}s"] += 1
    return stored


@contextmanager
def _located(number: int, kind: str) -> Iterator[None]:
    """Say of a refusal which entry it is about."""
    try:
        yield
    except (StoreError, UseCaseError) as error:
        below = f"/{kind}{error.pointer}" if error.pointer else ""
        raise type(error)(error.code, error.message, f"/entries/{number}{below}") from error
