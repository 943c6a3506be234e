"""What a reader of a drift must know: what was assumed, left out, or points to an error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heelwright_service.core.drift.answer import DriftItem, LightshipValues, Logged
from heelwright_service.core.drift.history import History
from heelwright_service.core.drift.ladder import QUANTITY_WORDS
from heelwright_service.core.drift.request import MEASURED, DriftRequest, LightshipRecord
from heelwright_service.core.drift.slips import slips
from heelwright_service.core.rules import RuleSet, RuleVessel, Stage, Verdict, calendar_for, kind_of, rules_for
from heelwright_service.core.words import counted, dated, listed, on_day, plain

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
        *slips(request, values[0], history.as_of),
        *_advice([*(verdict for item in items for verdict in item.verdicts), *logged.verdicts]),
        *_not_judged(items, logged),
        *_not_judged_yet(history, chosen, request.vessel),
        *_lead(history),
        *_pending(history, items, chosen, request.vessel),
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
                f"{_of(item)}: the weight gained or lost would lie {item.implied_centre_remark} "
                "Look for the cause (density, marks, a tank, the hull model, an item counted twice) before adopting it."
            )


def _advice(verdicts: Sequence[Verdict]) -> Iterator[str]:
    remarked: dict[str, list[str]] = {}
    for verdict in verdicts:
        if verdict.advisory and verdict.passed_limit and not verdict.remark:
            yield (
                f"{verdict.rule} advises '{verdict.consequence}': {QUANTITY_WORDS[verdict.quantity]} is beyond "
                f"{verdict.limit_text} ({verdict.source}, {verdict.confidence_text}); it does not bind by itself."
            )
        if verdict.remark:
            remarked.setdefault(verdict.remark, []).append(verdict.rule)
    for remark, rules in remarked.items():
        yield f"{listed(list(dict.fromkeys(rules)))}: {remark}"


def _not_judged(items: Sequence[DriftItem], logged: Logged) -> Iterator[str]:
    for item in items:
        for text in item.not_assessed:
            yield f"{_of(item)}: {text}"
    for text in logged.not_assessed:
        yield f"Logged alterations: {text}"


def _not_judged_yet(history: History, chosen: RuleSet, vessel: RuleVessel) -> Iterator[str]:
    """Which rules wait for which data."""
    since = f"the baseline of {on_day(history.baseline.date)}"
    waiting: tuple[tuple[bool, tuple[Stage, ...], str], ...] = (
        (
            any(each.basis in MEASURED for each in history.later),
            ("sister",) if history.lead else ("survey", "survey-against-calculation"),
            "a lightweight survey of hers" if history.lead else f"a lightweight survey or test newer than {since}",
        ),
        (
            bool(history.alterations) or any(each.basis not in MEASURED for each in history.later),
            () if history.lead else ("alterations",),
            f"an alteration logged or a calculation made after {since}",
        ),
    )
    for known, stages, needed in waiting:
        rules = dict.fromkeys(rule.id for stage in stages for rule in rules_for(chosen, stage, vessel))
        if rules and not known:
            yield f"Not judged yet: {', '.join(rules)} need{'s' if len(rules) == 1 else ''} {needed}."


def _lead(history: History) -> Iterator[str]:
    if history.lead is not None:
        count = len(history.alterations)
        differences = {0: "no known differences", 1: "1 known difference"}.get(count, f"{count} known differences")
        yield (
            f"No approved inclining test of her own: that of the lead ship ({history.lead.name or 'not named'}, "
            f"{on_day(history.lead.date)}) with {differences} from her log stands in (SOLAS 1974 II-1/5.2; a sister is "
            "of the same yard and the same plans, MSC/Circ.1158, paragraph 1). The Administration decides whether she "
            "may be exempted; a lightweight survey on completion is compulsory."
        )
    elif history.baseline.basis == "sister-ship":
        yield (
            "No approved inclining test of her own: the sister-ship lightship approved on "
            f"{on_day(history.baseline.date)} is the baseline (SOLAS 1974 II-1/5.2), and the first survey after it is "
            "held to the limits for sisters too."
        )


def _pending(history: History, items: Sequence[DriftItem], chosen: RuleSet, vessel: RuleVessel) -> Iterator[str]:
    """Surveys and tests that would move a due date and are not approved."""
    counted = {basis for rule in calendar_for(chosen, vessel) for basis in rule.counted_from}
    for item in items:
        if item.basis in counted and not item.approved:
            yield (
                f"{_of(item)}: not approved, so no due date counts from it. A survey counts as approved "
                "when the Administration has accepted its report."
            )


def _history(request: DriftRequest, history: History) -> Iterator[str]:
    later = sum(each.date > history.as_of for each in request.lightships)
    planned = sum(each.date > history.as_of for each in request.alterations)
    same_day = sum(each.date == history.baseline.date for each in request.alterations)
    if later:
        yield _left_out(later, "lightship", history.as_of)
    if planned:
        yield _left_out(planned, "alteration", history.as_of)
    if same_day:
        taken = f"{'was' if same_day == 1 else 'were'} taken as done before it"
        yield f"{counted(same_day, 'alteration')} dated on the day of the baseline test {taken}."
    for each in request.lightships:
        if each.basis == "lightweight-survey" and each.vcg_m is not None:
            yield f"{_of(each)}: a survey measures no VCG; the VCG given with it was not used."
    for each in history.later:
        if each.basis == "inclining-test":
            yield f"{_of(each)}: not approved yet; it becomes the baseline when it is."


def _left_out(count: int, what: str, as_of: str) -> str:
    return f"{counted(count, what)} dated after {on_day(as_of)} {'was' if count == 1 else 'were'} left out."


def _of(each: DriftItem | LightshipRecord) -> str:
    """What a lightship is called at the head of a caution."""
    name = dated(each.basis, each.date)
    return f"{name[:1].upper()}{name[1:]}"


def _amended(history: History, items: Sequence[DriftItem]) -> Iterator[str]:
    amended = [each for each in history.later if each.approved]
    for item in items:
        before = [each for each in amended if each.date < item.date]
        if before:
            latest = before[-1]
            change = item.delta.mass_t.value + history.baseline.mass_t - latest.mass_t
            yield (
                f"{_of(item)}: compared with the last approved inclining test; against the stability "
                f"information approved since ({dated(latest.basis, latest.date)}) the mass differs by "
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
            basis = plain(each.basis).capitalize()
            yield f"{basis}: standard uncertainties that were not stated are {each.standard_source}."
