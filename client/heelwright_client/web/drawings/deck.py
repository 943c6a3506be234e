"""The deck from above, bow to the right: where the weights stand first, and every lift as an arrow."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_client.svg import INK, Axis, Drawing, Picture
from heelwright_client.svg_plot import SMALL, SOFT, WIDE, Names, in_unit, level, tick_words, upright
from heelwright_client.units import Unit
from heelwright_client.web.wording import Say

_LEFT, _EDGE, _TOP, _BELOW = 46.0, 14.0, 30.0, 50
_HEAD_PX, _LANE_PX, _LEAST_LANE_PX, _NUMBER_PX, _NEAR_PX = 8.0, 15.0, 6.0, 8.0, 22.0
_SIDES = ("to port", "to starboard")


@dataclass(frozen=True)
class DeckShip:
    """The ship about a plan: moulded breadth [m], deck's edge as x and half breadth [m], places and crane as asked."""

    breadth_m: float
    edge: Sequence[tuple[float, float]] = ()
    places: Sequence[Mapping[str, Any]] = ()
    crane: Mapping[str, Any] | None = None


def deck_plan(plan: Mapping[str, Any], ship: DeckShip, say: Say, width: int = WIDE) -> Picture:
    """Draw the deck plan of a weight plan.

    Parameters
    ----------
    plan : Mapping
        A weight plan.
    ship : DeckShip
        What is around it.
    say : Say
        The visitor's words and units.
    width : int
        Of the drawing [px].

    Returns
    -------
    Picture
        The same scale along and across; starboard is below.
    """
    xs = [place[0] for state in plan["states"] for place in state["positions"].values()]
    xs = [*xs, *(place["x_m"] for place in ship.places)] or [0.0]
    room = (0.6 if width >= WIDE else 0.3) * ship.breadth_m
    across = _with_lanes(Axis(min(xs) - room, max(xs) + room, _LEFT, width - _EDGE), max(xs), plan["states"])
    metre = (across.end - across.start) / (across.high - across.low)
    half = (0.54 if width >= WIDE else 0.66) * ship.breadth_m
    down = Axis(-half, half, _TOP, _TOP + 2 * half * metre)
    drawing = Drawing(width, int(down.end) + _BELOW, "Deck plan with the lifts", _told(plan, say))
    drawing.note("Deck from above, bow to the right.")
    _scales(drawing, across, down, say.system.unit("length"))
    names = Names(drawing, (across.start + 2, down.start, across.end, down.end))
    _deck(drawing, ship, across, down, names)
    reach = _crane(drawing, ship.crane, say, across, down, names)
    _lifts(drawing, plan["states"], across, down, names)
    _weights(drawing, plan, across, down, names)
    if reach:
        names.put(*reach[0], reach[1], away=10)
    return drawing.picture()


def _with_lanes(across: Axis, foremost_m: float, states: Sequence[Mapping[str, Any]]) -> Axis:
    """The scale along, with room forward of the foremost place for the lanes of all lifts that may start there."""
    paper = across.end - across.start
    wanted = min(0.5 * paper, 20.0 + max(44.0, _LEAST_LANE_PX * sum(bool(state["lift"]) for state in states)))
    if across.end - across(foremost_m) >= wanted:
        return across
    metre = (paper - wanted) / (foremost_m - across.low)
    return Axis(across.low, foremost_m + wanted / metre, across.start, across.end)


def _told(plan: Mapping[str, Any], say: Say) -> str:
    lifts = [state for state in plan["states"] if state["lift"]]
    told = "; ".join(f"state {state['number']}, {_lift_words(state['lift'], say)}" for state in lifts)
    return f"{len(plan['weights'])} weights, {len(lifts)} lifts in order: {told}."


def _lift_words(lift: Mapping[str, Any], say: Say) -> str:
    (x0, y0, *_), (x1, y1, *_) = lift["from"], lift["to"]
    far = say.length(math.hypot(x1 - x0, y1 - y0), decimals=2)
    return f"{lift['weight']} {far} {_SIDES[y1 > y0]}, {say.station(x1, decimals=1)}"


def _scales(drawing: Drawing, across: Axis, down: Axis, unit: Unit) -> None:
    """Round values of the visitor's unit."""
    along, off = in_unit(across, unit), in_unit(down, unit)
    level(drawing, along, down.end, down.start, tick_words(along.ticks(12 if across.end > 600 else 6), signed=True))
    upright(drawing, off, across.start, across.end, tick_words(off.ticks(8)))
    drawing.words(4, 16, f"off the centreline, {unit.symbol}: port above, starboard below", size=SMALL)
    drawing.words(across.start, down.end + 36, f"forward of AP, {unit.symbol}", size=SMALL)
    drawing.words(across.end, down.end + 36, "bow →", size=SMALL, anchor="end")


def _deck(drawing: Drawing, ship: DeckShip, across: Axis, down: Axis, names: Names) -> None:
    drawing.line([(across.start, down(0)), (across.end, down(0))], width=0.8, dash="8 3 2 3")
    drawing.note("Dash and dot: the centreline.")
    inside = [(x, half) for x, half in ship.edge if across.low <= x <= across.high]
    for sign in (-1, 1):
        points = [(across(x), down(sign * min(half, down.high))) for x, half in inside]
        if len(points) < 2:
            side = down(sign * ship.breadth_m / 2)
            points = [(across.start, side), (across.end, side)]
        drawing.line(points, width=1.8)
        drawing.note(f"Thick lines: {'the deck edge' if len(inside) > 1 else 'the moulded breadth'}.")
        names.keep_line_free(points)
    if ship.places:
        drawing.note("Thin dashes between short ends: places where weights may stand.")
    for place in ship.places:
        x = across(place["x_m"])
        ends = [down(place["y_port_m"]), down(place["y_starboard_m"])]
        drawing.line([(x, end) for end in ends], colour=SOFT, width=0.7, dash="2 3")
        for end in ends:
            drawing.line([(x - 5, end), (x + 5, end)], colour=SOFT)


def _crane(
    drawing: Drawing, crane: Mapping[str, Any] | None, say: Say, across: Axis, down: Axis, names: Names
) -> tuple[tuple[float, float], str] | None:
    """The pivot, and as much of the circle of its largest outreach as lies on the paper; where and what to write."""
    if not crane or not crane.get("radius_max_m"):
        return None
    x, y, radius = float(crane["x_m"]), float(crane["y_m"]), float(crane["radius_max_m"])
    turns = [math.radians(2 * step) for step in range(181)]
    points = [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]
    pieces: list[list[tuple[float, float]]] = [[]]
    for along, off in points:
        if across.low <= along <= across.high and down.low <= off <= down.high:
            pieces[-1].append((across(along), down(off)))
        elif pieces[-1]:
            pieces.append([])
    seen = [piece for piece in pieces if piece]
    for piece in seen:
        drawing.line(piece, dash="6 3", width=1.2)
        names.keep_line_free(piece)
    words = f"crane reach {say.length(radius, decimals=1)}"
    if seen:
        drawing.note("Dashed arc: the farthest that the crane reaches.")
    if across.low <= x <= across.high and down.low <= y <= down.high:
        drawing.mark(across(x), down(y), "cross", size=6)
        drawing.note("Cross: where the crane stands.")
        names.keep_free(across(x), down(y), 7)
        return (across(x), down(y)), words
    return (seen[0][len(seen[0]) // 2], words) if seen else None


def _weights(drawing: Drawing, plan: Mapping[str, Any], across: Axis, down: Axis, names: Names) -> None:
    """Squares where the weights stand first, with their names."""
    first = plan["states"][0]["positions"] if plan["states"] else {}
    stands: dict[tuple[float, float], list[str]] = {}
    for name, (x, y, *_) in first.items():
        stands.setdefault((across(x), down(y)), []).append(name)
    if stands:
        drawing.note("Squares: weights in the first state.")
    for x, y in stands:
        drawing.mark(x, y, "square", size=6)
        names.keep_free(x, y, 7)
    for (x, y), held in stands.items():
        names.put(x, y, ", ".join(held), away=10, bold=True)


def _lifts(drawing: Drawing, states: Sequence[Mapping[str, Any]], across: Axis, down: Axis, names: Names) -> None:
    """Each lift has a lane of its own beside the line that the weight moves on, so that returns can be told apart."""
    lifts = [(state["number"], state["lift"]) for state in states if state["lift"]]
    if lifts:
        drawing.note("Arrows: lifts, numbered by the state that they lead to.")
    lines = _lines([across(lift["from"][0]) for _, lift in lifts])
    lanes = Counter(lines[across(lift["from"][0])] for _, lift in lifts)
    free = min((b - a for a, b in itertools.pairwise(sorted(lanes))), default=60.0)
    pitch = min(_LANE_PX, max(_LEAST_LANE_PX, (free - 16) / max([1, *lanes.values()])))
    used: Counter[float] = Counter()
    numbers: list[tuple[float, float]] = []
    for told, lift in lifts:
        line = lines[across(lift["from"][0])]
        lane = line + 10 + pitch * used[line]
        start = (lane, down(lift["from"][1]))
        end = (lane + across(lift["to"][0]) - across(lift["from"][0]), down(lift["to"][1]))
        _arrow(drawing, start, end)
        names.keep_line_free([start, end])
        at = _place_of_number(start, end, (used[line] + 1) / (lanes[line] + 1), numbers)
        used[line] += 1
        if at is None:
            drawing.note("Where arrows crowd, some have no number; the table has the order.")
            continue
        numbers.append(at)
        drawing.mark(*at, "circle", size=_NUMBER_PX)
        drawing.words(at[0], at[1] + 4, str(told), anchor="middle", size=SMALL)
        names.keep_free(*at, _NUMBER_PX)


def _lines(spots: Sequence[float]) -> dict[float, float]:
    """Lines across the ship that are too near each other for lanes between them count as one, the foremost of them."""
    found: dict[float, float] = {}
    run: list[float] = []
    for spot in sorted(set(spots)):
        if run and spot - run[-1] > _NEAR_PX:
            found |= dict.fromkeys(run, run[-1])
            run = []
        run.append(spot)
    return found | dict.fromkeys(run, run[-1] if run else 0.0)


def _place_of_number(
    start: tuple[float, float], end: tuple[float, float], part: float, others: Sequence[tuple[float, float]]
) -> tuple[float, float] | None:
    """A spot on an arrow that no other number touches, counted from above, the one asked for first."""
    low, high = sorted((start, end), key=lambda point: point[1])
    for along in (part, 0.5, 0.3, 0.7, 0.2, 0.8):
        at = (low[0] + along * (high[0] - low[0]), low[1] + along * (high[1] - low[1]))
        if all(math.dist(at, other) >= 2 * _NUMBER_PX for other in others):
            return at
    return None


def _arrow(drawing: Drawing, start: tuple[float, float], end: tuple[float, float]) -> None:
    drawing.line([start, end], width=1.3)
    along = math.atan2(end[1] - start[1], end[0] - start[0])
    for turn in (2.6, -2.6):
        tip = (end[0] + _HEAD_PX * math.cos(along + turn), end[1] + _HEAD_PX * math.sin(along + turn))
        drawing.line([end, tip], colour=INK, width=1.3)
