"""The whole assessment of a drift, from request to answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict

from heelwright_service.core.drift.alteration_log import Calculation, calculate
from heelwright_service.core.drift.answer import (
    Adopted,
    Crossing,
    Delta,
    Drift,
    DriftItem,
    Estimate,
    LightshipValues,
    Logged,
    NextDue,
    Unexplained,
)
from heelwright_service.core.drift.cautions import cautions
from heelwright_service.core.drift.default_uncertainties import with_standard
from heelwright_service.core.drift.differences import difference, implied_centre
from heelwright_service.core.drift.forecast import Measurements, crossings, growth
from heelwright_service.core.drift.history import History, read_history
from heelwright_service.core.drift.ladder import STAGES, Comparisons, Judgement, judge
from heelwright_service.core.drift.request import MEASURED, DriftRequest
from heelwright_service.core.rules import (
    Baseline,
    DueDate,
    Quantity,
    RuleSet,
    RuleVessel,
    calendar_for,
    default_rule_set,
    next_due,
    rule_set,
)

_QUANTITIES: tuple[Quantity, ...] = ("mass_t", "lcg_m", "tcg_m", "vcg_m")
_ADOPTION_SOURCE = "MSC.429(98)/Rev.2, explanatory notes to SOLAS II-1/5.5"


class _Assessment:
    """One request being worked on: what every step needs, computed once."""

    def __init__(self, request: DriftRequest) -> None:
        self.request = request
        self.vessel: RuleVessel = request.vessel
        self.history: History = read_history(request)
        self.rules, self.reason = _chosen(request)
        length_m = request.vessel.length_m
        self.values = {id(each): with_standard(each, length_m) for each in self.history.records}
        self.baseline = self.values[id(self.history.baseline)]
        self.original = self.values[id(self.history.original)]
        self.later = [self.values[id(each)] for each in self.history.later]
        self.earlier = [self.values[id(each)] for each in self.history.earlier]

    def calculated(self, day: str) -> Calculation:
        """The lightship that the log leads to on a day."""
        return calculate(self.baseline, self.history.alterations, day)

    def series(self) -> Measurements:
        """The measured lightships in order of date."""
        return Measurements(
            [*self.earlier, self.baseline, *self.later], self.baseline, self.original, self.history.as_of
        )


def assess_drift(request: DriftRequest) -> Drift:
    """Compare a vessel's lightships with her latest approved inclining test.

    Parameters
    ----------
    request : DriftRequest
        Vessel, lightships, logged alterations, rule set and the day of the question; the order of the lists does not
        matter.

    Returns
    -------
    Drift
        Differences with combined standard uncertainty (errors of two lightships are taken as independent), the place
        that the weight between them would have, verdicts, actions, the unexplained part, trend, forecast and due date.

    Raises
    ------
    CoreError
        ``no-baseline``, ``as-of-missing``, ``date-invalid``, ``not-positive``, ``not-finite``,
        ``uncertainty-invalid``, ``duplicate-lightship``, ``supersedes-unknown``, ``supersedes-circle``,
        ``relocation-place``, ``mass-removed-exceeds`` or ``unknown-rule-set``.

    Examples
    --------
    >>> from heelwright_service.core.drift import DriftRequest, LightshipRecord
    >>> ship = RuleVessel(kind="passenger", length_m=105.0)
    >>> tested = LightshipRecord("2015-06-10", "inclining-test", 4000.0, 50.0, vcg_m=7.5, approved=True)
    >>> surveyed = LightshipRecord("2020-05-02", "lightweight-survey", 4090.0, 50.3)
    >>> drift = assess_drift(DriftRequest(ship, [tested, surveyed], as_of="2020-06-01"))
    >>> drift.items[0].action, drift.items[0].delta.mass_t.value, drift.next_due.date
    ('re-incline', 90.0, '2025-05-02')
    """
    work = _Assessment(request)
    items = [_item(work, each) for each in work.later]
    earlier = [_earlier(work, each) for each in work.earlier]
    logged = _logged(work)
    series = work.series()
    forecast = crossings(series, work.rules, work.vessel)
    unexplained = _unexplained(work)
    return Drift(
        baseline=work.baseline,
        items=items,
        logged=logged,
        unexplained=unexplained,
        growth=growth(series),
        crossings=forecast,
        next_due=_next_due(work, logged, forecast),
        earlier=earlier,
        rule_set=work.rules.id,
        rule_set_edition=work.rules.edition,
        as_of=work.history.as_of,
        cautions=cautions(request, work.history, [work.baseline, *work.later], work.rules, work.reason, items, logged),
    )


def _chosen(request: DriftRequest) -> tuple[RuleSet, str]:
    if request.rule_set is None:
        return default_rule_set(request.vessel)
    return rule_set(request.rule_set), ""


def _changes(delta: Delta) -> dict[Quantity, Estimate]:
    found = {quantity: delta.of(quantity) for quantity in _QUANTITIES}
    return {quantity: change for quantity, change in found.items() if change is not None}


def _approved(values: LightshipValues) -> Baseline:
    return Baseline(values.mass_t, values.vcg_m)


def _compared(work: _Assessment, values: LightshipValues) -> Comparisons:
    return Comparisons(
        from_baseline=_changes(difference(values, work.baseline)),
        from_original=_changes(difference(values, work.original)),
        from_calculation=_changes(difference(values, work.calculated(values.date).lightship)),
        baseline=_approved(work.baseline),
        original=_approved(work.original),
    )


def _item(work: _Assessment, values: LightshipValues) -> DriftItem:
    judgement = judge(STAGES[values.basis], _compared(work, values), work.rules, work.vessel)
    if values.basis == "inclining-test":
        judgement = Judgement(judgement.verdicts, judgement.not_assessed, "adopt")
    return _described(work, values, judgement)


def _earlier(work: _Assessment, values: LightshipValues) -> DriftItem:
    return _described(work, values, Judgement([], [], "none"))


def _described(work: _Assessment, values: LightshipValues, judgement: Judgement) -> DriftItem:
    place = implied_centre(values, work.baseline, work.vessel)
    return DriftItem(
        date=values.date,
        basis=values.basis,
        delta=difference(values, work.baseline),
        implied_centre_m=place.centre_m,
        implied_centre_remark=place.remark,
        error_likelier_than_weight=place.error_likelier_than_weight,
        verdicts=judgement.verdicts,
        not_assessed=judgement.not_assessed,
        action=judgement.action,
        adopted=_adopted(work, values) if judgement.action == "adopt" else None,
        approved=values.approved,
        id=values.id,
    )


def _adopted(work: _Assessment, values: LightshipValues) -> Adopted:
    """A survey's mass, LCG and TCG with the VCG of the last inclining; an inclining test's own values."""
    own, kept = f"{values.basis} {values.date}", f"{work.baseline.basis} {work.baseline.date}"
    tcg_m = work.baseline.tcg_m if values.tcg_m is None else values.tcg_m
    tested = values.basis == "inclining-test" and values.vcg_m is not None
    return Adopted(
        mass_t=values.mass_t,
        lcg_m=values.lcg_m,
        tcg_m=tcg_m,
        vcg_m=values.vcg_m if tested else work.baseline.vcg_m,
        origins={
            "mass_t": own,
            "lcg_m": own,
            "tcg_m": kept if values.tcg_m is None else own,
            "vcg_m": own if tested else kept,
        },
        rule="D-10",
        source=_ADOPTION_SOURCE,
        confidence="MH",
    )


def _logged(work: _Assessment) -> Logged:
    found = work.calculated(work.history.as_of)
    changes: Mapping[Quantity, Estimate] = {**_changes(found.delta), "aggregate_t": found.aggregate_t}
    compared = Comparisons(
        from_baseline=changes,
        from_original={**_changes(difference(found.lightship, work.original)), "aggregate_t": found.aggregate_t}
        if work.original is not work.baseline
        else changes,
        from_calculation={},
        baseline=_approved(work.baseline),
        original=_approved(work.original),
    )
    judgement = Judgement([], [], "none")
    if found.entries:
        judgement = judge(("alterations",), compared, work.rules, work.vessel)
    return Logged(
        net=found.net,
        aggregate_t=found.aggregate_t.value,
        entries=found.entries,
        delta=found.delta,
        verdicts=judgement.verdicts,
        not_assessed=judgement.not_assessed,
        action=judgement.action,
    )


def _unexplained(work: _Assessment) -> Unexplained | None:
    measured = [each for each in work.later if each.basis in MEASURED]
    if not measured:
        return None
    latest = measured[-1]
    calculated = work.calculated(latest.date).lightship
    rest, place = difference(latest, calculated), implied_centre(latest, calculated, work.vessel)
    return Unexplained(
        date=latest.date,
        basis=latest.basis,
        mass_t=rest.mass_t,
        lcg_m=rest.lcg_m,
        tcg_m=rest.tcg_m,
        vcg_m=rest.vcg_m,
        implied_centre_m=place.centre_m,
        implied_centre_remark=place.remark,
        error_likelier_than_weight=place.error_likelier_than_weight,
    )


def _next_due(work: _Assessment, logged: Logged, forecast: Sequence[Crossing]) -> NextDue | None:
    events: dict[str, str] = {each.basis: each.date for each in work.history.records}
    calendar = next_due(calendar_for(work.rules, work.vessel), events, work.history.as_of)
    now = _due_now(work, logged)
    if now is not None:
        return now
    return None if calendar is None else _advised(calendar, forecast, work.history.as_of)


def _due_now(work: _Assessment, logged: Logged) -> NextDue | None:
    """A survey that the log itself calls for, without waiting for the calendar."""
    if logged.action != "survey":
        return None
    verdict = next(each for each in logged.verdicts if each.regulatory == "fail" and each.consequence == "survey")
    today = work.history.as_of
    return NextDue(
        date=today,
        due="lightweight-survey",
        rule=verdict.rule,
        text=verdict.text,
        source=verdict.source,
        confidence=verdict.confidence,
        counted_from=work.baseline.date,
        warn_from=today,
        overdue=False,
    )


def _advised(calendar: DueDate, forecast: Sequence[Crossing], as_of: str) -> NextDue:
    edges = [each.earliest for each in forecast if each.consequence == "re-incline" and each.earliest is not None]
    earliest = min(edges, default=None)
    if earliest is None or earliest >= calendar.date:
        return NextDue(**asdict(calendar))
    reason = "The early edge of the 95 % band of the trend passes a limit before the calendar date (office default)."
    return NextDue(**asdict(calendar), advised_date=max(earliest, as_of), advised_reason=reason)
