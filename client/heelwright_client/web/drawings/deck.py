"""The deck from above, bow to the right: where the weights stand first, and every lift as an arrow."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.svg import INK, RULE, Axis, Drawing

_WIDTH, _LEFT, _RIGHT = 760, 60, 740
_HEAD_PX = 8


def deck_plan(
    plan: Mapping[str, Any], breadth_m: float, edge: Sequence[tuple[float, float]], unit: str, to_si: float
) -> str:
    """Draw the deck plan of a weight plan.

    Parameters
    ----------
    plan : Mapping
        A weight plan.
    breadth_m : float
        Moulded breadth [m].
    edge : sequence of (float, float)
        The deck's edge as x and half breadth [m]; empty where the hull is not known.
    unit : str
        Symbol of the visitor's unit of length.
    to_si : float
        That unit in metres.

    Returns
    -------
    str
        SVG; starboard is below.
    """
    places = [place for state in plan["states"] for place in state["positions"].values()]
    xs = [place[0] for place in places] or [0.0]
    low, high = min(xs) - 0.6 * breadth_m, max(xs) + 0.6 * breadth_m
    metre = (_RIGHT - _LEFT) / (high - low)
    half = 0.5 * breadth_m * metre
    top = 34 + 14 * (len(plan["weights"]) // 2 + 1)
    height = int(2 * half) + 2 * top + 24
    across, down = Axis(low, high, _LEFT, _RIGHT), Axis(-breadth_m / 2, breadth_m / 2, top, top + 2 * half)
    drawing = Drawing(_WIDTH, height, "Deck plan with the lifts", _told(plan))
    _deck(drawing, breadth_m, edge, across, down)
    for x in across.ticks(6):
        drawing.line([(across(x), down.end + 4), (across(x), down.end + 9)], colour=RULE)
        shown = x / to_si
        drawing.words(across(x), down.end + 24, f"{shown:.4g} {unit}", anchor="middle", size=11, colour="#555555")
    drawing.words(_LEFT, 18, "port", colour="#555555")
    drawing.words(_LEFT, height - 12, "starboard; forward of AP to the right", colour="#555555")
    _lifts(drawing, plan["states"], across, down)
    _weights(drawing, plan, across, down)
    return drawing.text()


def _told(plan: Mapping[str, Any]) -> str:
    lifts = [state["lift"] for state in plan["states"] if state["lift"]]
    side = ("to port", "to starboard")
    told = (f"{lift['weight']} {side[lift['to'][1] > lift['from'][1]]}" for lift in lifts)
    return f"Lifts in order: {', '.join(told)}."


def _deck(drawing: Drawing, breadth_m: float, edge: Sequence[tuple[float, float]], across: Axis, down: Axis) -> None:
    drawing.line([(across.start, down(0)), (across.end, down(0))], width=0.8, dash="8 3 2 3")
    inside = [(x, half) for x, half in edge if across.low <= x <= across.high]
    for sign in (-1, 1):
        points = [(across(x), down(sign * half)) for x, half in inside]
        if len(points) < 2:
            points = [(across.start, down(sign * breadth_m / 2)), (across.end, down(sign * breadth_m / 2))]
        drawing.line(points, width=1.4)


def _weights(drawing: Drawing, plan: Mapping[str, Any], across: Axis, down: Axis) -> None:
    """Squares where the weights stand first; names of neighbours in lines below each other, outside the deck."""
    first = plan["states"][0]["positions"] if plan["states"] else {}
    lines: dict[tuple[float, bool], int] = {}
    for name, (x, y, _) in sorted(first.items(), key=lambda item: abs(item[1][1])):
        drawing.mark(across(x), down(y), "square", size=6)
        spot = (round(across(x) / 60), y > 0)
        line = lines[spot] = lines.get(spot, 0) + 1
        edge = down.end + 30 + 14 * line if y > 0 else down.start - 14 * line
        drawing.words(across(x), edge, name, anchor="middle", size=11, bold=True)


def _lifts(drawing: Drawing, states: Sequence[Mapping[str, Any]], across: Axis, down: Axis) -> None:
    """Each lift has a lane of its own beside the line that the weight moves on, so that returns can be told apart."""
    used: dict[float, int] = {}
    for state in states:
        lift = state["lift"]
        if not lift:
            continue
        x = round(lift["from"][0], 3)
        lane = used[x] = used.get(x, 0) + 1
        offset = 12 + 15 * (lane - 1)
        start = (across(lift["from"][0]) + offset, down(lift["from"][1]))
        end = (across(lift["to"][0]) + offset, down(lift["to"][1]))
        _arrow(drawing, start, end)
        middle = (start[1] + end[1]) / 2
        drawing.mark(start[0], middle + 0, "circle", size=8)
        drawing.words(start[0], middle + 4, str(state["number"]), anchor="middle", size=11)


def _arrow(drawing: Drawing, start: tuple[float, float], end: tuple[float, float]) -> None:
    drawing.line([start, end], width=1.3)
    along = math.atan2(end[1] - start[1], end[0] - start[0])
    for turn in (2.6, -2.6):
        tip = (end[0] + _HEAD_PX * math.cos(along + turn), end[1] + _HEAD_PX * math.sin(along + turn))
        drawing.line([end, tip], colour=INK, width=1.3)
