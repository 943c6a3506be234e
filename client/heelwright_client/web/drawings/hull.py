"""A hull from its stations: body plan, and profile with what stands in it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_client.svg import ACCENT, INK, RULE, Axis, Drawing
from heelwright_client.words import number

_MOST_STATIONS = 41
_WIDTH, _LEFT, _RIGHT = 900, 40, 880


@dataclass(frozen=True)
class Mark:
    """Something in the profile: place [m], None where unknown, half widths of its 95 % interval, shape and letter."""

    key: str
    x_m: float
    z_m: float | None
    shape: str
    half_x_m: float = 0.0
    half_z_m: float = 0.0
    alarming: bool = False
    to: tuple[float, float] | None = None


Stations = Sequence[Mapping[str, Any]]


def body_plan(stations: Stations, length_bp_m: float, name: str) -> str:
    """Draw the body plan: the aft body to the left, the fore body to the right.

    Parameters
    ----------
    stations : sequence of Mapping
        As the service stores them.
    length_bp_m : float
        Length between perpendiculars [m].
    name : str
        The vessel's name.

    Returns
    -------
    str
        SVG.
    """
    shown = _chosen(stations)
    half = max(abs(y) for station in shown for y, _ in station["contour_m"])
    low, high = _heights(shown)
    scale = min(380 / (2 * half), 300 / (high - low))
    width, height = int(2 * half * scale) + 60, int((high - low) * scale) + 70
    across, up = Axis(-half, half, 30, width - 30), Axis(low, high, height - 40, 30)
    words = f"{len(stations)} stations; greatest breadth {number(2 * half, 2)} m, {number(high - low, 2)} m high."
    drawing = Drawing(width, height, f"Body plan of the {name}", words)
    drawing.line([(across(-half), up(0.0)), (across(half), up(0.0))], width=0.8)
    drawing.line([(across(0), up(low)), (across(0), up(high))], width=0.8)
    for station in shown:
        aft = station["x_m"] < length_bp_m / 2
        contour = station.get("port_contour_m") if aft else None
        points = contour or [(-y if aft else y, z) for y, z in station["contour_m"]]
        drawing.line([(across(y), up(z)) for y, z in points], width=1.1)
    drawing.words(30, height - 14, "aft body")
    drawing.words(width - 30, height - 14, "fore body", anchor="end")
    return drawing.text()


def profile(stations: Stations, length_bp_m: float, name: str, marks: Sequence[Mark] = ()) -> str:
    """Draw the profile, with marks where weights and centres are.

    Parameters
    ----------
    stations : sequence of Mapping
        As the service stores them.
    length_bp_m : float
        Length between perpendiculars [m].
    name : str
        The vessel's name.
    marks : sequence of Mark
        What stands in it.

    Returns
    -------
    str
        SVG, the same scale along and up; the bow is to the right.
    """
    shown = _chosen(stations)
    low, high = _heights(shown)
    xs = [station["x_m"] for station in shown] + [0.0, length_bp_m] + [mark.x_m for mark in marks]
    zs = [low, high] + [mark.z_m for mark in marks if mark.z_m is not None]
    room = 0.03 * (max(xs) - min(xs))
    across = Axis(min(xs) - room, max(xs) + room, _LEFT, _RIGHT)
    metre = (across.end - across.start) / (across.high - across.low)
    bottom, top = min(0.0, *zs) - room, max(zs) + room
    height = int((top - bottom) * metre) + 60
    up = Axis(bottom, top, height - 40, 20)
    drawing = Drawing(_WIDTH, height, f"Profile of the {name}", _told(stations, marks))
    _outline(drawing, shown, across, up)
    _perpendiculars(drawing, length_bp_m, across, up, height)
    for mark in marks:
        _mark(drawing, mark, across, up)
    return drawing.text()


def _told(stations: Stations, marks: Sequence[Mark]) -> str:
    known = ", ".join(
        f"{mark.key} {number(mark.x_m, 1)} m forward of AP"
        + (f" and {number(mark.z_m, 1)} m above base" if mark.z_m is not None else ", height unknown")
        for mark in marks[:12]
    )
    return f"{len(stations)} stations, bow to the right. {known}."


def _chosen(stations: Stations) -> list[Mapping[str, Any]]:
    step = max(1, -(-len(stations) // _MOST_STATIONS))
    return [*stations[:-1:step], stations[-1]]


def _heights(stations: Stations) -> tuple[float, float]:
    heights = [z for station in stations for _, z in station["contour_m"]]
    return min(heights), max(heights)


def _outline(drawing: Drawing, stations: Stations, across: Axis, up: Axis) -> None:
    keel = [(across(s["x_m"]), up(min(z for _, z in s["contour_m"]))) for s in stations]
    deck = [(across(s["x_m"]), up(max(z for _, z in s["contour_m"]))) for s in stations]
    for below, above in itertools.islice(zip(keel, deck, strict=True), 1, len(keel) - 1):
        drawing.line([below, above], colour=RULE, width=0.6)
    drawing.line([*keel, *reversed(deck), keel[0]], width=1.2)


def _perpendiculars(drawing: Drawing, length_bp_m: float, across: Axis, up: Axis, height: int) -> None:
    drawing.line([(across.start, up(0.0)), (across.end, up(0.0))], width=0.6, dash="8 3 2 3")
    for x, letters in ((0.0, "AP"), (length_bp_m, "FP")):
        drawing.line([(across(x), 20), (across(x), height - 36)], width=0.6, dash="8 3 2 3")
        drawing.words(across(x), height - 22, letters, anchor="middle")
    for x in across.ticks(8):
        drawing.words(across(x), height - 6, f"{x:g} m", anchor="middle", size=11, colour="#555555")


def _mark(drawing: Drawing, mark: Mark, across: Axis, up: Axis) -> None:
    colour = ACCENT if mark.alarming else INK
    x = across(mark.x_m)
    ends = [max(across.start, min(across(mark.x_m + sign * mark.half_x_m), across.end)) for sign in (-1, 1)]
    if mark.z_m is None:
        drawing.area([(end, y) for end, y in zip([*ends, *ends[::-1]], [20, 20, up(up.low), up(up.low)], strict=True)])
        drawing.line([(x, 20), (x, up(up.low))], colour=colour, width=1.5, dash="5 3")
        drawing.words(x + 5, 32, mark.key, colour=colour, bold=True)
        return
    y = up(mark.z_m)
    drawing.line([(end, y) for end in ends], colour=colour, width=1.3)
    tall = [max(up.end, min(up(mark.z_m + sign * mark.half_z_m), up.start)) for sign in (-1, 1)]
    drawing.line([(x, end) for end in tall], colour=colour, width=1.3)
    if mark.to is not None:
        drawing.line([(x, y), (across(mark.to[0]), up(mark.to[1]))], colour=colour, width=1, dash="3 3")
        drawing.mark(across(mark.to[0]), up(mark.to[1]), mark.shape, size=3, colour=colour)
    drawing.mark(x, y, mark.shape, size=5, colour=colour)
    drawing.words(x + 8, y - 6, mark.key, colour=colour, bold=True)
