"""A stored test's plan laid out for people: what is settled, and what is still open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.cli.spoken import spoken, spoken_day, spoken_time
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.units import System
from heelwright_client.words import heel, number, offset, quantity, station, trim

_PLACE = {
    "depth_lowest_m": "least depth",
    "tide": "tide",
    "mooring": "mooring",
    "gangway": "gangway",
    "shore_lines": "shore lines",
}
_SAFETY = {
    "stop_word": "stop word",
    "lifting_plan": "lifting plan",
    "gas_free": "gas-free",
    "entry_permits": "entry permits",
}


def plan_lines(plan: Mapping[str, Any], system: System, width: int) -> list[Line]:
    """Lay out a plan.

    Parameters
    ----------
    plan : Mapping
        As the service gives it.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        Day and place, people, weights and moves, instruments, waterline, expected condition, papers, order of events.
    """
    return [
        *_day(plan, system),
        *_people(plan, width),
        *_moves(plan, system, width),
        *_instruments(plan, system, width),
        *_waterline(plan, system),
        *_expected(plan, system, width),
        *_papers(plan, width),
        *_events(plan, width),
    ]


def _day(plan: Mapping[str, Any], system: System) -> list[Line]:
    place = plan.get("place") or {}
    lines = [Line(f"Plan for {spoken_time(plan.get('start_at') or plan.get('date'), 'no date yet')}", "title")]
    purpose = spoken(plan.get("purpose") or "not stated")
    lines += [Line(f"  purpose {purpose}, rules {plan.get('rule_set') or 'of the vessel'}")]
    lines += [Line(f"  at {place.get('name') or 'no place yet'}", "" if place else "warn")]
    for name, words in _PLACE.items():
        value = place.get(name)
        if value is not None:
            told = quantity(value, "length", system=system, decimals=1) if name.endswith("_m") else value
            lines.append(Line(f"  {words}: {told}"))
    decided = (plan.get("weather_limits") or {}).get("decided_by")
    safety = plan.get("safety") or {}
    lines += [Line(f"  {decided or 'nobody yet'} decides on the weather", "" if decided else "warn")]
    told = [f"{words}: {safety[name]}" for name, words in _SAFETY.items() if safety.get(name)]
    return [*lines, Line(f"  {'; '.join(told) or 'no safety plan yet'}", "" if told else "warn")]


def _people(plan: Mapping[str, Any], width: int) -> list[Line]:
    rows = [[spoken(each["role"]), each["name"], each.get("organisation") or ""] for each in plan.get("persons") or []]
    return _titled("People", [Column("role"), Column("name"), Column("of", wraps=1)], rows, width)


def _moves(plan: Mapping[str, Any], system: System, width: int) -> list[Line]:
    moves = plan.get("moves") or {}
    rows = [
        [each["id"], quantity(each["mass_t"], "mass", system=system, decimals=3), each.get("certificate") or "none"]
        for each in moves.get("weights") or []
    ]
    lines = _titled("Weights", [Column("id"), Column("mass", "point"), Column("certificate", wraps=1)], rows, width)
    states = [
        [str(each["number"]), _moment(each.get("moment_t_m")), _positions(each["positions"], system)]
        for each in moves.get("states") or []
    ]
    columns = [Column("state", "right"), Column("moment", "point"), Column("across", wraps=1)]
    lines += _titled("Moves", columns, states, width) if states else []
    largest = moves.get("max_heel_deg")
    return [*lines, Line(f"  largest heel {heel(largest['expected'])}")] if largest else lines


def _moment(value: float | None) -> str:
    return "" if value is None else f"{number(value, 1)} t·m"


def _positions(positions: Mapping[str, Sequence[float]], system: System) -> str:
    return ", ".join(f"{name} {offset(at[1], system)}" for name, at in positions.items())


def _instruments(plan: Mapping[str, Any], system: System, width: int) -> list[Line]:
    rows = [
        [each["id"], spoken(each["kind"]), _length(each.get("length_m"), system), each.get("place") or "no place yet"]
        for each in plan.get("instruments") or []
    ]
    columns = [Column("id"), Column("kind"), Column("length", "point"), Column("place", wraps=1)]
    return _titled("Instruments", columns, rows, width)


def _length(value: float | None, system: System) -> str:
    return "" if value is None else quantity(value, "length", system=system, decimals=3)


def _waterline(plan: Mapping[str, Any], system: System) -> list[Line]:
    drawn, density = plan.get("draught_plan") or {}, plan.get("density_plan") or {}
    marks = ", ".join(drawn.get("marks") or []) or "none"
    boards = ", ".join(station(x, system) for x in drawn.get("freeboard_stations_x_m") or []) or "none"
    return [
        Line("Waterline and density", "title"),
        Line(f"  marks: {marks}; they count from {drawn.get('datum') or 'nobody has said what'}"),
        Line(f"  freeboards on both sides: {boards}"),
        Line(f"  water sampled: {', '.join(density.get('places') or []) or 'no places yet'}"),
    ]


def _expected(plan: Mapping[str, Any], system: System, width: int) -> list[Line]:
    found = plan.get("expected") or {}
    told = [f"{words} {quantity(found[name], 'mass', system=system, decimals=1)}" for name, words in
            (("displacement_t", "displacement"), ("lightship_mass_t", "lightship")) if found.get(name)]  # fmt: skip
    told += [f"GM {quantity(found['gm_m'], 'length', system=system, decimals=2)}"] if found.get("gm_m") else []
    told += [trim(found["trim_m"], system)] if found.get("trim_m") is not None else []
    lines = [Line("Expected condition", "title"), Line(f"  {', '.join(told) or 'not estimated yet'}")]
    rows = [
        [spoken(each["kind"]), each["description"], quantity(each["mass_t"], "mass", system=system, decimals=2)]
        for each in plan.get("estimated_items") or []
    ]
    columns = [Column("kind"), Column("item", wraps=1), Column("mass", "point")]
    return [*lines, *(table(columns, rows, width=width) if rows else [])]


def _papers(plan: Mapping[str, Any], width: int) -> list[Line]:
    rows = [[spoken(e["kind"]), e["name"], spoken_day(e.get("valid_until"))] for e in plan.get("attachments") or []]
    return _titled("Papers", [Column("kind"), Column("name", wraps=1), Column("valid until")], rows, width)


def _events(plan: Mapping[str, Any], width: int) -> list[Line]:
    rows = [[each["at"], each["event"], spoken(each.get("who") or "")] for each in plan.get("schedule") or []]
    return _titled("Order of events", [Column("at"), Column("what", wraps=1), Column("who")], rows, width)


def _titled(title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int) -> list[Line]:
    if not rows:
        return [Line(f"{title}: none yet", "warn")]
    return [Line(title, "title"), *table(columns, rows, width=width)]
