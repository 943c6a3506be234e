"""A hull from its stations: body plan, and profile with what stands in it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_client.svg import ACCENT, INK, RULE, Axis, Drawing
from heelwright_client.svg_plot import SMALL, SOFT, WIDE, Names, level, tick_words, upright
from heelwright_client.words import number

_MOST_STATIONS = 41
_LEFT, _EDGE, _HEAD, _BELOW = 40.0, 16.0, 46.0, 42
_BODY_WIDTH, _BODY_HIGH = 440, 320.0


@dataclass(frozen=True)
class Mark:
    """Something in the profile: place [m], None where unknown, half widths of its 95 % interval, shape, words."""

    key: str
    x_m: float
    z_m: float | None
    shape: str
    half_x_m: float = 0.0
    half_z_m: float = 0.0
    alarming: bool = False
    to: tuple[float, float] | None = None
    words: str = ""

    def label(self) -> str:
        """Return what is written beside it.

        Returns
        -------
        str
            Its letter and words.
        """
        return f"{self.key} {self.words}".strip()


Stations = Sequence[Mapping[str, Any]]


def body_plan(stations: Stations, length_bp_m: float, name: str, width: int = _BODY_WIDTH) -> str:
    """Draw the body plan: the aft body to the left, the fore body to the right.

    Parameters
    ----------
    stations : sequence of Mapping
        As the service stores them.
    length_bp_m : float
        Length between perpendiculars [m].
    name : str
        The vessel's name.
    width : int
        The most that the drawing may be wide [px].

    Returns
    -------
    str
        SVG, the same scale across and up; each contour carries its place forward of the aft perpendicular.
    """
    shown = _chosen(stations)
    half = max(abs(y) for station in shown for y, _ in station["contour_m"])
    low, high = min(0.0, _heights(shown)[0]), _heights(shown)[1]
    width = min(width, _BODY_WIDTH)
    scale = min((width - _LEFT - _EDGE) / (2.1 * half), _BODY_HIGH / (high - low))
    width = max(int(2.1 * half * scale + _LEFT + _EDGE), 240)
    middle, top = (_LEFT + width - _EDGE) / 2, 44.0
    across = Axis(-1.05 * half, 1.05 * half, middle - 1.05 * half * scale, middle + 1.05 * half * scale)
    up = Axis(low, high, top + (high - low) * scale, top)
    told = f"{len(stations)} stations; greatest breadth {number(2 * half, 2)} m, {number(high - low, 2)} m high."
    drawing = Drawing(width, int(up.start) + _BELOW + 4, f"Body plan of the {name}", told)
    level(drawing, across, up.start, up.end, tick_words(across.ticks(7)))
    upright(drawing, up, across.start, across.end, tick_words(up.ticks(7), signed=True))
    drawing.line([(across.start, up(0.0)), (across.end, up(0.0))], width=1.2)
    drawing.line([(across(0), up(low)), (across(0), up.end - 8)], width=0.8, dash="8 3 2 3")
    _contours(drawing, shown, length_bp_m, across, up)
    drawing.words(4, 14, "above baseline, m", size=SMALL)
    drawing.words(across.end, 14, "numbers: m forward of AP", size=SMALL, anchor="end", colour=SOFT)
    drawing.words(across.start, up.start + 34, "← aft body", size=SMALL)
    drawing.words(middle, up.start + 34, "half breadth, m", size=SMALL, anchor="middle")
    drawing.words(across.end, up.start + 34, "fore body →", size=SMALL, anchor="end")
    return drawing.text()


def _contours(drawing: Drawing, shown: Stations, length_bp_m: float, across: Axis, up: Axis) -> None:
    ends = []
    for station in shown:
        aft = station["x_m"] < length_bp_m / 2
        contour = station.get("port_contour_m") if aft else None
        points = contour or [(-y if aft else y, z) for y, z in station["contour_m"]]
        drawing.line([(across(y), up(z)) for y, z in points], width=1.1)
        y, z = max(points, key=lambda point: float(point[1]))
        ends.append((across(y), up(z), f"{station['x_m']:.3g}"))
    names = Names(drawing, (across.start - 2, 18, across.end + 12, up.end + 8))
    for x, y, words in sorted(ends, key=lambda end: abs(end[0] - across(0))):
        names.put(x, y, words, away=5, near=True)


def profile(stations: Stations, length_bp_m: float, name: str, marks: Sequence[Mark] = (), width: int = WIDE) -> str:
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
    width : int
        Of the drawing [px].

    Returns
    -------
    str
        SVG, the same scale along and up; the bow is to the right.
    """
    shown = _chosen(stations)
    low, high = _heights(shown)
    xs = [station["x_m"] for station in shown] + [0.0, length_bp_m] + [mark.x_m for mark in marks]
    zs = [0.0, low, high] + [mark.z_m for mark in marks if mark.z_m is not None]
    room = 0.03 * (max(xs) - min(xs))
    across = Axis(min(xs) - room, max(xs) + room, _LEFT, width - _EDGE)
    metre = (across.end - across.start) / (across.high - across.low)
    bottom, top = min(zs) - 0.5 * room, max(zs) + 0.5 * room
    head = _HEAD + (0.0 if width >= WIDE else 14.0 * min(len(marks), 3))
    up = Axis(bottom, top, head + (top - bottom) * metre, head)
    drawing = Drawing(width, int(up.start) + _BELOW, f"Profile of the {name}", _told(stations, marks))
    level(drawing, across, up.start, up.end, tick_words(across.ticks(12 if width >= WIDE else 6), signed=True))
    upright(drawing, up, across.start, across.end, tick_words(up.ticks(max(2, int((top - bottom) * metre / 22)))))
    names = Names(drawing, (4, 18, across.end + 12, up.start))
    names.keep_line_free(_outline(drawing, shown, across, up))
    _perpendiculars(drawing, length_bp_m, across, up, names)
    _marks(drawing, marks, across, up, names)
    return drawing.text()


def _told(stations: Stations, marks: Sequence[Mark]) -> str:
    known = "; ".join(
        f"{mark.label()}, {number(mark.x_m, 1)} m forward of AP"
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


def _outline(drawing: Drawing, stations: Stations, across: Axis, up: Axis) -> list[tuple[float, float]]:
    keel = [(across(s["x_m"]), up(min(z for _, z in s["contour_m"]))) for s in stations]
    deck = [(across(s["x_m"]), up(max(z for _, z in s["contour_m"]))) for s in stations]
    for below, above in itertools.islice(zip(keel, deck, strict=True), 1, len(keel) - 1):
        drawing.line([below, above], colour=RULE, width=0.7)
    drawing.line([*keel, *reversed(deck), keel[0]], width=1.4)
    return deck


def _perpendiculars(drawing: Drawing, length_bp_m: float, across: Axis, up: Axis, names: Names) -> None:
    drawing.line([(across.start, up(0.0)), (across.end, up(0.0))], width=0.8, dash="8 3 2 3")
    for x, letters in ((0.0, "AP"), (length_bp_m, "FP")):
        drawing.line([(across(x), up.end - 8), (across(x), up.start)], width=0.8, dash="8 3 2 3")
        drawing.words(across(x), up.end - 11, letters, anchor="middle", size=SMALL)
        names.keep_free(across(x), up.end - 14, 9)
    drawing.words(4, 14, "above baseline, m", size=SMALL)
    drawing.words(across.start, up.start + 33, "forward of AP, m", size=SMALL)
    drawing.words(across.end, up.start + 33, "bow →", size=SMALL, anchor="end")


def _marks(drawing: Drawing, marks: Sequence[Mark], across: Axis, up: Axis, names: Names) -> None:
    for mark in marks:
        if mark.z_m is None:
            _band(drawing, mark, across, up)
            names.keep_line_free([(across(mark.x_m), up.end - 4), (across(mark.x_m), up.start)])
    for mark in marks:
        if mark.z_m is not None:
            _cross(drawing, mark, mark.z_m, across, up)
            names.keep_free(across(mark.x_m), up(mark.z_m), 6)
    for mark in marks:
        colour = ACCENT if mark.alarming else INK
        y = up.end - 4 if mark.z_m is None else up(mark.z_m)
        names.put(across(mark.x_m), y, mark.label(), away=9, bold=True, colour=colour)


def _band(drawing: Drawing, mark: Mark, across: Axis, up: Axis) -> None:
    """Where something is along, its height unknown: its interval hatched over the whole height."""
    ends = [max(across.start, min(across(mark.x_m + sign * mark.half_x_m), across.end)) for sign in (-1, 1)]
    drawing.area([(ends[0], up.end), (ends[1], up.end), (ends[1], up.start), (ends[0], up.start)])
    colour, x = ACCENT if mark.alarming else INK, across(mark.x_m)
    drawing.line([(x, up.end - 4), (x, up.start)], colour=colour, width=1.6, dash="5 3")


def _cross(drawing: Drawing, mark: Mark, height: float, across: Axis, up: Axis) -> None:
    """A mark with its intervals along and up, and where it was moved to."""
    colour, x, y = ACCENT if mark.alarming else INK, across(mark.x_m), up(height)
    ends = [max(across.start, min(across(mark.x_m + sign * mark.half_x_m), across.end)) for sign in (-1, 1)]
    tall = [max(up.end, min(up(height + sign * mark.half_z_m), up.start)) for sign in (-1, 1)]
    drawing.line([(end, y) for end in ends], colour=colour, width=1.4)
    drawing.line([(x, end) for end in tall], colour=colour, width=1.4)
    if mark.to is not None:
        there = (across(mark.to[0]), up(mark.to[1]))
        drawing.line([(x, y), there], colour=colour, width=1, dash="3 3")
        drawing.mark(*there, mark.shape, size=3, colour=colour)
    drawing.mark(x, y, mark.shape, size=5, colour=colour)
