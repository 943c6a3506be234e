"""Find, page through and change vessels, and read or append their versioned documents."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session, defer

from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import Page, page_by_id
from heelwright_service.store.tables import Vessel, VesselDocument


@dataclass(frozen=True)
class Scope:
    """The vessels that a caller may see: a fleet's, some named ones, or all when both are None."""

    fleet: str | None = None
    vessel_ids: Sequence[str] | None = None

    def sees(self, vessel: Vessel) -> bool:
        """Say whether a vessel lies within the scope."""
        if self.vessel_ids is not None:
            return vessel.id in self.vessel_ids
        return self.fleet is None or vessel.fleet == self.fleet

    @property
    def limited(self) -> bool:
        """Whether there are vessels outside the scope."""
        return self.fleet is not None or self.vessel_ids is not None

    @property
    def key(self) -> tuple[str | None, frozenset[str] | None]:
        """What tells one scope from another."""
        return self.fleet, None if self.vessel_ids is None else frozenset(self.vessel_ids)

    def narrow(self, vessels: Select[Vessel]) -> Select[Vessel]:
        """Add the scope to a question about vessels."""
        if self.vessel_ids is not None:
            return vessels.where(Vessel.id.in_(self.vessel_ids))
        return vessels if self.fleet is None else vessels.where(Vessel.fleet == self.fleet)


EVERYTHING = Scope()


def get_vessel(session: Session, vessel_id: str, scope: Scope, *, lock: bool = False) -> Vessel:
    """Return one vessel within the scope; one outside it is not found.

    Parameters
    ----------
    session : Session
        An open session.
    vessel_id : str
        The vessel's identifier.
    scope : Scope
        What the caller may see.
    lock : bool
        Keep others from changing her and her history until the transaction ends.

    Returns
    -------
    Vessel
        The row.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    """
    vessel = session.get(Vessel, vessel_id, with_for_update=lock)
    if vessel is None or not scope.sees(vessel):
        raise NotFoundError("vessel-not-found", f"there is no vessel {vessel_id}; list them with GET /v1/vessels")
    return vessel


def lock_vessels(session: Session, vessel_ids: Iterable[str], scope: Scope) -> None:
    """Keep others from changing some vessels and their histories; in one order, so that no two wait for each other."""
    chosen = scope.narrow(select(Vessel)).where(Vessel.id.in_(sorted(set(vessel_ids))))
    session.scalars(chosen.order_by(Vessel.id).with_for_update()).all()


def page_vessels(
    session: Session, scope: Scope, *, fleet: str | None, imo_number: str | None, cursor: str | None, limit: int
) -> Page[Vessel]:
    """Return one page of the vessels within the scope, by fleet or IMO number where these are given."""
    vessels = scope.narrow(select(Vessel))
    if fleet is not None:
        vessels = vessels.where(Vessel.fleet == fleet)
    if imo_number is not None:
        vessels = vessels.where(Vessel.imo_number == imo_number)
    return page_by_id(session, vessels, Vessel.id, cursor, limit)


def all_vessels(session: Session, scope: Scope, fleet: str | None) -> Sequence[Vessel]:
    """Return every vessel within the scope, or of one fleet in it."""
    vessels = scope.narrow(select(Vessel))
    if fleet is not None:
        vessels = vessels.where(Vessel.fleet == fleet)
    return session.scalars(vessels.order_by(Vessel.id)).all()


def vessels_by_id(session: Session, scope: Scope, ids: Sequence[str]) -> Sequence[Vessel]:
    """Return some vessels within the scope; those that are not there any more are left out."""
    return session.scalars(scope.narrow(select(Vessel)).where(Vessel.id.in_(ids))).all()


def current_version(session: Session, vessel_id: str, kind: str) -> int:
    """Return the newest version of a document, 0 when there is none."""
    newest = select(func.max(VesselDocument.version)).where(
        VesselDocument.vessel_id == vessel_id, VesselDocument.kind == kind
    )
    return session.scalar(newest) or 0


def current_versions(session: Session, vessel_id: str) -> dict[str, int]:
    """Return the newest version of every document that a vessel has."""
    newest = (
        select(VesselDocument.kind, func.max(VesselDocument.version))
        .where(VesselDocument.vessel_id == vessel_id)
        .group_by(VesselDocument.kind)
    )
    return {str(kind): int(version) for kind, version in session.execute(newest)}


def get_document(session: Session, vessel_id: str, kind: str, version: int | None = None) -> VesselDocument:
    """Return one version of a vessel's document, the newest by default.

    Raises
    ------
    NotFoundError
        When the vessel has no such document, or not this version of it.
    """
    wanted = select(VesselDocument).where(VesselDocument.vessel_id == vessel_id, VesselDocument.kind == kind)
    if version is not None:
        wanted = wanted.where(VesselDocument.version == version)
    found = session.scalars(wanted.order_by(VesselDocument.version.desc()).limit(1)).first()
    if found is None:
        which = "none yet" if version is None else f"no version {version}"
        raise NotFoundError("document-not-found", f"this vessel has {which} of {kind}; store one with PUT")
    return found


def document_versions(session: Session, vessel_id: str, kind: str) -> Sequence[VesselDocument]:
    """Return every version of a vessel's document, oldest first, without its content."""
    wanted = select(VesselDocument).where(VesselDocument.vessel_id == vessel_id, VesselDocument.kind == kind)
    facts = defer(VesselDocument.document, raiseload=True)
    return session.scalars(wanted.order_by(VesselDocument.version).options(facts)).all()


def append_document(
    session: Session, vessel_id: str, kind: str, version: int, document: dict[str, Any], recorded_by: str
) -> VesselDocument:
    """Store a new version of a vessel's document with its digest."""
    row = VesselDocument(
        vessel_id=vessel_id,
        kind=kind,
        version=version,
        document=document,
        sha256=sha256_of(document),
        recorded_by=recorded_by,
    )
    session.add(row)
    session.flush()
    return row
