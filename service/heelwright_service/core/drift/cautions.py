"""What a reader of a drift must know: what was assumed, left out, or points to an error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heelwright_service.core.drift.answer import DriftItem, LightshipValues, Logged
from heelwright_service.core.drift.history import History
from heelwright_service.core.drift.request import DriftRequest
from heelwright_service.core.rules import RuleSet, Verdict, calendar_for, kind_of

DEFERENCE = (
    "A flag Administration or its recognized organization can always ask for more than these rules; local codes and a "
    "licensed practitioner's judgement come first."
)


def cautions(
    request: DriftRequest,
    history: History,
    values: Sequence[LightshipValues],
    chosen: RuleSet,
    reason: str,
    items: Sequence[DriftItem],
    logged: Logged,
) -> list[str]:
    """Collect the cautions of a drift.

    Parameters
    ----------
    request : DriftRequest
        What was asked.
    history : History
        The records that count.
    values : sequence of LightshipValues
        The baseline and the later lightships with the uncertainties used.
    chosen : RuleSet
        The rule set.
    reason : str
        Why it was chosen, empty where it was named.
    items : sequence of DriftItem
        The later lightships, judged.
    logged : Logged
        The log, judged.

    Returns
    -------
    list of str
        One sentence or two each, without repetition.
    """
    found = [
        *_suspicions(items),
        *_advice([*(verdict for item in items for verdict in item.verdicts), *logged.verdicts]),
        *_not_judged(items, logged, chosen),
        *_history(request, history),
        *_amended(history, items),
        *([reason] if reason else []),
        *_kind(request, chosen),
        *chosen.notes,
        *_defaults(values),
        DEFERENCE,
    ]
    return list(dict.fromkeys(found))


def _suspicions(items: Sequence[DriftItem]) -> Iterator[str]:
    for item in items:
        if item.error_likelier_than_weight:
            yield (
                f"{item.date} {item.basis}: the weight gained or lost would lie {item.implied_centre_remark} "
                "Look for the cause (density, marks, a tank, the hull model, an item counted twice) before adopting it."
            )


def _advice(verdicts: Sequence[Verdict]) -> Iterator[str]:
    for verdict in verdicts:
        if verdict.advisory and verdict.passed_limit:
            yield (
                f"{verdict.rule} advises '{verdict.consequence}': {verdict.quantity} is beyond {verdict.limit_text} "
                f"({verdict.source}, {verdict.confidence_text}); it does not fail by itself."
            )
        if verdict.remark:
            yield f"{verdict.rule}: {verdict.remark}"


def _not_judged(items: Sequence[DriftItem], logged: Logged, chosen: RuleSet) -> Iterator[str]:
    for item in items:
        for text in item.not_assessed:
            yield f"{item.date} {item.basis}: {text}"
        if not item.verdicts:
            yield f"{item.date} {item.basis}: no rule of {chosen.name} could be applied, so none was judged."
    for text in logged.not_assessed:
        yield f"Logged alterations: {text}"
    if logged.entries and not logged.verdicts:
        yield f"Logged alterations: no rule of {chosen.name} could be applied, so none was judged."


def _history(request: DriftRequest, history: History) -> Iterator[str]:
    later = sum(each.date > history.as_of for each in request.lightships)
    planned = sum(each.date > history.as_of for each in request.alterations)
    same_day = sum(each.date == history.baseline.date for each in request.alterations)
    if later:
        yield f"{later} lightship(s) dated after {history.as_of} were left out."
    if planned:
        yield f"{planned} alteration(s) dated after {history.as_of} were left out."
    if same_day:
        yield f"{same_day} alteration(s) dated on the day of the baseline test were taken as done before it."
    for each in request.lightships:
        if each.basis == "lightweight-survey" and each.vcg_m is not None:
            yield f"{each.date} lightweight-survey: a survey measures no VCG; the VCG given with it was not used."
    for each in history.later:
        if each.basis == "inclining-test":
            yield f"{each.date} inclining-test: not approved yet; it becomes the baseline when it is."


def _amended(history: History, items: Sequence[DriftItem]) -> Iterator[str]:
    amended = [each for each in history.later if each.approved]
    for item in items:
        before = [each for each in amended if each.date < item.date]
        if before:
            latest = before[-1]
            change = item.delta.mass_t.value + history.baseline.mass_t - latest.mass_t
            yield (
                f"{item.date} {item.basis}: compared with the last approved inclining test; against the stability "
                f"information approved since ({latest.basis} {latest.date}) the mass differs by "
                f"{abs(change):.4g} t {'more' if change >= 0.0 else 'less'}."
            )


def _kind(request: DriftRequest, chosen: RuleSet) -> Iterator[str]:
    if kind_of(request.vessel.kind) is None:
        yield f"'{request.vessel.kind}' is no kind of vessel that rules know: those for certain kinds were left out."
    if not calendar_for(chosen, request.vessel):
        yield f"{chosen.name} sets no survey interval for this vessel."


def _defaults(values: Sequence[LightshipValues]) -> Iterator[str]:
    for each in values:
        if each.standard_source != "as stated":
            yield f"{each.basis}: standard uncertainties that were not stated are {each.standard_source}."
