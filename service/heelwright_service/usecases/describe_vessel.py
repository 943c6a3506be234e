"""Keep the documents that describe a vessel: hull form, hydrostatic table, marks and tanks, each in versions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_service.core.documents import from_document
from heelwright_service.core.hull import Hull
from heelwright_service.core.hydrostatic_table import HydrostaticTable
from heelwright_service.core.record import HullDocument, TableDocument
from heelwright_service.store.queries import vessels
from heelwright_service.store.tables import VesselDocument
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.preconditions import Expected


@dataclass(frozen=True)
class StoredDocument:
    """One version of a document, with its digest."""

    document: dict[str, Any]
    version: int
    sha256: str
    first: bool = False


def store_document(
    work: UnitOfWork, caller: Caller, vessel_id: str, kind: str, expected: Expected, document: dict[str, Any]
) -> StoredDocument:
    """Store a new version of a vessel's document; the same content again is no new version.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who stores it.
    vessel_id : str
        The vessel.
    kind : str
        ``hull``, ``hydrostatic-table``, ``marks`` or ``tanks``.
    expected : Expected
        The versions that the caller has seen; 0 when there is none yet.
    document : dict
        The content, of checked shape.

    Returns
    -------
    StoredDocument
        The version that is now current.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    StaleError
        When the document is not at an expected version.
    CoreError
        When the document makes no sense, such as a contour that crosses itself.
    """
    with work.transaction() as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope, lock=True)
        current = vessels.current_version(session, vessel.id, kind)
        expected.check(current)
        if current and vessels.get_document(session, vessel.id, kind).document == document:
            return _stored(vessels.get_document(session, vessel.id, kind))
        _check_sense(kind, document, vessel.length_bp_m)
        row = vessels.append_document(session, vessel.id, kind, current + 1, document, caller.name)
        path = f"/v1/vessels/{vessel.id}/{kind}"
        data = {"kind": kind, "version": row.version, "sha256": row.sha256}
        work.emit("vessel.described", path, actor=caller.name, vessel_id=vessel.id, data=data)
        return StoredDocument(row.document, row.version, row.sha256, first=row.version == 1)


def read_document(
    work: UnitOfWork, caller: Caller, vessel_id: str, kind: str, version: int | None = None
) -> StoredDocument:
    """Return one version of a vessel's document, the newest by default.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller, or no such version.
    """
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        return _stored(vessels.get_document(session, vessel.id, kind, version))


def list_versions(work: UnitOfWork, caller: Caller, vessel_id: str, kind: str) -> Sequence[dict[str, Any]]:
    """Return when and by whom each version of a document was stored, oldest first."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        return [
            {
                "version": row.version,
                "sha256": row.sha256,
                "recorded_at": row.recorded_at,
                "recorded_by": row.recorded_by,
            }
            for row in vessels.document_versions(session, vessel.id, kind)
        ]


def _stored(row: VesselDocument) -> StoredDocument:
    return StoredDocument(row.document, row.version, row.sha256)


def _check_sense(kind: str, document: dict[str, Any], length_bp_m: float | None) -> None:
    """Build what a computation would build; the length does not matter for that, and may not be known yet."""
    length = length_bp_m or 1.0
    if kind == "hull":
        Hull.from_document(from_document(HullDocument, document), length, "")
    elif kind == "hydrostatic-table":
        HydrostaticTable(from_document(TableDocument, document), length, "")
    elif kind == "tanks":
        for place, tank in enumerate(document["tanks"]):
            if tank.get("geometry") is not None:
                shape = from_document(HullDocument, tank["geometry"])
                Hull.of_tank(shape, f"/tanks/{place}/geometry")
