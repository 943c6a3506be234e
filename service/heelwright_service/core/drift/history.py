"""Reading a vessel's history: dates, supersession, and the baseline that a drift is measured from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from heelwright_service.core.drift.request import Alteration, Basis, DriftRequest, LeadShip, LightshipRecord
from heelwright_service.core.errors import CoreError

_NO_BASELINE = (
    "There is no approved inclining test up to the day of the question that is not superseded; a drift is measured "
    "from one. Add it, or mark it approved; of a sister whose inclining was waived, give the lead ship."
)

DAYS_PER_YEAR = 365.25
FIRST_YEAR, LAST_YEAR = 1800, 2200


@dataclass(frozen=True)
class History:
    """The records that count on the day of the question, in order of date.

    `lead` is set where the lead ship's test stands in for an inclining of her own.
    """

    baseline: LightshipRecord
    original: LightshipRecord
    later: Sequence[LightshipRecord]
    earlier: Sequence[LightshipRecord]
    alterations: Sequence[Alteration]
    as_of: str
    lead: LeadShip | None = None

    @property
    def records(self) -> list[LightshipRecord]:
        """Every record of the vessel's own that counts, baseline included."""
        return [*self.earlier, *([] if self.lead else [self.baseline]), *self.later]

    @property
    def information(self) -> Sequence[LightshipRecord]:
        """What has been approved since the baseline: the stability information that followed from it."""
        return [each for each in self.later if each.approved]


def years_between(start: str, end: str) -> float:
    """Return the time from one ISO date to another.

    Parameters
    ----------
    start, end : str
        ISO 8601 dates.

    Returns
    -------
    float
        Years of 365.25 days.

    Examples
    --------
    >>> years_between("2016-01-01", "2020-01-01")
    4.0
    """
    return (date.fromisoformat(end) - date.fromisoformat(start)).days / DAYS_PER_YEAR


def read_history(request: DriftRequest) -> History:
    """Check a request and sort its records.

    Parameters
    ----------
    request : DriftRequest
        The request; `as_of` must be given.

    Returns
    -------
    History
        Baseline, records before and after it, and the alterations logged since.

    Raises
    ------
    CoreError
        Where a value makes no sense, two records contradict, or there is nothing approved to measure from.

    Notes
    -----
    The baseline is the last approved inclining test. A ship whose inclining was waived on the data of her lead ship
    (SOLAS 1974 II-1/5.2) has none: then it is her last approved sister-ship lightship, or else the lead ship's test,
    and all her alterations count, the first of them being the known differences between the two.
    """
    as_of = _as_of(request)
    _check_vessel(request)
    if request.lead is not None:
        _check_record(_of_lead(request.lead), "/lead")
    for index, record in enumerate(request.lightships):
        _check_record(record, f"/lightships/{index}")
    for index, alteration in enumerate(request.alterations):
        _check_alteration(alteration, f"/alterations/{index}")
    records = sorted(standing(request.lightships, as_of), key=lambda record: (record.date, record.basis))
    lead = request.lead if request.lead is not None and request.lead.date <= as_of else None
    found = _approved_tests(records)
    if found is None and lead is not None:
        return _of_a_sister(lead, records, request, as_of)
    if found is None:
        raise CoreError("no-baseline", _NO_BASELINE, "/lightships")
    baseline, original = found
    return History(
        baseline=baseline,
        original=original,
        later=[each for each in records if each is not baseline and each.date >= baseline.date],
        earlier=[each for each in records if each.date < baseline.date],
        alterations=sorted(
            (each for each in request.alterations if baseline.date < each.date <= as_of), key=lambda each: each.date
        ),
        as_of=as_of,
    )


def standing(records: Sequence[LightshipRecord], as_of: str) -> list[LightshipRecord]:
    """Return the records that stand on a day: dated up to it and not superseded by another that is.

    Parameters
    ----------
    records : sequence of LightshipRecord
        All records of one vessel.
    as_of : str
        The day, ISO 8601.

    Returns
    -------
    list of LightshipRecord
        In the order given.

    Raises
    ------
    CoreError
        ``duplicate-lightship``, ``supersedes-unknown`` or ``supersedes-circle``.
    """
    replaced = {index: _superseded_by(records, index) for index in range(len(records))}
    for index in replaced:
        _refuse_circle(replaced, index)
    _refuse_duplicates(records, {target for target in replaced.values() if target is not None})
    gone = {target for index, target in replaced.items() if records[index].date <= as_of}
    return [each for index, each in enumerate(records) if index not in gone and each.date <= as_of]


def _superseded_by(records: Sequence[LightshipRecord], index: int) -> int | None:
    """The index of the record that record `index` replaces."""
    name, own = records[index].supersedes, records[index]
    if name is None:
        return None
    others = [other for other in range(len(records)) if other != index]
    for found in (
        [other for other in others if records[other].id == name],
        [other for other in others if name == f"/lightships/{other}"],
        [other for other in others if records[other].date == name and records[other].basis == own.basis],
        [other for other in others if records[other].date == name],
    ):
        if len(found) == 1:
            return found[0]
    raise CoreError(
        "supersedes-unknown",
        f"'{name}' names no single other lightship; give the id, the pointer or the date of the one it replaces.",
        f"/lightships/{index}/supersedes",
    )


def _refuse_circle(replaced: dict[int, int | None], start: int) -> None:
    seen, current = {start}, replaced[start]
    while current is not None:
        if current in seen:
            raise CoreError(
                "supersedes-circle", "Lightships supersede each other in a circle.", f"/lightships/{start}/supersedes"
            )
        seen.add(current)
        current = replaced[current]


def _refuse_duplicates(records: Sequence[LightshipRecord], superseded: set[int]) -> None:
    seen: dict[tuple[str, Basis], int] = {}
    for index, record in enumerate(records):
        if index in superseded:
            continue
        first = seen.setdefault((record.date, record.basis), index)
        if first != index:
            raise CoreError(
                "duplicate-lightship",
                f"/lightships/{first} and /lightships/{index} have the same date {record.date} and basis "
                f"{record.basis}; say with 'supersedes' which of them replaces the other.",
                f"/lightships/{index}",
            )


def _approved_tests(records: Sequence[LightshipRecord]) -> tuple[LightshipRecord, LightshipRecord] | None:
    """The latest and the first approved inclining test; without one, of the lightships approved on a sister's data."""
    approved = [each for each in records if each.approved]
    for basis in ("inclining-test", "sister-ship"):
        found = [each for each in approved if each.basis == basis]
        if found:
            return found[-1], found[0]
    return None


def _of_lead(lead: LeadShip) -> LightshipRecord:
    own = (lead.mass_t, lead.lcg_m, lead.tcg_m, lead.vcg_m)
    return LightshipRecord(lead.date, "sister-ship", *own, approved=True, uncertainties=lead.uncertainties)


def _of_a_sister(lead: LeadShip, records: Sequence[LightshipRecord], request: DriftRequest, as_of: str) -> History:
    baseline = _of_lead(lead)
    log = sorted((each for each in request.alterations if each.date <= as_of), key=lambda each: each.date)
    return History(baseline, baseline, records, [], log, as_of, lead)


def _as_of(request: DriftRequest) -> str:
    if request.as_of is None:
        raise CoreError("as-of-missing", "The day of the question must be given as an ISO date.", "/as_of")
    _check_date(request.as_of, "/as_of")
    return request.as_of


def _check_date(value: str, pointer: str) -> None:
    try:
        found = date.fromisoformat(value)
        plain = found.isoformat() == value and FIRST_YEAR <= found.year <= LAST_YEAR
    except ValueError:
        plain = False
    if not plain:
        allowed = f"a date like 2020-05-31, in the years {FIRST_YEAR} to {LAST_YEAR}, is needed"
        raise CoreError("date-invalid", f"'{value}' was found; {allowed}.", pointer)


def _check_vessel(request: DriftRequest) -> None:
    vessel = request.vessel
    lengths = ("length_m", "length_bp_m", "subdivision_length_m", "breadth_m", "depth_m", "operating_displacement_t")
    for name in lengths:
        value = getattr(vessel, name)
        if value is not None:
            _check_positive(value, f"/vessel/{name}")
    if vessel.keel_laid is not None:
        _check_date(vessel.keel_laid, "/vessel/keel_laid")


def _check_record(record: LightshipRecord, pointer: str) -> None:
    _check_date(record.date, f"{pointer}/date")
    _check_positive(record.mass_t, f"{pointer}/mass_t")
    for name in ("lcg_m", "tcg_m", "vcg_m"):
        _check_finite(getattr(record, name), f"{pointer}/{name}")
    for name in ("mass_t", "lcg_m", "tcg_m", "vcg_m"):
        _check_uncertainty(getattr(record.uncertainties, name, None), f"{pointer}/uncertainties/{name}")


def _check_alteration(alteration: Alteration, pointer: str) -> None:
    _check_date(alteration.date, f"{pointer}/date")
    _check_positive(alteration.mass_t, f"{pointer}/mass_t")
    relocated = alteration.kind == "relocated"
    for name in ("x_m", "y_m", "z_m", "to_x_m", "to_y_m", "to_z_m"):
        value = getattr(alteration, name)
        _check_finite(value, f"{pointer}/{name}")
        if name.startswith("to_") and relocated == (value is None):
            asked = "needs the place it went to" if relocated else f"is {alteration.kind} and went nowhere"
            raise CoreError("relocation-place", f"An alteration {asked}: {name}.", f"{pointer}/{name}")
    for name in ("mass_t", "position_m"):
        _check_uncertainty(getattr(alteration.uncertainties, name, None), f"{pointer}/uncertainties/{name}")


def _check_positive(value: float, pointer: str) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise CoreError("not-positive", f"{value} was found; a finite number above 0 is needed.", pointer)


def _check_finite(value: float | None, pointer: str) -> None:
    if value is not None and not math.isfinite(value):
        raise CoreError("not-finite", f"{value} was found; a finite number is needed.", pointer)


def _check_uncertainty(value: float | None, pointer: str) -> None:
    if value is not None and not (math.isfinite(value) and value >= 0.0):
        raise CoreError(
            "uncertainty-invalid",
            f"{value} was found; a standard uncertainty is 0 or a finite number above it.",
            pointer,
        )
