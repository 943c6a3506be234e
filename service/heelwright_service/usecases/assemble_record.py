"""Put the test record together from what stands in a stored test."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.record import (
    BallastMove,
    BallastProcedure,
    DraughtReading,
    FreeboardReading,
    IncliningWeight,
    Instrument,
    Item,
    Person,
    ProbeSample,
    Reading,
    Sounding,
    State,
    WaterSample,
)
from heelwright_service.core.water import vacuum_from_air_t_per_m3
from heelwright_service.store.queries import tests
from heelwright_service.store.tables import TestEntry
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.stored_tests import StoredTest


def _names(cls: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(cls) if field.name != "withdrawn_reason")


_SAMPLE, _PROBE = _names(WaterSample), _names(ProbeSample)
_DRAUGHT, _FREEBOARD, _SOUNDING = _names(DraughtReading), _names(FreeboardReading), _names(Sounding)
_ITEM, _PERSON = _names(Item), _names(Person)
_WEIGHT, _STATE, _INSTRUMENT, _READING = _names(IncliningWeight), _names(State), _names(Instrument), _names(Reading)
_BALLAST_MOVE, _BALLAST_PROCEDURE = _names(BallastMove), _names(BallastProcedure)
_WEATHER = {
    "wind_m_per_s": ("wind", "m/s"),
    "gust_m_per_s": ("gusts", "m/s"),
    "wave_m": ("waves", "m"),
    "current_kn": ("current", "kn"),
}


def stored_record(session: Session, test: StoredTest) -> dict[str, Any]:
    """Return the record of a test: as it was entered whole, without the test around it, or from its entries.

    Parameters
    ----------
    session : Session
        An open session.
    test : StoredTest
        The test.

    Returns
    -------
    dict
        The test record.

    Raises
    ------
    InvalidError
        ``record-incomplete`` while no water was sampled or no draught was read, or nothing was entered.
    """
    if test.origin == "entered-record":
        found = tests.find_document(session, test.row.id, "record")
        if found is None:
            raise InvalidError("record-incomplete", "no record has been entered yet; PUT it to /record", "/record")
        return {name: part for name, part in found.document.items() if name != "campaign"}
    return assembled_record(test)


def assembled_record(test: StoredTest) -> dict[str, Any]:
    """Return the record put together from a test's entries.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    dict
        The test record; corrected and withdrawn readings stay in it with their reasons.

    Raises
    ------
    InvalidError
        ``record-incomplete`` while no water was sampled or no draught was read.
    """
    record: dict[str, Any] = {
        "vessel": dict(test.description),
        "test": _facts(test),
        "water": _water(test),
        "draughts": _of_day(test, "draught", _DRAUGHT),
        "freeboards": _of_day(test, "freeboard", _FREEBOARD),
        "soundings": _soundings(test),
        "items": [_given(item, _ITEM) for item in _survey_rows(test)],
        "persons": [_given(person, _PERSON) for person in test.documents("person")],
    }
    if test.kind == "inclining-test":
        record |= {
            "inclining_weights": [_given(weight, _WEIGHT) for weight in test.documents("weight")],
            "states": [_given(state, _STATE) for state in sorted(test.documents("state"), key=lambda s: s["number"])],
            "instruments": [_given(instrument, _INSTRUMENT) for instrument in test.documents("instrument")],
            "readings": _readings(test),
            **_moved_water(test),
        }
    stated = test.documents("uncertainties")
    if stated:
        record["uncertainties"] = stated[-1]
    if not record["draughts"] and not record["freeboards"]:
        raise InvalidError("record-incomplete", "neither draughts nor freeboards have been entered yet", "/draughts")
    return record


def _facts(test: StoredTest) -> dict[str, Any]:
    plan = test.plan
    weather = test.documents("weather")
    words = None
    if weather:
        last = weather[-1]
        seen = {name: last[name] for name in _WEATHER if last.get(name) is not None}
        parts = [f"{_WEATHER[name][0]} {value:g} {_WEATHER[name][1]}" for name, value in seen.items()]
        words = ", ".join(parts) or None
    facts = {
        "date": plan.date,
        "location": plan.place.name if plan.place is not None else None,
        "weather": words,
        "rule_set": plan.rule_set or test.vessel.rule_set,
    }
    return {name: value for name, value in facts.items() if value is not None}


def _water(test: StoredTest) -> dict[str, Any]:
    samples, probes = test.documents("water"), [_given(each, _PROBE) for each in test.documents("probe")]
    if not samples and not probes:
        raise InvalidError("record-incomplete", "no water sample has been entered yet", "/water")
    # A glass that is described decides its own basis; the others have to agree on one.
    bases = {sample.get("density_basis", "vacuum") for sample in samples if sample.get("glass") is None}
    if len(bases) > 1:
        samples = [_in_vacuum(sample) for sample in samples]
    basis = bases.pop() if len(bases) == 1 else "vacuum"
    found: dict[str, Any] = {"density_basis": basis, "samples": [_given(sample, _SAMPLE) for sample in samples]}
    return found | ({"probe_samples": probes} if probes else {})


def _in_vacuum(sample: dict[str, Any]) -> dict[str, Any]:
    """Glasses of two kinds were used: readings in air are carried to vacuum, so that the samples agree."""
    if sample.get("density_basis", "vacuum") == "vacuum" or sample.get("glass") is not None:
        return sample
    return {**sample, "density_t_per_m3": vacuum_from_air_t_per_m3(sample["density_t_per_m3"])}


def _of_day(test: StoredTest, kind: str, names: tuple[str, ...]) -> list[dict[str, Any]]:
    """What was read before the moves; what was read after them only where nothing was read before."""
    found = test.documents(kind)
    for occasion in ("before", "after", "survey"):
        chosen = [document for document in found if document.get("occasion", "before") == occasion]
        if chosen:
            return [_given(document, names) for document in chosen]
    return []


def _soundings(test: StoredTest) -> list[dict[str, Any]]:
    """One a tank of the vessel; a space without a table was found empty, and has nothing to deduct."""
    known = {tank["name"] for tank in test.description.get("tanks", [])}
    return [_given(found, _SOUNDING) for name, found in soundings_that_count(test).items() if name in known]


def soundings_that_count(test: StoredTest) -> dict[str, dict[str, Any]]:
    """Return the sounding that counts for each tank.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    dict of str to dict
        By tank: what was sounded before the moves, else on the survey, else after them.
    """
    found: dict[str, dict[str, Any]] = {}
    for occasion in ("before", "survey", "after"):
        for document in test.documents("sounding"):
            if document.get("occasion", "before") == occasion:
                found.setdefault(document["tank"], document)
    return found


def _survey_rows(test: StoredTest) -> list[dict[str, Any]]:
    return [document for document in test.documents("item") if document.get("survey", "survey") == "survey"]


def _moved_water(test: StoredTest) -> dict[str, Any]:
    """Water that serves as weight, by state, and its approval; nothing of it where none was moved."""
    moves = sorted(test.documents("ballast-move"), key=lambda move: move["state"])
    found: dict[str, Any] = {"ballast_moves": [_given(move, _BALLAST_MOVE) for move in moves]} if moves else {}
    procedure = test.documents("ballast-procedure")
    return found | ({"ballast_procedure": _given(procedure[-1], _BALLAST_PROCEDURE)} if procedure else {})


def _readings(test: StoredTest) -> list[dict[str, Any]]:
    """Every reading ever entered; one that was corrected or withdrawn carries the reason and counts no more."""
    later = {entry.corrects: entry for entry in test.history if entry.corrects is not None}
    rows = []
    for entry in test.counting:
        if entry.kind == "reading" and not entry.withdrawn:
            rows.append(_reading(entry, later.get(entry.id)))
    return rows


def _reading(entry: TestEntry, later: TestEntry | None) -> dict[str, Any]:
    row = _given(entry.document, _READING)
    if later is not None:
        row["withdrawn_reason"] = later.reason or "corrected"
    return row


def _given(document: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: document[name] for name in names if document.get(name) is not None}
