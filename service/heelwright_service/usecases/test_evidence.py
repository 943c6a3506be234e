"""What is known of a stored test, as the requirements of its stages ask for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.readiness import Waiver
from heelwright_service.core.campaign.review_document import unanswered
from heelwright_service.core.campaign.stages import Evidence
from heelwright_service.core.campaign.tanks_found import counts
from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.queries.people import name_key
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.assemble_record import soundings_that_count
from heelwright_service.usecases.entry_kinds import ENTRY_KINDS
from heelwright_service.usecases.planned_tests import procedure_checks
from heelwright_service.usecases.stored_tests import StoredTest
from heelwright_service.usecases.test_results import (
    current_result,
    record_of_entered,
    review_answers,
    review_findings,
)
from heelwright_service.usecases.weigh_readiness import found_tank, open_deviations, start_readiness


@dataclass(frozen=True)
class Moment:
    """When the question is asked and by whom, with the reason he gives and the successor he names."""

    at: str
    caller: Caller
    reason: str | None = None
    successor: str | None = None

    @classmethod
    def now(cls, caller: Caller, reason: str | None = None, successor: str | None = None) -> Moment:
        """Return this moment."""
        return cls(utc_now().isoformat(timespec="seconds"), caller, reason, successor)


def evidence_of(session: Session, test: StoredTest, moment: Moment) -> Evidence:
    """Gather the evidence of a test.

    Parameters
    ----------
    session : Session
        An open session.
    test : StoredTest
        The test.
    moment : Moment
        When and by whom it is asked for.

    Returns
    -------
    Evidence
        Every field that a requirement can ask for.
    """
    return Evidence(
        kind=test.kind,
        order=test.plan.order,
        origin=test.origin,
        **_planned(test, moment),
        **(_entered(session, test) if test.origin == "entered-record" else _day(test, moment)),
        **_result(session, test),
        approver_is_independent=not recorded_by(test, moment.caller),
        reason_given=bool((moment.reason or "").strip()),
        successor_named=moment.successor is not None,
    )


def recorded_by(test: StoredTest, caller: Caller) -> bool:
    """Say whether a caller entered test-day data, by his token or under his name; entered records count too.

    People are compared by name, whichever token or session they used: names of accounts differ, and a name that reads
    like another counts as the same person, so that a doubt keeps somebody from approving and never lets him.
    """
    own = name_key(caller.name)
    if test.origin == "entered-record" and name_key(test.row.created_by) == own:
        return True
    if any(name_key(name) == own for name in test.entered_by):
        return True
    rows = [entry for entry in test.history if ENTRY_KINDS[entry.kind].recorded]
    return any(caller.token_id == entry.token_id or own == name_key(entry.recorded_by) for entry in rows)


def open_procedure_failures(test: StoredTest, today: str) -> list[str]:
    """Return the failed checks of the procedure that nobody has waived."""
    waived = {waiver.point for waiver in test.all_of("waiver", Waiver)}
    failed = {check.id for check in procedure_checks(test, today) if check.status == "fail"}
    return sorted(failed - waived)


def _planned(test: StoredTest, moment: Moment) -> dict[str, bool]:
    plan, described = test.plan, test.description
    waived = {waiver.point for waiver in test.all_of("waiver", Waiver)}
    form = described.get("hull") or described.get("hydrostatic_table")
    waterline = described.get("marks") or plan.draught_plan.freeboard_stations_x_m
    accepted = plan.hydrostatics is not None and plan.hydrostatics.accepted_by is not None
    return {
        "date_and_place_set": plan.date is not None and plan.place is not None,
        "vessel_described": bool(form and waterline),
        "model_accepted": accepted or "model-acceptance" in waived,
        "weight_plan_made": plan.moves is not None and bool(plan.moves.weights),
        "tank_plan_made": test.tank_plan is not None,
        "person_in_charge_named": any(person.role == "person-in-charge" for person in plan.persons),
        "procedure_review_clear": not open_procedure_failures(test, moment.at[:10]),
        "work_list_made": bool(test.preparations),
        "advisory_survey_closed": test.closed("advisory-survey") or "advisory-survey" in waived,
        "record_source_named": bool((test.row.record_source or "").strip()),
    }


def _day(test: StoredTest, moment: Moment) -> dict[str, bool]:
    found = soundings_that_count(test)
    planned = {tank.tank for tank in test.tank_plan.tanks} if test.tank_plan is not None else set()
    proven = {name for name, document in found.items() if counts(found_tank(test, document))}
    waived = {waiver.point for waiver in test.all_of("waiver", Waiver)}
    lacking = {name for name in planned - proven if f"tank/{name}/evidence" not in waived or name not in found}
    read = bool(test.documents("reading"))
    started = test.stage in ("test-day", "preliminary-result", "under-review", "approved", "superseded")
    inclining = test.kind == "inclining-test"
    return {
        # A test that has started was ready once; moorings that were cast off since do not undo it.
        "ready_to_start": inclining and (started or test.closed("test-day") or start_readiness(test, moment.at).ready),
        "survey_closed": test.closed("survey"),
        "water_sampled": bool(test.documents("water") or test.documents("probe")),
        "draughts_read": bool(test.documents("draught") or test.documents("freeboard")),
        "tanks_sounded": not lacking,
        "readings_taken": read,
        "day_set_anew": _set_anew(test),
        "reservations_signed": any(each["what"] == "reservations" for each in test.documents("signature")),
        "deviations_settled": not open_deviations(test),
        "test_day_closed": test.closed("test-day"),
    }


def _set_anew(test: StoredTest) -> bool:
    """Whether the plan names another day than the one that was broken off after something had been read."""
    broken_off = test.broken_off
    return broken_off is None or (test.plan.date is not None and test.plan.date != broken_off.document.get("date"))


def _entered(session: Session, test: StoredTest) -> dict[str, bool]:
    record: dict[str, Any] = record_of_entered(session, test) or {}
    return {
        "water_sampled": any(record.get("water", {}).get(name) for name in ("samples", "probe_samples")),
        "draughts_read": bool(record.get("draughts") or record.get("freeboards")),
        "readings_taken": bool(record.get("readings")),
    }


def _result(session: Session, test: StoredTest) -> dict[str, bool]:
    try:
        found = current_result(session, test)
    except NotFoundError:
        return {"result_computed": False, "result_matches_record": False, "review_answered": False}
    open_ones = unanswered(review_findings(session, test), review_answers(test))
    return {"result_computed": True, "result_matches_record": found.current, "review_answered": not open_ones}
