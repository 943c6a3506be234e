"""After the last reading: the preliminary result, the request for an interim condition, and what has to be put back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.survey import SurveyItem
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import ApprovedLightship
from heelwright_service.core.rules import (
    Baseline,
    Deviation,
    Quantity,
    RuleVessel,
    Stage,
    Verdict,
    evaluate,
    rules_for,
)
from heelwright_service.core.rules import rule_set as find_rule_set
from heelwright_service.core.test_result import TestResult
from heelwright_service.core.words import changed, number

PRELIMINARY = "Preliminary: computed on the day, neither reviewed nor approved. Not to be used for loading the ship."
NO_APPROVAL = "This page asks for an interim operating condition. It is no approval; the Administration decides."
DEFAULT_EXPIRY_DAYS = 60


@dataclass(frozen=True)
class Preliminary:
    """The preliminary result.

    Parameters
    ----------
    mark : str
        That it is preliminary; printed with every figure.
    outcome : {"pass", "fail", "undecided"}
        Against the assumed lightship by the rule set: a failed verdict fails, a doubtful one is undecided.
    marginal : bool
        Whether a verdict is within its limit by the measured value and doubtful with its uncertainty, or the reverse,
        or a limit that only advises is passed.
    failed_checks : tuple of str
        Checks of the reduction that failed.
    verdicts : tuple of Verdict
        Rule by rule.
    text : str
        The same in one sentence.
    """

    mark: str
    outcome: str
    marginal: bool
    failed_checks: tuple[str, ...]
    verdicts: tuple[Verdict, ...]
    text: str

    @property
    def needs_action(self) -> bool:
        """Whether somebody has to follow it up."""
        return self.outcome != "pass" or self.marginal


@dataclass(frozen=True)
class InterimRequest:
    """One page that asks for an interim operating condition.

    Parameters
    ----------
    mark : str
        That it is no approval.
    mass_t, lcg_m, vcg_m : float
        The figures asked for: the measured mass and LCG, and the upper end of VCG's 95 % interval [t, m].
    vcg_allowance_m : float
        How much that lies above the measured VCG [m].
    vcg_origin : str
        Where it comes from.
    limits : tuple of str
        What the ship will keep to meanwhile.
    expires : str
        Last day that is asked for, ISO 8601.
    """

    mark: str
    mass_t: float
    lcg_m: float
    vcg_m: float
    vcg_allowance_m: float
    vcg_origin: str
    limits: tuple[str, ...]
    expires: str


@dataclass(frozen=True)
class PutBack:
    """One thing to bring back to its place before sailing."""

    key: str
    what: str
    who: str


def preliminary(
    result: TestResult,
    assumed: ApprovedLightship | None,
    vessel: RuleVessel,
    rule_set: str | None = None,
    *,
    against: Stage = "survey",
) -> Preliminary:
    """Mark a result preliminary and hold it against the assumed lightship.

    Parameters
    ----------
    result : TestResult
        The result.
    assumed : ApprovedLightship, optional
        Approved or calculated lightship that it is compared with.
    vessel : RuleVessel
        The vessel, for the limits.
    rule_set : str, optional
        Rule set; the default set where none is named.
    against : {"survey", "survey-against-calculation", "sister"}
        What the comparison is: with the approved lightship, with a calculated one, with the lead ship's.

    Returns
    -------
    Preliminary
        The marked outcome; undecided where there is nothing to compare with.
    """
    failed = tuple(check.id for check in result.checks if check.status == "fail")
    if assumed is None:
        text = "There is no assumed lightship to compare with."
        return Preliminary(PRELIMINARY, "fail" if failed else "undecided", False, failed, (), text)
    verdicts = tuple(_verdicts(result, assumed, vessel, rule_set, against))
    broken = [each for each in verdicts if each.regulatory == "fail" and not each.advisory]
    advised = [each for each in verdicts if each.regulatory == "fail" and each.advisory]
    marginal = bool(advised) or any(each.measured == "undecided" for each in verdicts)
    outcome = "fail" if broken or failed else "pass"
    if not verdicts and not failed:
        outcome = "undecided"
    text = _in_words([*broken, *advised], marginal, failed, verdicts)
    return Preliminary(PRELIMINARY, outcome, marginal, failed, verdicts, text)


def _verdicts(
    result: TestResult, assumed: ApprovedLightship, vessel: RuleVessel, rule_set: str | None, against: Stage
) -> list[Verdict]:
    chosen = find_rule_set(rule_set)
    base = Baseline(assumed.mass_t, assumed.vcg_m)
    found = []
    for rule in rules_for(chosen, against, vessel):
        deviation = _deviation(result, assumed, rule.quantity)
        verdict = None if deviation is None else evaluate(rule, deviation, base, vessel, chosen.early_warning)
        if verdict is not None:
            found.append(verdict)
    return found


def _deviation(result: TestResult, assumed: ApprovedLightship, quantity: Quantity) -> Deviation | None:
    before = {"mass_t": assumed.mass_t, "lcg_m": assumed.lcg_m, "tcg_m": assumed.tcg_m, "vcg_m": assumed.vcg_m}
    if quantity not in before:
        return None
    found = getattr(result.lightship, quantity)
    if found is None:
        return None
    doubts = result.uncertainty.quantities.get(quantity) if result.uncertainty is not None else None
    return Deviation(quantity, found - before[quantity], 0.0 if doubts is None else doubts.standard)


def _in_words(broken: list[Verdict], marginal: bool, failed: tuple[str, ...], verdicts: tuple[Verdict, ...]) -> str:
    parts = [
        f"{changed(each.quantity, each.value)}, {number(each.limit)} {'t' if each.quantity == 'mass_t' else 'm'} "
        f"{'advised, from weak memory' if each.advisory else 'allowed'} ({each.rule})"
        for each in broken
    ]
    parts += [f"check {name} failed" for name in failed]
    if not parts:
        rest = f"within all {len(verdicts)} limits" if verdicts else "no limit applies"
        doubt = " The doubt of the measurement reaches beyond one of them." if marginal else ""
        return f"The result is {rest}.{doubt}"
    return f"The result is not within its limits: {'; '.join(parts)}."


def interim_request(
    result: TestResult,
    test_date: str,
    limits: Sequence[str],
    approved: ApprovedLightship | None = None,
    expiry_days: int = DEFAULT_EXPIRY_DAYS,
) -> InterimRequest:
    """Put together the request for an interim operating condition.

    Parameters
    ----------
    result : TestResult
        The preliminary result with its uncertainty.
    test_date : str
        The day of the test, ISO 8601.
    limits : sequence of str
        What the ship will keep to meanwhile; at least one.
    approved : ApprovedLightship, optional
        Where a survey takes its VCG from.
    expiry_days : int
        How long it is asked for [days].

    Returns
    -------
    InterimRequest
        The page's facts.

    Raises
    ------
    CoreError
        ``limits-missing``, ``uncertainty-missing`` or ``vcg-unknown``.
    """
    if not [each for each in limits if each.strip()]:
        raise CoreError("limits-missing", "Say what the ship will keep to meanwhile, at least one limit.", "/limits")
    expires = (date.fromisoformat(test_date[:10]) + timedelta(days=expiry_days)).isoformat()
    vcg, allowance, origin = _conservative_vcg(result, approved)
    light = result.lightship
    return InterimRequest(NO_APPROVAL, light.mass_t, light.lcg_m, vcg, allowance, origin, tuple(limits), expires)


def _conservative_vcg(result: TestResult, approved: ApprovedLightship | None) -> tuple[float, float, str]:
    measured = result.lightship.vcg_m
    if measured is None:
        if approved is None:
            message = "A survey measures no VCG and no approved one is known to carry over; an inclining is needed."
            raise CoreError("vcg-unknown", message, "")
        return approved.vcg_m, 0.0, "approved VCG carried over: the survey measures none"
    doubts = result.uncertainty.quantities.get("vcg_m") if result.uncertainty is not None else None
    if doubts is None:
        message = "Reduce the test with its uncertainty: the allowance comes from the interval."
        raise CoreError("uncertainty-missing", message, "")
    return doubts.high_95, doubts.high_95 - measured, "upper end of the 95 % interval of the measured VCG"


def put_back(tanks: TankPlan, preparations: Sequence[Preparation], landed: Sequence[SurveyItem] = ()) -> list[PutBack]:
    """List what has to be brought back before the ship sails.

    Parameters
    ----------
    tanks : TankPlan
        Accesses that were opened, valves that were shut.
    preparations : sequence of Preparation
        What was done for the test.
    landed : sequence of SurveyItem
        What went to the quay store.

    Returns
    -------
    list of PutBack
        Safety of the ship first.
    """
    done = {item.key for item in preparations if item.state != "open"}
    opened = [each.tank for each in tanks.tanks if each.entry]
    rows = [PutBack(f"access/{name}", f"{name}: close the access and its plugs.", "chief-engineer") for name in opened]
    shut = [each for each in tanks.systems if each.kind in ("cross-connection", "sea-chest", "cooling-circuit")]
    rows += [PutBack(f"system/{e.name}", f"{e.name}: back to its sea-going state.", "chief-engineer") for e in shut]
    rows += [PutBack(key, what, who) for key, wanted, what, who in _ALWAYS if wanted is None or wanted in done]
    names = ((e.id, f"{e.description}, {e.mass_t:.2f} t, back from the quay store.") for e in landed)
    return rows + [PutBack(f"landed/{name}", what, "master") for name, what in names]


_ALWAYS: tuple[tuple[str, str | None, str, str], ...] = (
    ("valves", None, "Valves that were shut for the test: back to their sea-going state, by list.", "chief-engineer"),
    ("boats", None, "Boats and rafts: in place, launching gear free.", "master"),
    ("weights-off", "weights", "Inclining weights and the test's gear: off, counted.", "yard"),
    ("swinging-gear", "swinging-gear", "Lashings put on for the test: off or as for sea.", "master"),
    ("moorings", "moorings", "Moorings, gangway and shore lines: as for the berth.", "master"),
    ("stores", "surplus", "Stores and spares from quay storage: back, against the list.", "master"),
)
