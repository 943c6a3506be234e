"""The result that a stored test was last reduced to, and what the review makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.boundary import BoundaryDecision as Decision
from heelwright_service.core.campaign.plan_document import Attachment
from heelwright_service.core.campaign.review import review_result
from heelwright_service.core.campaign.review_document import (
    Answer,
    ReviewInputs,
    SettledDeviation,
    Signature,
    Statements,
)
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.results import Check
from heelwright_service.core.test_result import TestResult
from heelwright_service.store.canonical import sha256_of
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.queries import tests
from heelwright_service.store.queries.provenance import get_computation
from heelwright_service.store.tables import Computation
from heelwright_service.usecases.assemble_record import stored_record
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.expected_lightship import expected_of_log
from heelwright_service.usecases.parsed_parts import Part, record_of, result_of
from heelwright_service.usecases.stored_tests import StoredTest


@dataclass(frozen=True)
class CurrentResult:
    """The stored result with the record it was computed from, and whether that is still the record."""

    row: Computation
    current: bool

    @property
    def result(self) -> TestResult:
        """The result as dataclasses."""
        return result_of(Part(self.row.id, self.row.result))

    @property
    def parsed_record(self) -> TestRecord:
        """The record as dataclasses."""
        return record_of(Part(self.row.id, self.row.inputs))

    @property
    def record(self) -> dict[str, Any]:
        """The record it was computed from."""
        return self.row.inputs


def current_result(session: Session, test: StoredTest) -> CurrentResult:
    """Return the result of a test.

    Parameters
    ----------
    session : Session
        An open session.
    test : StoredTest
        The test.

    Returns
    -------
    CurrentResult
        The newest; after approval it counts as current for ever.

    Raises
    ------
    NotFoundError
        When the test has not been reduced yet.
    """
    row = _row_of_result(session, test)
    if test.stage in ("approved", "superseded"):
        return CurrentResult(row, True)
    return CurrentResult(row, record_digest(session, test) == row.inputs_sha256)


def _row_of_result(session: Session, test: StoredTest) -> Computation:
    if test.row.result_id is None:
        raise NotFoundError("result-not-found", "this test has no result yet; reduce it with POST /result")
    return get_computation(session, test.row.result_id)


def record_digest(session: Session, test: StoredTest) -> str | None:
    """Return the digest of a test's record as it stands, or None while it is incomplete."""
    try:
        return sha256_of(stored_record(session, test))
    except InvalidError:
        return None


def record_of_entered(session: Session, test: StoredTest) -> dict[str, Any] | None:
    """Return the record of a test that was entered whole, or None while there is none."""
    found = tests.find_document(session, test.row.id, "record")
    return None if found is None else found.document


def review_findings(session: Session, test: StoredTest) -> list[Check]:
    """Return what a reviewer would say of the test's result.

    Parameters
    ----------
    session : Session
        An open session.
    test : StoredTest
        The test.

    Returns
    -------
    list of Check
        RR-01 to RR-26.

    Raises
    ------
    NotFoundError
        When the test has not been reduced yet.
    """
    return review_result(_inputs(session, test))


def _inputs(session: Session, test: StoredTest) -> ReviewInputs:
    row = _row_of_result(session, test)
    record = record_of(Part(row.id, row.inputs))
    late = [from_document(Attachment, each) for each in [*test.documents("certificate"), *test.told("certificate")]]
    attachments = [*test.plan.attachments, *late, *_certificates(test)]
    statements = [*test.told("statements"), *test.documents("statements")]
    return ReviewInputs(
        kind=test.kind,
        record=record,
        result=result_of(Part(row.id, row.result)),
        purpose=test.plan.purpose,
        deviations=settled_deviations(test),
        signatures=[from_document(Signature, e) for e in test.documents("signature") if e["what"] == "data"],
        signed_there=[from_document(Signature, e) for e in test.told("signature") if e["what"] == "data"],
        attachments=attachments,
        draught_plan=test.plan.draught_plan,
        items=test.items(),
        decisions=[*_told_decisions(test), *decisions_of(session, test.row.vessel_id)],
        statements=from_document(Statements, statements[-1]) if statements else Statements(),
        expectation=expected_of_log(session, test.vessel, row.inputs, test.date or str(row.computed_at.date())),
    )


def _certificates(test: StoredTest) -> list[Attachment]:
    """Certificates that the weights were entered with stand for the paper among the attachments."""
    weights = test.documents("weight") or test.told("weight")
    if weights and all(weight.get("certificate") for weight in weights):
        return [Attachment("weight-certificates", ", ".join(str(weight["certificate"]) for weight in weights))]
    return []


def settled_deviations(test: StoredTest) -> list[SettledDeviation]:
    """Return the deviations of a test with their price in words and the names of who accepted them."""
    there = {each.get("deviation"): each for each in test.told("decision")}
    here = {document["deviation"]: document for document in test.documents("decision")}
    rows = [{**entry.document, "id": entry.id} for entry in test.standing("deviation")]
    return [
        *(_settled(row, there.get(row["id"], {}), by_file=True) for row in test.told("deviation")),
        *(_settled(row, here.get(row["id"], {}), by_file=False) for row in rows),
    ]


def _settled(deviation: dict[str, Any], decision: dict[str, Any], *, by_file: bool) -> SettledDeviation:
    price = decision.get("price") or deviation.get("price")
    words = None if price is None else str(price["sentence"])
    if decision.get("decision") == "mend":
        words = words or "mended before the readings"
    return SettledDeviation(deviation["text"], words, decision.get("name"), decision.get("witness"), by_file)


def _told_decisions(test: StoredTest) -> list[Decision]:
    """The boundary as it was drawn where an imported test was made."""
    return [] if test.file is None else [from_document(Decision, each) for each in test.file["boundary_register"]]


def decisions_of(session: Session, vessel_id: str) -> list[Decision]:
    """Return the boundary register of a vessel."""
    return [
        from_document(
            Decision,
            {
                "item_class": row.item_class,
                "counts": row.counts,
                "decided_by": row.decided_by,
                "decided_on": row.decided_on.isoformat(),
                "quantity": row.quantity,
                "reason": row.reason,
            },
        )
        for row in tests.boundary_decisions(session, vessel_id)
    ]


def review_answers(test: StoredTest) -> list[Answer]:
    """Return the answers to findings of the review."""
    return test.all_of("review-answer", Answer)
