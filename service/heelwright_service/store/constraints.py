"""From a broken database constraint to a sentence that a caller can act on."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.exc import IntegrityError

from heelwright_service.store.errors import ConflictError


@dataclass(frozen=True)
class _Meaning:
    code: str
    message: str
    pointer: str = ""


# By the constraint's name, which PostgreSQL reports, and by the columns, which SQLite reports.
_MEANINGS: dict[tuple[str, str], _Meaning] = {
    ("uq_vessels_imo_number", "vessels.imo_number"): _Meaning(
        "imo-number-taken", "another vessel carries this IMO number; look her up instead of adding her", "/imo_number"
    ),
    ("fk_vessels_sister_of_vessels", "FOREIGN KEY"): _Meaning(
        "vessel-in-use", "other records name this vessel, so she cannot be removed; keep her", ""
    ),
    ("uq_lightships_first_of_date_and_basis", "lightships.vessel_id, lightships.date, lightships.basis"): _Meaning(
        "lightship-exists",
        "this vessel has a lightship of this date and basis; name it in supersedes to correct it",
        "/supersedes",
    ),
    ("uq_lightships_supersedes", "lightships.supersedes"): _Meaning(
        "already-superseded", "that lightship has been superseded already; name the newest one", "/supersedes"
    ),
    ("uq_alterations_corrects", "alterations.corrects"): _Meaning(
        "already-corrected", "that entry has been corrected already; name the newest one", "/corrects"
    ),
    ("uq_computations_supersedes", "computations.supersedes"): _Meaning(
        "already-superseded", "that result has been superseded already; name the newest one", "/supersedes"
    ),
    ("uq_test_entries_corrects", "test_entries.corrects"): _Meaning(
        "already-corrected", "that entry has been corrected already; name the newest one", "/corrects"
    ),
    ("uq_tests_supersedes", "tests.supersedes"): _Meaning(
        "already-superseded", "another test supersedes that one already", "/supersedes"
    ),
    (
        "uq_test_documents_test_id_kind_version",
        "test_documents.test_id, test_documents.kind, test_documents.version",
    ): _Meaning("stale", "somebody stored a newer version meanwhile; read it and try again"),
    (
        "uq_vessel_documents_vessel_id_kind_version",
        "vessel_documents.vessel_id, vessel_documents.kind, vessel_documents.version",
    ): _Meaning("stale", "somebody stored a newer version meanwhile; read it and try again"),
}


def conflict_of(error: IntegrityError) -> ConflictError:
    """Say what a broken constraint means.

    Parameters
    ----------
    error : IntegrityError
        As raised by the database driver.

    Returns
    -------
    ConflictError
        With the code of the constraint, or ``conflict`` where no sentence is known for it.
    """
    name = getattr(getattr(error.orig, "diag", None), "constraint_name", None)
    text = str(error.orig)
    for (constraint, columns), meaning in _MEANINGS.items():
        if name == constraint or (name is None and text.removeprefix("UNIQUE constraint failed: ") == columns):
            return ConflictError(meaning.code, meaning.message, meaning.pointer)
        if name is None and columns == "FOREIGN KEY" and text.startswith(columns):
            return ConflictError(meaning.code, meaning.message, meaning.pointer)
    return ConflictError("conflict", "what was asked contradicts what is stored")
