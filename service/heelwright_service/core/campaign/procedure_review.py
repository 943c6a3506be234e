"""What reviewers send procedures back for, checked before they are sent: RP-01 to RP-24."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from heelwright_service.core.campaign.dates import notice_days
from heelwright_service.core.campaign.judging import status_of
from heelwright_service.core.campaign.plan_document import AttachmentKind, PlannedState, TestPlan
from heelwright_service.core.campaign.procedure import NEEDED_PLANS, ProcedureInputs
from heelwright_service.core.campaign.tank_plan import PlannedShip, check_tank_plan, compartments_named
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule
from heelwright_service.core.words import on_day, plain

_REVIEW = "common practice of plan reviewers"


@dataclass(frozen=True)
class ReviewContext:
    """What the review needs besides the procedure.

    Parameters
    ----------
    today : str
        The day of the question, ISO 8601.
    ship : PlannedShip
        Length and tanks of the vessel.
    hydrostatics_cover_trim : bool
        Whether the hydrostatics are computed for the actual trim (from a hull form, or a table with a trim axis).
    test_is_called_for : str, optional
        Why an inclining is called for, where a lightweight survey is asked.
    """

    today: str
    ship: PlannedShip
    hydrostatics_cover_trim: bool = True
    test_is_called_for: str | None = None


def review_procedure(given: ProcedureInputs, context: ReviewContext) -> list[Check]:
    """Check a procedure as a reviewer would.

    Parameters
    ----------
    given : ProcedureInputs
        What the procedure is put together from.
    context : ReviewContext
        The day, the ship, her hydrostatics.

    Returns
    -------
    list of Check
        RP-01 to RP-24 in order; those that concern the inclining are left out of a lightweight survey.
    """
    checks = [
        *_identity(given),
        *_lead_time(given.plan, context.today),
        compartments_named(given.tank_plan, context.ship.tanks),
        *_tank_states(given, context.ship),
        *_systems(given),
        *_floating(given, context),
        *_waterline(given.plan),
        *_hydrometers(given.plan),
    ]
    if given.kind == "inclining-test":
        checks += [*_weights(given.plan), *_heel(given.plan), *_instruments(given.plan)]
    checks += [
        *_items(given),
        *_people(given.plan),
        *_berth(given.plan),
        *_safety(given),
        *_mobile(given),
        *_papers(given.plan),
        *_kind_of_test(given, context),
    ]
    return checks


def _found(rule: str, ok: bool | None, good: str, bad: str, *, fails: bool = False, source: str = _REVIEW,
           value: float | None = None, limit: float | None = None) -> Check:  # fmt: skip
    return Check(rule, good if ok else bad, status_of(ok, fails), value, limit, source)


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "none"


def _identity(given: ProcedureInputs) -> list[Check]:
    plan, vessel = given.plan, given.vessel
    absent = [
        what
        for what, there in (
            ("name", vessel.name),
            ("IMO or yard number", vessel.imo_number or vessel.yard_number),
            ("date", plan.date),
            ("place", plan.place),
            ("depth of water", plan.place and plan.place.depth_lowest_m),
            ("tide", plan.place and plan.place.tide),
        )
        if not there
    ]
    bad = f"Missing or to be advised: {_listed(absent)}."
    good = "Vessel, date and place are stated."
    return [_found("RP-01", not absent, good, bad, fails=True, source="46 CFR 170.185(g)")]


def _lead_time(plan: TestPlan, today: str) -> list[Check]:
    if plan.date is None:
        return [_found("RP-02", None, "", "Without a date no lead time is known.")]
    days, source = notice_days(plan.bookings)
    sent = plan.submitted_on or today
    left = (date.fromisoformat(plan.date[:10]) - date.fromisoformat(sent[:10])).days
    when = "was sent" if plan.submitted_on else "would go out"
    text = f"The procedure {when} {left} days before the test; {days} are wanted ({source})."
    return [_found("RP-02", left >= days, text, text, value=float(left), limit=float(days), source="46 CFR 170.085")]


def _tank_states(given: ProcedureInputs, ship: PlannedShip) -> list[Check]:
    if given.condition is None:
        return [_found("RP-04", None, "", "The planned condition is not known, so slack tanks are not counted.")]
    found = [e for e in check_tank_plan(given.tank_plan, ship, given.condition) if e.id in ("K-02", "K-08")]
    worse = [e.text for e in found if e.status in ("fail", "warn")]
    good = "Slack tanks are within the rule and none is nearly full."
    return [_found("RP-04", not worse, good, " ".join(worse), fails=True, source=conduct_rule("K-02").cited_source)]


def _systems(given: ProcedureInputs) -> list[Check]:
    kinds = {each.kind for each in given.tank_plan.systems}
    absent = [each for each in ("cross-connection", "sea-chest", "cooling-circuit") if each not in kinds]
    good = "Cross-connections and systems with liquid are dealt with."
    return [_found("RP-05", not absent, good, f"Not mentioned: {_listed(absent)}; say where there is none.")]


def _floating(given: ProcedureInputs, context: ReviewContext) -> list[Check]:
    condition, expected = given.condition, given.plan.expected
    trim = condition.trim_m if condition is not None else None
    heel = condition.heel_deg if condition is not None else None
    if expected is not None:
        trim = expected.trim_m if trim is None else trim
        heel = expected.heel_deg if heel is None else heel
    most_trim, most_heel = conduct_rule("P-19")["maximum_percent_of_lbp"], conduct_rule("P-18")["maximum_deg"]
    percent = None if trim is None else 100.0 * abs(trim) / context.ship.length_bp_m
    ok = None if percent is None else percent <= most_trim or context.hydrostatics_cover_trim
    what = "not known" if percent is None else f"{percent:.2f} % of the length"
    covered = "yes" if context.hydrostatics_cover_trim else "no"
    text = f"Planned trim {what}; hydrostatics for the actual trim: {covered}."
    list_text = "The planned list is not known." if heel is None else f"Planned list {abs(heel):.2f}°."
    return [
        _found("RP-06", ok, text, text, fails=True, value=percent, limit=most_trim,
               source=conduct_rule("P-19").cited_source),
        _found("RP-07", None if heel is None else abs(heel) <= most_heel, list_text, f"{list_text} Take it out.",
               fails=True, value=None if heel is None else abs(heel), limit=most_heel,
               source=conduct_rule("P-18").cited_source),
    ]  # fmt: skip


def _waterline(plan: TestPlan) -> list[Check]:
    found, rule = plan.draught_plan, conduct_rule("R-01")
    stations = sorted(found.freeboard_stations_x_m)
    gaps = [b - a for a, b in pairwise(stations)]
    even = not gaps or max(gaps) <= 2.0 * min(gaps)
    boards = len(stations) >= rule["freeboards_per_side"] and even
    marks = len(found.marks) >= rule["draught_marks"]
    text = f"{len(found.marks)} marks and {len(stations)} freeboard stations a side are planned."
    uneven = "" if even else " The stations are not evenly spread."
    verified = bool(found.marks_verified_on and found.datum)
    good = f"Marks verified on {on_day(found.marks_verified_on or '')}, counted from {found.datum}."
    bad = "Say what the marks count from, and when and by whom they were verified in dock."
    return [
        _found("RP-08", boards or marks, text, f"{text}{uneven} Five a side or all marks are wanted.", fails=True,
               source=rule.cited_source),
        _found("RP-09", verified, good, bad, source=conduct_rule("R-05").cited_source),
    ]  # fmt: skip


def _hydrometers(plan: TestPlan) -> list[Check]:
    water = [each for each in plan.density_plan.hydrometers if each.use == "water"]
    liquids = any(each.use == "tank-liquids" for each in plan.density_plan.hydrometers)
    expected = plan.place.expected_density_t_per_m3 if plan.place is not None else None
    suited = [each for each in water if expected is None or each.low_t_per_m3 <= expected <= each.high_t_per_m3]
    at = "" if expected is None else f" for {expected:.3f} t/m³"
    bad = f"Hydrometers{at}: {len(suited)} suited to the berth, {'one' if liquids else 'none'} for tank liquids."
    return [_found("RP-10", bool(suited) and liquids, "The hydrometers suit berth and tank liquids.", bad)]


def _weights(plan: TestPlan) -> list[Check]:
    moves = plan.moves
    if moves is None or not moves.weights:
        bad = "No inclining weights are planned."
        return [_found("RP-11", False, "", bad, fails=True, source="46 CFR 170.185(g)(3)")]
    bare = [each.id for each in moves.weights if not each.certificate]
    deck = [e.id for e in moves.weights if e.deck_load_t_per_m2 is None or e.deck_capacity_t_per_m2 is None]
    loaded = [(e, e.deck_load_t_per_m2 or 0.0) for e in moves.weights if e.id not in deck]
    over = [e.id for e, load in loaded if load > (e.deck_capacity_t_per_m2 or 0.0)]
    unplaced = [e.id for e in moves.weights if not moves.states or any(e.id not in s.positions for s in moves.states)]
    parts = [("without certificate", bare), ("deck load not shown", deck), ("deck overloaded", over),
             ("not placed in every state", unplaced)]  # fmt: skip
    bad = "Weights " + "; ".join(f"{what}: {', '.join(names)}" for what, names in parts if names) + "."
    good = f"{len(moves.weights)} weights with mass, certificate, places and deck loads."
    ok = not any(names for _, names in parts)
    return [_found("RP-11", ok, good, bad, fails=bool(over), source=conduct_rule("W-05").cited_source)]


def _heel(plan: TestPlan) -> list[Check]:
    moves, rule = plan.moves, conduct_rule("W-01", plan.rule_set)
    if moves is None or moves.max_heel_deg is None:
        return [_found("RP-12", None, "", "The expected heel is not known: put the weight plan in.")]
    heel = moves.max_heel_deg
    low = heel.expected if heel.low is None else heel.low
    high = heel.expected if heel.high is None else heel.high
    inside = rule["minimum_deg"] <= low and high <= rule["maximum_deg"]
    least = conduct_rule("H-04", plan.rule_set)["minimum_deflection_mm"]
    short = _short_of_deflection(moves.states, least)
    text = f"Expected largest heel {low:.2f}° to {high:.2f}°; deflection under {least:g} mm on: {_listed(short)}."
    # A large ship may heel less where the deflection is still there (W-02): that alone only warns.
    fails = bool(short) or high > rule["maximum_deg"]
    return [_found("RP-12", inside and not short, text, text, fails=fails, value=heel.expected,
                   limit=rule["maximum_deg"], source=rule.cited_source)]  # fmt: skip


def _short_of_deflection(states: Sequence[PlannedState], least_mm: float) -> list[str]:
    """Instruments whose largest deflection to one of the sides is below the least."""
    names = sorted({name for state in states for name in state.deflection_mm})
    most = {
        name: min(max(sign * state.deflection_mm.get(name, 0.0) for state in states) for sign in (1, -1))
        for name in names
    }
    return [name for name in names if most[name] < least_mm]


def _instruments(plan: TestPlan) -> list[Check]:
    lacking = []
    for each in plan.instruments:
        needs: list[tuple[str, object]] = [("place", each.place), ("shelter", each.sheltered)]
        if each.kind == "inclinometer":
            needs.append(("calibration", each.certificate))
        else:
            needs += [("length", each.length_m), ("damping", each.damping if each.kind == "pendulum" else "none")]
        lacking += [f"{each.id} {what}" for what, there in needs if not there]
    kinds = [each.kind for each in plan.instruments]
    if kinds.count("pendulum") < conduct_rule("H-10")["minimum_pendulums"]:
        lacking.append("a pendulum beside the others")
    good = f"{len(kinds)} instruments with place, length, damping and shelter."
    return [_found("RP-13", bool(kinds) and not lacking, good, f"Not stated: {_listed(lacking or ['any instrument'])}.",
                   source=conduct_rule("H-10").cited_source)]  # fmt: skip


def _items(given: ProcedureInputs) -> list[Check]:
    plan, rule = given.plan, conduct_rule("P-07")
    light = plan.expected.lightship_mass_t if plan.expected is not None else None
    missing = sum(each.mass_t for each in plan.estimated_items if each.kind == "missing")
    percent = None if not light else 100.0 * missing / light
    most = rule["maximum_percent"]
    text = "The lightship is not estimated, so the share of missing weight is not known."
    if percent is not None:
        text = f"Missing weights {missing:.2f} t, {percent:.2f} % of lightship; {most:g} % is allowed."
    unknown = [e.description for e in plan.estimated_items if e.kind == "missing" and e.certainty == "unknown"]
    handed = plan.item_list_handed_over_at
    bad = f"Mass or centre not known of: {_listed(unknown)}. Test after they are fitted, or weigh them."
    return [
        _found("RP-14", None if percent is None else percent <= most, text, text, fails=True, value=percent, limit=most,
               source=rule.cited_source),
        _found("RP-15", handed is not None, f"The list of weights was handed to the witness at {handed}.",
               "The list of weights to add, remove and move has not been handed to the witness."),
        _found("RP-16", not unknown, "No missing item is of unknown mass or centre.", bad,
               source="2008 IS Code part B 8.2.2.2"),
    ]  # fmt: skip


def _people(plan: TestPlan) -> list[Check]:
    roles = {each.role for each in plan.persons}
    absent = [role for role in ("person-in-charge", "recorder", "witness") if role not in roles]
    absent += [] if plan.schedule else ["order of events"]
    good = "Persons and order of events are stated."
    bad = f"Not named: {plain(_listed(absent))}."
    return [_found("RP-17", not absent, good, bad, fails="person-in-charge" in absent,
                   source="46 CFR 170.185(g)(8) and (9)")]  # fmt: skip


def _berth(plan: TestPlan) -> list[Check]:
    place = plan.place
    rows = {
        "mooring": place and place.mooring,
        "gangway": place and place.gangway,
        "shore lines": place and place.shore_lines,
        "depth at lowest tide": place and place.depth_lowest_m,
    }
    absent = [name for name, there in rows.items() if not there]
    limits = plan.weather_limits
    return [
        _found("RP-18", not absent, "Mooring, gangway, shore lines and depth are stated.",
               f"Not stated: {_listed(absent)}.", source=conduct_rule("P-14").cited_source),
        _found("RP-19", bool(limits.decided_by), f"The weather limits stand; {limits.decided_by} decides.",
               "Say who decides on the weather, and when; without figures the office's limits stand."),
    ]  # fmt: skip


def _safety(given: ProcedureInputs) -> list[Check]:
    safety = given.plan.safety
    absent = [] if safety.stop_word else ["the word that stops everything"]
    if any(each.entry for each in given.tank_plan.tanks):
        absent += [name for name, there in (("gas-free certificates", safety.gas_free),
                                            ("entry permits", safety.entry_permits)) if not there]  # fmt: skip
    if given.kind == "inclining-test" and not safety.lifting_plan:
        absent.append("lifting plan")
    bad = f"Not stated: {_listed(absent)}."
    return [_found("RP-20", not absent, "Entry, lifting and stopping are planned.", bad, fails=True)]


def _mobile(given: ProcedureInputs) -> list[Check]:
    things = given.plan.mobile_things
    unfixed = [each.name for each in things if not each.reading_position.strip()]
    bad = f"No reading position for: {_listed(unfixed or ['people, trucks and crane'])}."
    ok = bool(things) and not unfixed
    if given.kind != "inclining-test":
        return []
    return [_found("RP-21", ok, f"{len(things)} mobile things have their reading position.", bad)]


def _papers(plan: TestPlan) -> list[Check]:
    there: set[AttachmentKind] = {each.kind for each in plan.attachments}
    absent = [kind for kind in NEEDED_PLANS if kind not in there]
    source = plan.hydrostatics
    older = source is not None and source.last_conversion is not None and (source.dated or "") < source.last_conversion
    ok = source is not None and bool(source.approved_by) and bool(source.accepted_by) and not older
    bad = "Hydrostatics: say which document, who approved it and who accepted the model against it."
    if older and source is not None:
        dated = on_day(source.dated or "unknown date")
        bad = f"The hydrostatics of {dated} are older than the conversion of {on_day(source.last_conversion or '')}."
    return [
        _found("RP-22", not absent, "The plans are attached.", f"Plans not attached: {plain(_listed(absent))}.",
               source="46 CFR 170.180"),
        _found("RP-23", ok, "The hydrostatics are approved and their model accepted.", bad, fails=older),
    ]  # fmt: skip


def _kind_of_test(given: ProcedureInputs, context: ReviewContext) -> list[Check]:
    if given.kind == "inclining-test":
        return [_found("RP-24", True, "An inclining test is asked for.", "")]
    why = context.test_is_called_for
    good = "Nothing known calls for an inclining instead of the survey."
    return [_found("RP-24", why is None, good, f"An inclining is called for: {str(why).rstrip('.')}.", fails=True)]
