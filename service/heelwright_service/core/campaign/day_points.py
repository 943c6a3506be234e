"""What stands in the way of starting the test, and of leaving the ship after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from heelwright_service.core.campaign.plan_document import TestPlan, WeatherLimits
from heelwright_service.core.campaign.preparations import Preparation, open_items
from heelwright_service.core.campaign.readiness import Point, Severity
from heelwright_service.core.campaign.running import Running
from heelwright_service.core.campaign.stages import TestKind
from heelwright_service.core.campaign.tank_document import TankPlan
from heelwright_service.core.campaign.tanks_found import EntryPermit, TankFound, tank_points
from heelwright_service.core.record import Instrument
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule
from heelwright_service.core.words import counted, plain

MUST_BE_DONE: dict[str, str] = {
    "moorings": "P-16",
    "depth": "P-14",
    "valves": "K-07",
    "bilges": "P-12",
    "swinging-gear": "P-25",
    "persons": "P-11",
    "weights": "W-05",
    "communications": "P-31",
    "yard-work": "P-11",
}
"""Items of the work list without which a test does not start."""

INCLINING_ONLY = ("weights", "moorings", "communications")


@dataclass(frozen=True)
class WeatherSeen:
    """The weather as observed: wind, gusts [m/s], waves [m], current [kn]."""

    wind_m_per_s: float | None = None
    gust_m_per_s: float | None = None
    wave_m: float | None = None
    current_kn: float | None = None


@dataclass(frozen=True)
class Day:
    """Everything that decides whether one can start or leave.

    Parameters
    ----------
    kind : str
        Inclining test or lightweight survey.
    plan, tank_plan : TestPlan, TankPlan
        What was planned.
    preparations : sequence of Preparation
        The work list.
    soundings : sequence of TankFound
        What was found in the tanks.
    permits : sequence of EntryPermit
        The entry permits of the day.
    totals : sequence of Check
        Surplus and missing items against their limits.
    persons_listed : bool
        Whether the muster list is there; an empty ship is listed too.
    instruments : sequence of Instrument
        Instruments as measured on the day.
    weather : WeatherSeen, optional
        What is observed.
    list_deg : float, optional
        Initial list by the draughts [deg].
    draught_marks, freeboards_a_side, samples : int
        How much was read.
    running : Running, optional
        Where the readings stand.
    open_deviations : sequence of str
        Deviations that nobody has accepted.
    reservations_signed : bool
        Whether the reservations are signed.
    initialled : sequence of str
        Roles that have initialled the data.
    now : str, optional
        Time of the question, ISO 8601 with offset.
    """

    kind: TestKind
    plan: TestPlan
    tank_plan: TankPlan
    preparations: Sequence[Preparation] = ()
    soundings: Sequence[TankFound] = ()
    permits: Sequence[EntryPermit] = ()
    totals: Sequence[Check] = ()
    persons_listed: bool = False
    instruments: Sequence[Instrument] = ()
    weather: WeatherSeen | None = None
    list_deg: float | None = None
    draught_marks: int = 0
    freeboards_a_side: int = 0
    samples: int = 0
    running: Running | None = None
    open_deviations: Sequence[str] = ()
    reservations_signed: bool = False
    initialled: Sequence[str] = field(default_factory=tuple)
    now: str | None = None


def start_points(day: Day, length_m: float) -> list[Point]:
    """Return what stands in the way of the first reading.

    Parameters
    ----------
    day : Day
        What is known.
    length_m : float
        Length of the ship [m].

    Returns
    -------
    list of Point
        Blocking ones and warnings.
    """
    points = tank_points(day.tank_plan, day.soundings, day.permits, day.now)
    points += _list_points(day)
    points += [_from_check(check) for check in day.totals if check.status in ("fail", "warn")]
    if not day.persons_listed:
        points.append(Point("P-11", "Nobody aboard is listed.", "Enter the muster list.", rule="P-11"))
    points += weather_points(day.plan.weather_limits, day.weather)
    if day.list_deg is not None and abs(day.list_deg) > conduct_rule("P-18")["maximum_deg"]:
        side = "starboard" if day.list_deg > 0 else "port"
        text = f"She lists {abs(day.list_deg):.2f}° to {side} with the weights at their start."
        points.append(Point("P-18", text, "Take the list out.", rule="P-18"))
    if day.kind == "inclining-test":
        points += _instrument_points(day, length_m)
    return points


def leave_points(day: Day, length_m: float) -> list[Point]:
    """Return what stands in the way of leaving the ship.

    Parameters
    ----------
    day : Day
        What is known.
    length_m : float
        Length of the ship [m].

    Returns
    -------
    list of Point
        Blocking ones and warnings.
    """
    points = tank_points(day.tank_plan, day.soundings, day.permits)
    points += _waterline_points(day)
    needed = conduct_rule("R-10")
    least = int(needed["large_samples" if length_m >= needed["from_length_m"] else "small_samples"])
    if day.samples < least:
        text = f"{counted(day.samples, 'water sample')}; {least} wanted for a ship of {length_m:g} m."
        points.append(Point("R-10", text, "Take the rest.", "block" if day.samples == 0 else "warn", rule="R-10"))
    if day.kind == "inclining-test":
        points += _reading_points(day)
    for key in day.open_deviations:
        text = f"Deviation “{key}” is neither accepted nor mended."
        points.append(Point(f"deviation/{key}", text, "Let the person in charge settle it.", rule="P-04"))
    if not day.reservations_signed:
        text = "The reservations are not signed."
        points.append(Point("reservations", text, "Sign them; none is a statement too.", waivable=False))
    absent = [role for role in ("person-in-charge", "witness") if role not in day.initialled]
    if absent:
        text = f"The data are not initialled by: {', '.join(map(plain, absent))}."
        points.append(Point("C-09", text, "Let them initial before they leave.", rule="C-09"))
    return points


def weather_points(limits: WeatherLimits, seen: WeatherSeen | None) -> list[Point]:
    """Hold the weather against its limits.

    Parameters
    ----------
    limits : WeatherLimits
        Those of the procedure; the office's where it gives none.
    seen : WeatherSeen, optional
        What is observed.

    Returns
    -------
    list of Point
        Warnings: the person in charge decides.
    """
    if seen is None:
        return [Point("P-28", "The weather is not entered.", "Enter wind, waves and current.", "warn", rule="P-28")]
    rule = conduct_rule("P-29")
    spread = None
    if seen.gust_m_per_s is not None and seen.wind_m_per_s is not None:
        spread = seen.gust_m_per_s - seen.wind_m_per_s
    rows = (
        ("wind", seen.wind_m_per_s, limits.wind_m_per_s, "wind_m_per_s", "m/s"),
        ("gusts above the wind", spread, limits.gust_spread_m_per_s, "gust_spread_m_per_s", "m/s"),
        ("waves", seen.wave_m, limits.wave_m, "wave_m", "m"),
        ("current", seen.current_kn, limits.current_kn, "current_kn", "kn"),
    )
    points = []
    for what, found, own, name, unit in rows:
        most = rule[name] if own is None else own
        if found is not None and found > most:
            text = f"{what.capitalize()} {found:g} {unit}; the limit is {most:g} {unit}."
            points.append(Point(f"weather/{name}", text, "Wait or postpone.", "warn", rule="P-29"))
    return points


def _list_points(day: Day) -> list[Point]:
    points = []
    for item in open_items(day.preparations):
        rule = MUST_BE_DONE.get(item.key)
        if rule is not None and (day.kind == "inclining-test" or item.key not in INCLINING_ONLY):
            points.append(Point(f"preparation/{item.key}", f"Not done: {item.what}", item.verify, rule=rule))
        elif item.key.startswith(("tank/", "system/")) and not item.key.endswith(("/sounded", "/gas-free")):
            text = f"Not ticked: {item.what}"
            points.append(Point(f"preparation/{item.key}", text, item.verify, "warn", rule=item.rule))
        elif item.key == "entry-permits":
            text = f"Not done: {item.what}"
            points.append(Point("preparation/entry-permits", text, item.verify, "warn", rule=item.rule))
    return points


def _from_check(check: Check) -> Point:
    severity: Severity = "block" if check.status == "fail" else "warn"
    return Point(check.id, check.text, "Land or fit the heaviest items.", severity, rule=check.id)


def _instrument_points(day: Day, length_m: float) -> list[Point]:
    points = []
    pendulums = [each for each in day.instruments if each.kind == "pendulum"]
    short = conduct_rule("H-02")
    least = int(short["minimum"] if length_m <= short["up_to_length_m"] else conduct_rule("H-01")["minimum"])
    if len(day.instruments) < least or not pendulums:
        found = f"{counted(len(day.instruments), 'instrument')}, {counted(len(pendulums), 'pendulum')} among them"
        text = f"{found}; {least} with a pendulum are needed."
        points.append(Point("H-01", text, "Rig and enter the instruments.", rule="H-01"))
    unmeasured = [each.id for each in day.instruments if each.kind != "inclinometer" and each.length_m is None]
    if unmeasured:
        text = f"Length not measured: {', '.join(unmeasured)}."
        points.append(Point("H-17", text, "Measure before the moves.", waivable=False, rule="H-17"))
    return points


def _waterline_points(day: Day) -> list[Point]:
    rule = conduct_rule("R-01")
    marks, boards = int(rule["draught_marks"]), int(rule["freeboards_per_side"])
    if day.draught_marks >= marks or day.freeboards_a_side >= boards:
        return []
    text = f"{day.draught_marks} draught marks and {day.freeboards_a_side} freeboards a side are read."
    nothing = day.draught_marks + day.freeboards_a_side == 0
    return [Point("R-01", f"{text} Wanted: {marks} marks or {boards} a side.", "Read the rest.", waivable=not nothing,
                  rule="R-01")]  # fmt: skip


def _reading_points(day: Day) -> list[Point]:
    running = day.running
    if running is None or not running.states_read:
        return [Point("readings", "No state has been read.", "Make the test.", waivable=False, rule="C-01")]
    points = []
    if running.read_again:
        states = ", ".join(str(each.state) for each in running.read_again)
        text = f"Off the line: state {states}. {running.read_again[0].why}"
        points.append(Point("C-03", text, "Read again, or withdraw with the reason.", rule="C-03"))
    if not running.may_stop:
        points.append(Point("C-02", running.may_stop_text, "Go on with the moves.", rule="C-02"))
    planned = {state.number for state in day.plan.moves.states} if day.plan.moves is not None else set()
    left = sorted(planned - set(running.states_read))
    if left and running.may_stop:
        text = f"Planned states not read: {', '.join(map(str, left))}; the plot is straight without them."
        points.append(Point("C-01", text, "Nothing: the rule allows it.", "warn", rule="C-02"))
    return points
