"""The acceptance sheet: every comparison, what was left out, and whether the model is accepted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.model_acceptance.comparisons import Difference, comparisons
from heelwright_service.core.model_acceptance.request import (
    LIMITS,
    AcceptanceRequest,
    Limit,
    Reason,
    StatedLimits,
)
from heelwright_service.core.record import ModelAcceptance, TestRecord

LEAST_DRAUGHTS = 3
LEAST_TRIMS = 2

DRAUGHTS_APART_SHARE = 0.02
"""Draughts count as different from this share of the deepest on (office default)."""

TRIMS_APART_SHARE = 0.001
"""Trims count as different from this share of the length on (office default)."""


@dataclass(frozen=True)
class AcceptanceSheet:
    """The sheet: every comparison, what was not compared, and whether the model is accepted."""

    accepted: bool
    differences: list[Difference]
    not_compared: list[str]
    largest: dict[str, float]
    checker: str
    date: str
    version: str
    sentence: str


def accept_model(request: AcceptanceRequest) -> AcceptanceSheet:
    """Compare a vessel's model with what is approved of her.

    Parameters
    ----------
    request : AcceptanceRequest
        The model, the approved documents, limits and the checker.

    Returns
    -------
    AcceptanceSheet
        Accepted where every difference is within its limit or has a reason, and nothing that is asked was left out.

    Raises
    ------
    CoreError
        ``checker-missing``, ``keel-thickness``, ``hull-or-table-missing``, ``reason-unused``, ``approved-twice``, and
        those of the hull, the table and the tanks.

    Notes
    -----
    A difference is the model less the approved figure; that of a displacement or a tank's volume is relative, that of
    LCB a share of the length. Which side is right the sheet does not say: it names what has to be looked at.
    """
    if not request.checker.strip():
        raise CoreError("checker-missing", "An acceptance sheet names the person who compared.", "/checker")
    limits = _limits_in_force(request.limits)
    found = comparisons(request, limits)
    differences = [_with_reason(one, request.reasons) for one in found]
    _refuse_unused_reasons(request, found)
    not_compared = _not_compared(request)
    open_ones = [one for one in differences if not one.within and one.reason is None]
    accepted = not open_ones and not not_compared
    return AcceptanceSheet(
        accepted,
        differences,
        not_compared,
        _largest(differences),
        request.checker,
        request.date,
        request.version,
        _sentence(request, differences, open_ones, not_compared),
    )


def acceptance_caution(record: TestRecord) -> str | None:
    """Say that a record's model was never accepted.

    Parameters
    ----------
    record : TestRecord
        The record.

    Returns
    -------
    str or None
        A sentence; None where the record names its model's acceptance.
    """
    if record.vessel.model_acceptance is not None:
        return None
    return (
        "the model of this vessel was never accepted: no sheet compares its displacement, KM and LCB with the approved "
        "hydrostatics, its tanks with the capacity plan and its marks with their datum. A lightship that surprises may "
        "be the model's fault."
    )


def acceptance_words(accepted: ModelAcceptance) -> str:
    """Say who accepted a model and when.

    Parameters
    ----------
    accepted : ModelAcceptance
        The acceptance that a record names.

    Returns
    -------
    str
        A sentence.

    Examples
    --------
    >>> acceptance_words(ModelAcceptance("R. Hale", "2024-02-01", "3f9a"))
    'The model, version 3f9a, was accepted by R. Hale on 2024-02-01.'
    """
    return f"The model, version {accepted.version}, was accepted by {accepted.checker} on {accepted.date}."


def _limits_in_force(stated: StatedLimits) -> dict[str, Limit]:
    given = {field.name: getattr(stated, field.name) for field in fields(stated)}
    return {
        name: limit if given[name] is None else Limit(given[name], "stated on the sheet")
        for name, limit in LIMITS.items()
    }


def _with_reason(one: Difference, reasons: Sequence[Reason]) -> Difference:
    stated = next((reason.reason for reason in reasons if reason.subject == one.subject), None)
    if one.within or stated is None:
        return one
    return replace(one, reason=stated)


def _refuse_unused_reasons(request: AcceptanceRequest, found: Sequence[Difference]) -> None:
    beyond = {one.subject for one in found if not one.within}
    for i, reason in enumerate(request.reasons):
        if reason.subject not in beyond:
            names = ", ".join(f"'{name}'" for name in sorted(beyond)) or "none"
            raise CoreError(
                "reason-unused",
                f"A reason is given for '{reason.subject}', which is not beyond a limit; those beyond are {names}.",
                f"/reasons/{i}/subject",
            )
        if not reason.reason.strip():
            raise CoreError("reason-empty", "A reason has to say something.", f"/reasons/{i}/reason")


def _not_compared(request: AcceptanceRequest) -> list[str]:
    rows = request.approved_hydrostatics.rows
    deepest = max((abs(row.draught_m) for row in rows), default=0.0)
    draughts = _apart([row.draught_m for row in rows], DRAUGHTS_APART_SHARE * deepest)
    trims = _apart([row.trim_m for row in rows], TRIMS_APART_SHARE * request.vessel.length_bp_m)
    missing = []
    if draughts < LEAST_DRAUGHTS:
        missing.append(
            f"Draughts compared in the hydrostatics: {draughts}; at least {LEAST_DRAUGHTS} are asked, "
            f"{100.0 * DRAUGHTS_APART_SHARE:g} % of the deepest apart."
        )
    if trims < LEAST_TRIMS:
        missing.append(
            f"Trims compared in the hydrostatics: {trims}; at least {LEAST_TRIMS} are asked, "
            f"{100.0 * TRIMS_APART_SHARE:g} % of the length apart."
        )
    if request.capacity_plan is None and request.vessel.tanks:
        missing.append("The tanks are not compared with a capacity plan.")
    if request.mark_plan is None and request.vessel.marks:
        missing.append("The draught marks are not compared with their document.")
    if not request.spaces:
        missing.append("It is not said which spaces count as buoyant in the model and in the approved hydrostatics.")
    return missing


def _apart(values: Sequence[float], gap: float) -> int:
    """How many of the values stand at least so far apart, counted from the lowest."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] >= gap * (1.0 - 1e-9) > 0.0:
            kept.append(value)
    return len(kept)


def _largest(differences: Sequence[Difference]) -> dict[str, float]:
    """The largest difference of each quantity, sign dropped."""
    largest: dict[str, float] = {}
    for one in differences:
        if one.difference is not None:
            largest[one.quantity] = max(largest.get(one.quantity, 0.0), abs(one.difference))
    return largest


def _sentence(
    request: AcceptanceRequest, differences: Sequence[Difference], open_ones: Sequence[Difference], missing: list[str]
) -> str:
    count = len(differences)
    if not open_ones and not missing:
        excused = sum(one.reason is not None for one in differences)
        more = f", {excused} beyond their limits with a reason" if excused else ""
        return f"Accepted by {request.checker} on {request.date}: {count} comparisons{more}.{_wider(request.limits)}"
    worst = f" First: {open_ones[0].subject}, {open_ones[0].quantity}." if open_ones else ""
    return (
        f"Not accepted: beyond their limits {len(open_ones)} of {count} comparisons, not compared {len(missing)} of "
        f"the things asked for.{worst}"
    )


def _wider(stated: StatedLimits) -> str:
    """Names the limits that were stated wider than the office's, for they decide as much as the figures."""
    pairs = {name: (getattr(stated, name), limit.value) for name, limit in LIMITS.items()}
    wider = [f"{name} {value:g} for {usual:g}" for name, (value, usual) in pairs.items() if value and value > usual]
    return f" Limits wider than the office's: {', '.join(wider)}." if wider else ""
