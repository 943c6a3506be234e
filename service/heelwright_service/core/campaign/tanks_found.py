"""What the sounding party finds against what was planned: evidence, mismatches, pairs that level out, permits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from heelwright_service.core.campaign.readiness import Point, Severity
from heelwright_service.core.campaign.tank_document import EvidenceKind, PlannedTank, TankPlan, TankState
from heelwright_service.core.campaign.tank_plan import slack_units

EQUAL_LEVELS_M = 0.005
EMPTY_SOUNDING_M = 0.02
"""A sounding above this in a tank that should be empty is a mismatch (office default)."""


@dataclass(frozen=True)
class TankFound:
    """One sounding as entered, with what shows the state."""

    tank: str
    state: TankState
    evidence: EvidenceKind | None
    sounding_m: float | None = None
    pipe_low_m: float = 0.0
    at: str | None = None


@dataclass(frozen=True)
class EntryPermit:
    """A permit to enter a tank.

    Parameters
    ----------
    tank : str
        The tank.
    competent_person : str
        Who certified it gas-free.
    certificate : str
        Number of the gas-free certificate.
    oxygen_percent : float
        Oxygen measured [% by volume].
    issued_at, valid_until : str
        Times, ISO 8601 with offset.
    attendant, rescue : str
        Who stands at the access, and what is ready for a rescue.
    """

    tank: str
    competent_person: str
    certificate: str
    oxygen_percent: float
    issued_at: str
    valid_until: str
    attendant: str
    rescue: str


OXYGEN_PERCENT = (20.6, 21.5)
"""Oxygen by volume of air fit to breathe: 21 % (IMO A.1050(27), from memory), with a meter's width (office default)."""


def tank_points(
    plan: TankPlan, found: Sequence[TankFound], permits: Sequence[EntryPermit], now: str | None = None
) -> list[Point]:
    """Hold the soundings against the tank plan.

    Parameters
    ----------
    plan : TankPlan
        The plan.
    found : sequence of TankFound
        The soundings that stand, one a tank.
    permits : sequence of EntryPermit
        The permits of the day.
    now : str, optional
        Time of the question, ISO 8601 with offset; permits that have run out by then do not count.

    Returns
    -------
    list of Point
        Blocking ones for tanks not sounded, only assumed, or not as planned where planned empty or pressed.
    """
    by_tank = {each.tank: each for each in found}
    points: list[Point] = []
    for tank in plan.tanks:
        points += _permit_points(tank, by_tank.get(tank.tank), permits, now)
        if tank.tank in by_tank:
            points += _evidence_points(by_tank[tank.tank], tank)
            points += _mismatch_points(by_tank[tank.tank], tank)
        else:
            key, text = f"tank/{tank.tank}/sounded", f"{tank.tank} has not been sounded."
            points.append(Point(key, text, "Sound it, and say what shows its state.", rule="K-13"))
    return points + _levelled_pairs(plan.tanks, by_tank)


def counts(found: TankFound) -> bool:
    """Say whether the evidence of a sounding counts: an assumption never does, a gauge only for a slack tank."""
    if found.evidence in (None, "assumed"):
        return False
    return found.evidence != "gauge" or found.state == "slack"


def _evidence_points(found: TankFound, tank: PlannedTank) -> list[Point]:
    mend = "Sound it, look into it, or press it to the vent; or carry its doubt as a priced deviation."
    if not counts(found):
        how = "is only assumed" if found.evidence in (None, "assumed") else "rests on a gauge alone"
        text = f"That {tank.tank} is {found.state} {how}."
        return [Point(f"tank/{tank.tank}/evidence", text, mend, waivable=found.evidence == "gauge", rule="K-10")]
    if found.evidence == "gauge":
        text = f"The level of {tank.tank} rests on a gauge alone: its doubt is larger."
        return [Point(f"tank/{tank.tank}/evidence", text, mend, "warn", rule="K-13")]
    return []


def _mismatch_points(found: TankFound, tank: PlannedTank) -> list[Point]:
    key, rule = f"tank/{tank.tank}/state", "K-08" if tank.state == "pressed" else "K-10"
    if found.state != tank.state:
        text = f"{tank.tank} is {found.state}; it was planned {tank.state}."
        fixed = tank.state in ("empty", "pressed")
        severity: Severity = "block" if fixed else "warn"
        return [Point(key, text, "Bring it to the plan, or plan again.", severity, rule=rule)]
    depth = 0.0 if found.sounding_m is None else found.sounding_m - found.pipe_low_m
    if found.state == "empty" and depth > EMPTY_SOUNDING_M:
        text = f"{tank.tank} is called empty but sounds {depth:.2f} m."
        return [Point(key, text, "Strip it, or enter it as slack with its level.", rule=rule)]
    return []


def _levelled_pairs(tanks: Sequence[PlannedTank], found: dict[str, TankFound]) -> list[Point]:
    points = []
    for liquid in dict.fromkeys(each.liquid for each in tanks):
        for unit in (unit for unit in slack_units(tanks, liquid) if len(unit) == 2):
            one, other = (found.get(name) for name in unit)
            levels = [each.sounding_m for each in (one, other) if each is not None and each.sounding_m is not None]
            if len(levels) == 2 and abs(levels[0] - levels[1]) <= EQUAL_LEVELS_M:
                text = f"{unit[0]} and {unit[1]} stand at equal levels: a cross-connection may be open."
                mend = "Verify the valves twice, wait, and sound both again."
                points.append(Point(f"pair/{unit[0]}/{unit[1]}", text, mend, "warn", rule="K-07"))
    return points


def _permit_points(
    tank: PlannedTank, found: TankFound | None, permits: Sequence[EntryPermit], now: str | None
) -> list[Point]:
    entered = found is not None and found.evidence == "entered"
    if not tank.entry and not entered:
        return []
    own = [each for each in permits if each.tank == tank.tank]
    when = found.at if found is not None and entered else now
    fault = _permit_fault(tank.tank, own, when)
    if fault is None:
        return []
    mend = "Nobody enters without it: issue one, or fill the tank instead."
    return [Point(f"gas-free/{tank.tank}", fault, mend, waivable=False, rule="K-10")]


def _permit_fault(tank: str, permits: Sequence[EntryPermit], when: str | None) -> str | None:
    if not permits:
        return f"{tank} is to be entered and has no gas-free certificate with an entry permit."
    low, high = OXYGEN_PERCENT
    safe = [each for each in permits if low <= each.oxygen_percent <= high]
    if not safe:
        found = permits[-1].oxygen_percent
        return f"The permit for {tank} shows {found:g} % of oxygen; {low:g} % to {high:g} % is wanted: ventilate it."
    if when is not None and not any(_covers(each, when) for each in safe):
        last = safe[-1]
        return f"No permit for {tank} holds at {when}; the last runs from {last.issued_at} to {last.valid_until}."
    return None


def _covers(permit: EntryPermit, when: str) -> bool:
    start, moment, end = (datetime.fromisoformat(text) for text in (permit.issued_at, when, permit.valid_until))
    return start <= moment <= end
