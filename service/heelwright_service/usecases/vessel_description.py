"""Describe a vessel as a test record does: her particulars, form, marks, tanks and the lightship in force."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.queries import vessels
from heelwright_service.store.queries.acceptance import newest_sheet_of_version
from heelwright_service.store.queries.history import standing_lightships
from heelwright_service.store.tables import Lightship, TestDocument, Vessel
from heelwright_service.usecases.parsed_parts import Described

_PARTICULARS = ("name", "kind", "length_bp_m", "length_m", "breadth_m", "depth_m")
_PARTS = {"hull": "hull", "hydrostatic-table": "hydrostatic_table", "marks": "marks", "tanks": "tanks"}


def pin_vessel(session: Session, vessel: Vessel) -> dict[str, Any]:
    """Say which versions of a vessel's documents hold now, with her particulars and approved lightship.

    Parameters
    ----------
    session : Session
        An open session.
    vessel : Vessel
        The vessel.

    Returns
    -------
    dict
        ``versions`` by kind of document, ``particulars``, and ``approved_lightship`` or None.
    """
    return {
        "versions": vessels.current_versions(session, vessel.id),
        "particulars": {name: getattr(vessel, name) for name in _PARTICULARS if getattr(vessel, name) is not None},
        "approved_lightship": _approved(session, vessel.id),
    }


def described_vessel(session: Session, vessel: Vessel, pinned: dict[str, Any] | None) -> Described:
    """Return a vessel as part of a test record.

    Parameters
    ----------
    session : Session
        An open session.
    vessel : Vessel
        The vessel.
    pinned : dict or None
        From :func:`pin_vessel`; what holds now where None.

    Returns
    -------
    Described
        The record's ``vessel``; parts that she does not have are left out.
    """
    pins = pinned if pinned is not None else pin_vessel(session, vessel)
    found: dict[str, Any] = dict(pins["particulars"])
    keys: dict[str, str] = {}
    for kind, version in sorted(pins["versions"].items()):
        row = vessels.get_document(session, vessel.id, kind, version)
        found[_PARTS[kind]] = row.document[kind] if kind in ("marks", "tanks") else row.document
        keys[_PARTS[kind]] = row.id
    if pins["approved_lightship"] is not None:
        found["approved_lightship"] = pins["approved_lightship"]
    accepted = _accepted(session, vessel.id, model_version(session, vessel, pins))
    if accepted is not None:
        found["model_acceptance"] = accepted
    return Described(found, keys)


def model_version(session: Session, vessel: Vessel, pinned: dict[str, Any]) -> str:
    """Return the version of a vessel's model: the digest of her length and of the documents that describe her.

    Parameters
    ----------
    session : Session
        An open session.
    vessel : Vessel
        The vessel.
    pinned : dict
        From :func:`pin_vessel`.

    Returns
    -------
    str
        64 hexadecimal digits; the same content has the same version.
    """
    digests = {
        kind: vessels.get_document(session, vessel.id, kind, version).sha256
        for kind, version in pinned["versions"].items()
    }
    return sha256_of({"length_bp_m": pinned["particulars"].get("length_bp_m"), "documents": digests})


def _accepted(session: Session, vessel_id: str, version: str) -> dict[str, Any] | None:
    """Who accepted this version of the model, by the newest sheet of it; None where that one says otherwise."""
    newest = newest_sheet_of_version(session, vessel_id, version)
    if newest is None or not newest.result["accepted"]:
        return None
    return {name: newest.result[name] for name in ("checker", "date", "version")}


def described_in_record(record: TestDocument) -> Described:
    """Return the vessel of a record that was entered whole."""
    vessel = record.document["vessel"]
    return Described(vessel, {name: f"{record.id}/{name}" for name in _PARTS.values()})


def _approved(session: Session, vessel_id: str) -> dict[str, Any] | None:
    """The latest approved lightship whose VCG is known: surveys carry the VCG of the inclining before them."""
    found = [row for row in standing_lightships(session, [vessel_id]) if row.approved]
    measured = [row for row in found if row.vcg_m is not None]
    if not measured:
        return None
    return _facts(found[-1], measured[-1])


def _facts(last: Lightship, measured: Lightship) -> dict[str, Any]:
    tcg = last.tcg_m if last.tcg_m is not None else measured.tcg_m
    return {
        "mass_t": last.mass_t,
        "lcg_m": last.lcg_m,
        "vcg_m": measured.vcg_m,
        "date": last.date.isoformat(),
    } | ({} if tcg is None else {"tcg_m": tcg})
