"""The whole assessment of a drift, from request to answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace

from heelwright_service.core.drift.adoption import adopted, adopted_of_a_sister, named
from heelwright_service.core.drift.alteration_log import Calculation, calculate
from heelwright_service.core.drift.answer import (
    Adopted,
    Crossing,
    Delta,
    Drift,
    DriftItem,
    Estimate,
    IfApproved,
    Lead,
    LightshipValues,
    Logged,
    NextDue,
    Unexplained,
)
from heelwright_service.core.drift.cautions import cautions
from heelwright_service.core.drift.default_uncertainties import of_lead, with_standard
from heelwright_service.core.drift.differences import difference, implied_centre
from heelwright_service.core.drift.evidence import (
    PREDICTED,
    Sisterhood,
    judge_lightship,
    judge_log,
    judge_prediction,
    survey_on_completion,
)
from heelwright_service.core.drift.forecast import Measurements, crossings, growth
from heelwright_service.core.drift.history import History, read_history
from heelwright_service.core.drift.ladder import Compared, Comparisons, Judgement
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


class _Assessment:
    """One request being worked on: what every step needs, computed once."""

    def __init__(self, request: DriftRequest) -> None:
        self.request = request
        self.vessel: RuleVessel = request.vessel
        self.history: History = read_history(request)
        self.rules, self.reason = _chosen(request)
        length_m = request.vessel.length_m
        self.values = {id(each): with_standard(each, length_m) for each in self.history.records}
        if self.history.lead is not None:
            self.values[id(self.history.baseline)] = of_lead(self.history.baseline, length_m)
        self.baseline = self.values[id(self.history.baseline)]
        self.original = self.values[id(self.history.original)]
        self.later = [self.values[id(each)] for each in self.history.later]
        self.earlier = [self.values[id(each)] for each in self.history.earlier]

    @property
    def name(self) -> str:
        """What the baseline is called in a comparison."""
        return "lead ship's lightship" if self.history.lead else named(self.baseline)

    def calculated(self, day: str) -> Calculation:
        """The lightship that the log leads to on a day."""
        return calculate(self.baseline, self.history.alterations, day)

    def information(self, day: str) -> LightshipValues | None:
        """The stability information approved since the baseline and before a day."""
        found = [self.values[id(each)] for each in self.history.information if each.date < day]
        return found[-1] if found else None

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
        lead=_lead(work),
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


def _held(new: LightshipValues, old: LightshipValues, name: str) -> Compared:
    return Compared(_changes(difference(new, old)), _approved(old), name)


def _compared(work: _Assessment, values: LightshipValues) -> Comparisons:
    calculated, since = work.calculated(values.date).lightship, work.information(values.date)
    rest = " with the known differences" if work.history.lead else " with what has been logged"
    differing = work.name + (rest if work.calculated(values.date).entries else "")
    return Comparisons(
        baseline=_held(values, work.baseline, work.name),
        original=_held(values, work.original, named(work.original)),
        calculation=replace(
            _held(values, calculated, "lightship that the log leads to"), approved=_approved(work.baseline)
        ),
        lead=_held(values, calculated, differing),
        information=None if since is None else _held(values, since, named(since)),
    )


def _item(work: _Assessment, values: LightshipValues) -> DriftItem:
    judgement = judge_lightship(_sisterhood(work, values), _compared(work, values), work.rules, work.vessel, values)
    if values.basis == "inclining-test":
        reason = "An inclining test is adopted as it is, once it is approved."
        judgement = replace(judgement, action="adopt", force="binding", reason=reason)
    return _described(work, values, judgement)


def _sisterhood(work: _Assessment, values: LightshipValues) -> Sisterhood:
    """Which part a lead ship's data play: they are the baseline, or were approved as hers until she is measured."""
    if work.history.lead is not None:
        return "lead"
    first = next((each for each in work.later if each.basis in MEASURED), None)
    return "own" if work.baseline.basis == "sister-ship" and values is first else "none"


def _earlier(work: _Assessment, values: LightshipValues) -> DriftItem:
    """A lightship before the baseline: what was predicted is held against the first test that followed it."""
    judgement = Judgement()
    if values.basis in PREDICTED and values.date <= work.original.date:
        found = Compared(
            _changes(difference(work.original, values)), _approved(values), f"{named(values)} that predicted it"
        )
        judgement = judge_prediction(found, work.rules, work.vessel)
    return _described(work, values, judgement)


def _lead(work: _Assessment) -> Lead | None:
    if work.history.lead is None:
        return None
    return Lead(work.history.lead.name, work.baseline, work.calculated(work.history.as_of).lightship)


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
        action_force=judgement.force,
        action_reason=judgement.reason,
        adopted=_adopted(work, values) if judgement.action == "adopt" else None,
        approved=values.approved,
        id=values.id,
    )


def _adopted(work: _Assessment, values: LightshipValues) -> Adopted:
    if work.history.lead is not None and values.basis != "inclining-test":
        return adopted_of_a_sister(values, work.baseline, work.calculated(values.date).lightship)
    return adopted(values, work.baseline)


def _logged(work: _Assessment) -> Logged:
    found = work.calculated(work.history.as_of)
    changes: Mapping[Quantity, Estimate] = {**_changes(found.delta), "aggregate_t": found.aggregate_t}
    baseline = Compared(changes, _approved(work.baseline), work.name)
    first = {**_changes(difference(found.lightship, work.original)), "aggregate_t": found.aggregate_t}
    original = Compared(first, _approved(work.original), named(work.original))
    compared = Comparisons(baseline, original if work.original is not work.baseline else baseline, lead=baseline)
    judgement, sister = Judgement(), work.history.lead is not None
    if found.entries or sister:
        judgement = judge_log(sister, compared, work.rules, work.vessel)
    if not found.entries and judgement.verdicts:
        judgement = Judgement()
    if sister and not any(each.basis in MEASURED for each in work.later):
        judgement = survey_on_completion(judgement)
    return Logged(
        net=found.net,
        aggregate_t=found.aggregate_t.value,
        entries=found.entries,
        delta=found.delta,
        verdicts=judgement.verdicts,
        not_assessed=judgement.not_assessed,
        action=judgement.action,
        action_force=judgement.force,
        action_reason=judgement.reason,
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
    """The calendar counts approved tests and surveys; one that is not approved yet moves no date."""
    now = _due_now(work, logged)
    if now is not None:
        return now
    records, rules = work.history.records, calendar_for(work.rules, work.vessel)
    approved = next_due(rules, {each.basis: each.date for each in records if each.approved}, work.history.as_of)
    every = next_due(rules, {each.basis: each.date for each in records}, work.history.as_of)
    if approved is None:
        return None
    found = _advised(approved, forecast, work.history.as_of)
    if every is None or every.date == approved.date:
        return found
    return replace(found, if_approved=IfApproved(every.date, every.counted_from))


def _due_now(work: _Assessment, logged: Logged) -> NextDue | None:
    """A survey that the log itself calls for, without waiting for the calendar."""
    if logged.action != "survey":
        return None
    asking = (each for each in logged.verdicts if each.regulatory == "fail" and each.consequence == "survey")
    verdict, today = next(asking, None), work.history.as_of
    if verdict is None:
        return None
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
