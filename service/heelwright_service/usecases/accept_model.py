"""Compare a stored vessel's model with what is approved of her, and keep every sheet; the last of a version counts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, cast

from sqlalchemy.orm import Session

from heelwright_service import __version__
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.model_acceptance import AcceptanceRequest, accept_model
from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.errors import StaleError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import acceptance, vessels
from heelwright_service.store.tables import Computation, Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.vessel_description import described_vessel, model_version, pin_vessel

METHOD_VERSION = "3"


@dataclass(frozen=True)
class _Model:
    """A vessel as described now, and the version of that description."""

    vessel: Mapping[str, Any]
    version: str
    documents: dict[str, int]


def store_sheet(
    work: UnitOfWork, turns: Turns, caller: Caller, vessel_id: str, facts: Mapping[str, Any]
) -> Callable[[], dict[str, Any]]:
    """Compare the model that stands now with approved documents, and return what keeps the sheet.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; the comparison runs between reading and keeping.
    turns : Turns
        The queue of computations.
    caller : Caller
        Who stores it; the checker is named in the sheet.
    vessel_id : str
        The vessel.
    facts : Mapping
        An acceptance request without vessel and version, of checked shape.

    Returns
    -------
    callable
        Keeps the sheet, accepted or not, and returns it. It raises StaleError when her documents changed while they
        were compared.

    Raises
    ------
    NotFoundError
        When there is no such vessel for this caller.
    InvalidError
        When she has no length, or neither hull form nor table.
    CoreError
        Naming the field whenever the comparison cannot be made.
    """
    with work.transaction(read_only=True) as session:
        model = _model(session, vessels.get_vessel(session, vessel_id, caller.scope))
    request = from_document(AcceptanceRequest, {**facts, "vessel": model.vessel, "version": model.version})
    with turns.turn():
        sheet = to_document(accept_model(request))
    return partial(_keep, work, caller, vessel_id, dict(facts), model, sheet)


def _keep(
    work: UnitOfWork, caller: Caller, vessel_id: str, facts: dict[str, Any], model: _Model, sheet: dict[str, Any]
) -> dict[str, Any]:
    with work.transaction() as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope, lock=True)
        if _model(session, vessel).version != model.version:
            raise StaleError("stale", "her documents changed while they were compared; compare them again")
        before = acceptance.newest_sheet(session, vessel.id)
        row = Computation(
            kind=acceptance.ACCEPTANCE_KIND,
            vessel_id=vessel.id,
            method_id="model-acceptance",
            method_version=METHOD_VERSION,
            inputs=facts,
            inputs_sha256=sha256_of(facts),
            sources={"documents": model.documents, "model": model.version},
            result=sheet,
            service_version=__version__,
            computed_by=caller.name,
            supersedes=None if before is None else before.id,
        )
        session.add(row)
        session.flush()
        path = f"/v1/vessels/{vessel.id}/model-acceptance/{row.id}"
        data = {"accepted": sheet["accepted"], "checker": sheet["checker"], "version": sheet["version"]}
        work.emit("vessel.model-compared", path, actor=caller.name, vessel_id=vessel.id, data=data)
        return sheet_view(row, model.version)


def read_sheet(work: UnitOfWork, caller: Caller, vessel_id: str, sheet_id: str) -> dict[str, Any]:
    """Return one acceptance sheet of a vessel, and whether it is of the model that stands now."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        return sheet_view(acceptance.get_sheet(session, vessel.id, sheet_id), _version_now(session, vessel))


def list_sheets(
    work: UnitOfWork, caller: Caller, vessel_id: str, *, limit: int, cursor: str | None = None
) -> Page[dict[str, Any]]:
    """Return one page of a vessel's acceptance sheets, oldest first."""
    with work.transaction(read_only=True) as session:
        vessel = vessels.get_vessel(session, vessel_id, caller.scope)
        now = _version_now(session, vessel)
        return acceptance.page_sheets(session, vessel.id, cursor, limit).map(lambda row: sheet_view(row, now))


def compare_document(turns: Turns, request: Mapping[str, Any]) -> dict[str, Any]:
    """Compare a model that came with the request; nothing is stored.

    Parameters
    ----------
    turns : Turns
        The queue of computations.
    request : Mapping
        An acceptance request, of checked shape; without a version its vessel's digest stands for one.

    Returns
    -------
    dict
        The sheet.

    Raises
    ------
    CoreError
        Naming the field whenever the comparison cannot be made.
    """
    version = request.get("version") or sha256_of(request["vessel"])
    with turns.turn():
        return cast(
            dict[str, Any], to_document(accept_model(from_document(AcceptanceRequest, {**request, "version": version})))
        )


def sheet_view(row: Computation, version_now: str) -> dict[str, Any]:
    """Return a stored sheet as plain data."""
    made = {"recorded_at": row.computed_at, "recorded_by": row.computed_by, "supersedes": row.supersedes}
    current = row.result["version"] == version_now
    return {"id": row.id, "vessel_id": row.vessel_id, **row.result, "of_current_model": current, **made}


def _model(session: Session, vessel: Vessel) -> _Model:
    pins = pin_vessel(session, vessel)
    described = described_vessel(session, vessel, pins).document
    if "length_bp_m" not in described:
        raise InvalidError("vessel-incomplete", "this vessel has no length_bp_m yet; PATCH it", "")
    if "hull" not in described and "hydrostatic_table" not in described:
        message = "this vessel has neither a hull form nor a hydrostatic table yet; store one with PUT"
        raise InvalidError("vessel-incomplete", message, "")
    return _Model(described, model_version(session, vessel, pins), pins["versions"])


def _version_now(session: Session, vessel: Vessel) -> str:
    return model_version(session, vessel, pin_vessel(session, vessel))
