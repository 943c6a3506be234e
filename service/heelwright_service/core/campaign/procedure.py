"""The procedure of a test as data: nineteen headings, filled from the plan, the tank plan and the work list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from heelwright_service.core.campaign.plan_document import TestPlan
from heelwright_service.core.campaign.planned_condition import PlannedCondition
from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.stages import TestKind
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.documents import to_document
from heelwright_service.core.rules import conduct_rule


@dataclass(frozen=True)
class Identity:
    """Who the ship is, as her papers say, with her particulars [m]."""

    name: str | None = None
    imo_number: str | None = None
    kind: str | None = None
    yard_number: str | None = None
    length_bp_m: float | None = None
    length_m: float | None = None
    breadth_m: float | None = None
    depth_m: float | None = None


@dataclass(frozen=True)
class ProcedureInputs:
    """What a procedure is put together from."""

    kind: TestKind
    vessel: Identity
    plan: TestPlan
    tank_plan: TankPlan
    condition: PlannedCondition | None = None
    preparations: Sequence[Preparation] = ()


@dataclass(frozen=True)
class Section:
    """One heading of the procedure.

    Parameters
    ----------
    number : int
        Its place.
    heading, source : str
        What it is about and who asks for it.
    content : dict
        The facts, by names that end in their unit.
    complete : bool
        Whether what the heading needs is there.
    """

    number: int
    heading: str
    source: str
    content: dict[str, Any]
    complete: bool


@dataclass(frozen=True)
class Procedure:
    """The procedure: its sections in order, and the word that stops everything, for the first page."""

    kind: TestKind
    stop_word: str | None
    sections: tuple[Section, ...]
    remarks: tuple[str, ...] = field(default_factory=tuple)


_CODE = "2008 IS Code part B 8.2.1"
_US = "46 CFR 170.185(g)"
_GOOD = "common practice"

REMARKS = (
    "Axes: x forward of the aft perpendicular, y to starboard, z above the moulded baseline.",
    "Changes are sent for review beforehand; those on the day are recorded, priced and accepted by name.",
    "The requirements of the flag Administration and local law come first.",
)


def procedure(given: ProcedureInputs) -> Procedure:
    """Put the procedure together.

    Parameters
    ----------
    given : ProcedureInputs
        Plan, tank plan, condition and work list.

    Returns
    -------
    Procedure
        All headings; those that concern the inclining are left out of a lightweight survey.
    """
    rows = [row for row in _HEADINGS if given.kind == "inclining-test" or not row[3]]
    sections = []
    for number, (heading, source, fill, _) in enumerate(rows, start=1):
        content, complete = fill(given)
        sections.append(Section(number, heading, source, content, complete))
    return Procedure(given.kind, given.plan.safety.stop_word, tuple(sections), REMARKS)


Filled = tuple[dict[str, Any], bool]


def _identification(given: ProcedureInputs) -> Filled:
    vessel = given.vessel
    return to_document(vessel), bool(vessel.name and (vessel.imo_number or vessel.yard_number))


def _date_and_place(given: ProcedureInputs) -> Filled:
    plan = given.plan
    content = {"date": plan.date, "start_at": plan.start_at, "place": to_document(plan.place)}
    return content, bool(plan.date and plan.place and plan.place.depth_lowest_m and plan.place.tide)


def _purpose(given: ProcedureInputs) -> Filled:
    plan = given.plan
    content = {
        "purpose": plan.purpose,
        "purpose_reason": plan.purpose_reason,
        "rule_set": plan.rule_set,
        "reference_documents": list(plan.reference_documents),
    }
    return content, plan.purpose != "other" or plan.purpose_reason is not None


def _persons(given: ProcedureInputs) -> Filled:
    roles = {each.role for each in given.plan.persons}
    return {"persons": to_document(list(given.plan.persons))}, {"person-in-charge", "witness"} <= roles


def _weights(given: ProcedureInputs) -> Filled:
    moves = given.plan.moves
    complete = moves is not None and all(each.certificate for each in moves.weights)
    return {"moves": to_document(moves)}, complete


def _instruments(given: ProcedureInputs) -> Filled:
    found = given.plan.instruments
    return {"instruments": to_document(list(found))}, bool(found) and all(each.place or each.x_m for each in found)


def _condition(given: ProcedureInputs) -> Filled:
    content = {"expected": to_document(given.plan.expected), "planned_condition": None}
    if given.condition is not None:
        whole = to_document(given.condition)
        content["planned_condition"] = {name: value for name, value in whole.items() if name != "tanks"}
    return content, given.condition is not None or given.plan.expected is not None


def _tanks(given: ProcedureInputs) -> Filled:
    contents = to_document(list(given.condition.tanks)) if given.condition is not None else []
    return {"tanks": to_document(given.tank_plan), "contents": contents}, bool(given.tank_plan.tanks)


def _items(given: ProcedureInputs) -> Filled:
    plan = given.plan
    content = {
        "items": to_document(list(plan.estimated_items)),
        "missing_limit_percent": conduct_rule("P-07")["maximum_percent"],
        "surplus_limit_percent": conduct_rule("P-08")["maximum_percent"],
        "handed_over_at": plan.item_list_handed_over_at,
    }
    return content, plan.item_list_handed_over_at is not None


def _ship_condition(given: ProcedureInputs) -> Filled:
    rows = [{"what": each.what, "who": each.who, "due": each.due, "verify": each.verify} for each in given.preparations]
    mobile = to_document(list(given.plan.mobile_things))
    return {"work_list": rows, "reading_positions": mobile}, bool(rows)


def _mooring(given: ProcedureInputs) -> Filled:
    plan, rule = given.plan, conduct_rule("P-29")
    limits = to_document(plan.weather_limits)
    limits |= {name: rule[name] for name in rule.values if limits.get(name) is None}
    content = {
        "mooring": plan.place.mooring if plan.place else None,
        "gangway": plan.place.gangway if plan.place else None,
        "shore_lines": plan.place.shore_lines if plan.place else None,
        "depth_lowest_m": plan.place.depth_lowest_m if plan.place else None,
        "weather_limits": limits,
        "decision_rule": "Beyond a limit nobody reads; the person in charge waits or postpones, and says which.",
    }
    return content, bool(plan.place and plan.place.mooring and plan.weather_limits.decided_by)


def _draughts(given: ProcedureInputs) -> Filled:
    found = given.plan.draught_plan
    enough = len(found.freeboard_stations_x_m) >= conduct_rule("R-01")["freeboards_per_side"]
    return to_document(found), enough or len(found.marks) >= conduct_rule("R-01")["draught_marks"]


def _density(given: ProcedureInputs) -> Filled:
    found = given.plan.density_plan
    return to_document(found), bool(found.places and found.hydrometers)


def _schedule(given: ProcedureInputs) -> Filled:
    plan = given.plan
    content = {
        "order": plan.order,
        "order_reason": plan.order_reason or ORDER_REASONS[plan.order],
        "events": to_document(list(plan.schedule)),
    }
    return content, bool(plan.schedule)


ORDER_REASONS = {
    "survey-first": "The survey comes first where it is in doubt whether the ship is complete.",
    "test-first": "The test comes first where the weather may turn.",
}
"""Why one or the other comes first (IMO A.749(18) annex 1, section 4)."""


def _calculations(given: ProcedureInputs) -> Filled:
    content = {
        "methods": ["small-angle", "heeled-equilibrium"] if given.kind == "inclining-test" else ["lightweight-survey"],
        "plot": "Tangents against moments, every instrument by itself and all together, with an intercept each.",
        "hydrostatics": to_document(given.plan.hydrostatics),
    }
    return content, given.plan.hydrostatics is not None


def _acceptance(given: ProcedureInputs) -> Filled:
    rule, stop = conduct_rule("C-07"), conduct_rule("C-02")
    content = {
        "linearity": dict(rule.values),
        "linearity_source": rule.cited_source,
        "stopping": stop.text,
        "repeating": conduct_rule("C-03").text,
        "deviations": "Recorded with their price; accepted by the person in charge and the witness, by name.",
    }
    return content, True


def _attachments(given: ProcedureInputs) -> Filled:
    found = {each.kind for each in given.plan.attachments}
    absent = [kind for kind in NEEDED_PLANS if kind not in found]
    return {"attached": to_document(list(given.plan.attachments)), "absent": absent}, not absent


NEEDED_PLANS = (
    "lines-plan",
    "hydrostatics",
    "capacity-plan",
    "sounding-tables",
    "draught-marks",
    "general-arrangement",
)
"""Plans that go with a procedure (46 CFR 170.180; IACS Recommendation 31)."""


def _safety(given: ProcedureInputs) -> Filled:
    found = given.plan.safety
    entered = any(each.entry for each in given.tank_plan.tanks)
    complete = bool(found.stop_word) and (not entered or bool(found.gas_free and found.entry_permits))
    return to_document(found), complete and (given.kind != "inclining-test" or bool(found.lifting_plan))


def _equipment(given: ProcedureInputs) -> Filled:
    return {"equipment": list(given.plan.equipment), "communications": given.plan.communications}, bool(
        given.plan.equipment
    )


_HEADINGS: tuple[tuple[str, str, Callable[[ProcedureInputs], Filled], bool], ...] = (
    ("Identification of the vessel", f"{_CODE}.1.1; {_US}(1)", _identification, False),
    ("Date, time and place", f"{_CODE}.1.2; {_US}(2)", _date_and_place, False),
    ("Purpose and basis", _GOOD, _purpose, False),
    ("Persons responsible", f"{_CODE}.1.9 (from memory); {_US}(9)", _persons, False),
    ("Inclining weights", f"{_CODE}.1.3; {_US}(3)", _weights, True),
    ("Measuring devices", f"{_CODE}.1.4; {_US}(4)", _instruments, True),
    ("Condition of the ship in the test", f"{_CODE}.1.5 (from memory); {_US}(5)", _condition, False),
    ("Condition of each tank", f"{_CODE}.1.6 (from memory); {_US}(6)", _tanks, False),
    ("Weights to deduct, to complete and to relocate", f"{_CODE}.1.7 (from memory); {_US}(7)", _items, False),
    ("Preparation of the ship", _GOOD, _ship_condition, False),
    ("Mooring and environment", _GOOD, _mooring, False),
    ("Draughts and freeboards", _GOOD, _draughts, False),
    ("Density of the water", _GOOD, _density, False),
    ("Order of events", f"{_US}(8)", _schedule, False),
    ("Calculations during the test", f"{_CODE}.1.8 (from memory)", _calculations, False),
    ("Acceptance", "46 CFR 170.190", _acceptance, False),
    ("Plans attached", "46 CFR 170.180; IACS Recommendation 31", _attachments, False),
    ("Safety", _GOOD, _safety, False),
    ("Equipment", "IMO A.749(18) annex 1, section 3", _equipment, False),
)
