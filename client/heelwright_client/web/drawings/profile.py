"""The profile: keel and deck line over the length, with what stands in it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from heelwright_client.svg import RULE, Axis, Drawing, Picture
from heelwright_client.svg_plot import SMALL, WIDE, Names, in_unit, level, tick_words, upright
from heelwright_client.web.drawings.hull import Stations, chosen, count_words, heights
from heelwright_client.web.drawings.marks import Mark, draw_marks
from heelwright_client.web.wording import Say

_LEFT, _EDGE, _HEAD, _BELOW = 44.0, 16.0, 46.0, 42
_TICK_PX = 22.0
_FARTHEST_ALONG, _FARTHEST_UP, _FARTHEST_DOWN = 0.3, 0.3, 0.1


def profile(
    stations: Stations, length_bp_m: float, name: str, say: Say, marks: Sequence[Mark] = (), width: int = WIDE
) -> Picture:
    """Draw the profile, with marks where weights and centres are.

    Parameters
    ----------
    stations : sequence of Mapping
        As the service stores them.
    length_bp_m : float
        Length between perpendiculars [m].
    name : str
        The vessel's name.
    say : Say
        The visitor's words and units.
    marks : sequence of Mark
        What stands in it, those first whose names matter most.
    width : int
        Of the drawing [px].

    Returns
    -------
    Picture
        The same scale along and up; the bow is to the right. A mark far off the ship is an arrow at the border.
    """
    shown, unit = chosen(stations), say.system.unit("length")
    across, up = _frame(shown, length_bp_m, marks, width)
    drawing = Drawing(width, int(up.start) + _BELOW, f"Profile of the {name}", _told(stations, marks, say))
    along, above = in_unit(across, unit), in_unit(up, unit)
    level(
        drawing, along, up.start, up.end, tick_words(along.ticks(12 if width >= WIDE else 6), signed=True), lines=False
    )
    rows = max(2, int((up.start - up.end) / _TICK_PX))
    upright(drawing, above, across.start, across.end, tick_words(above.ticks(rows), signed=True))
    names = Names(drawing, (across.start + 1, 18, width - 2, up.start - 1))
    drawing.note(f"Profile from {count_words(stations)} stations (thin uprights), one scale along and up.")
    names.keep_line_free(_outline(drawing, shown, across, up))
    _perpendiculars(drawing, length_bp_m, across, up, names, unit.symbol)
    draw_marks(drawing, marks, across, up, names)
    return drawing.picture()


def _frame(shown: Stations, length_bp_m: float, marks: Sequence[Mark], width: int) -> tuple[Axis, Axis]:
    """The ship and her marks, but no farther off her than a part of her length, so that she stays to be seen."""
    low, high = heights(shown)
    ends = [station["x_m"] for station in shown] + [0.0, length_bp_m]
    aft, fore, long = min(ends), max(ends), (max(ends) - min(ends)) or 1.0
    spots = [(mark.x_m, mark.z_m) for mark in marks] + [mark.to for mark in marks if mark.to]
    xs = [min(max(x, aft - _FARTHEST_ALONG * long), fore + _FARTHEST_ALONG * long) for x, _ in spots]
    floor, roof = min(0.0, low) - _FARTHEST_DOWN * long, max(0.0, high) + _FARTHEST_UP * long
    zs = [0.0, low, high, *(min(max(z, floor), roof) for _, z in spots if z is not None)]
    room = 0.03 * (max([*ends, *xs]) - min([*ends, *xs]))
    across = Axis(min([*ends, *xs]) - room, max([*ends, *xs]) + room, _LEFT, width - _EDGE)
    metre = (across.end - across.start) / (across.high - across.low)
    bottom, top = min(zs) - 0.5 * room, max(zs) + 0.5 * room
    head = _HEAD + (0.0 if width >= WIDE else 14.0 * min(len(marks), 3))
    return across, Axis(bottom, top, head + (top - bottom) * metre, head)


def _told(stations: Stations, marks: Sequence[Mark], say: Say) -> str:
    told = [f"{mark.label()}, {say.station(mark.x_m, decimals=1)}, {_height_words(mark, say)}" for mark in marks[:12]]
    more = [f"{len(marks) - 12} more in the tables"] if len(marks) > 12 else []
    return (
        ". ".join([f"{len(stations)} stations, bow to the right", *(["; ".join([*told, *more])] if told else [])]) + "."
    )


def _height_words(mark: Mark, say: Say) -> str:
    if mark.z_m is None:
        return "height unknown"
    return f"{say.length(abs(mark.z_m), decimals=1)} {'below' if mark.z_m < 0 else 'above'} base"


def _outline(drawing: Drawing, stations: Stations, across: Axis, up: Axis) -> list[tuple[float, float]]:
    keel = [(across(s["x_m"]), up(min(z for _, z in s["contour_m"]))) for s in stations]
    deck = [(across(s["x_m"]), up(max(z for _, z in s["contour_m"]))) for s in stations]
    for below, above in itertools.islice(zip(keel, deck, strict=True), 1, len(keel) - 1):
        drawing.line([below, above], colour=RULE, width=0.7)
    drawing.line([*keel, *reversed(deck), keel[0]], width=1.4)
    return deck


def _perpendiculars(drawing: Drawing, length_bp_m: float, across: Axis, up: Axis, names: Names, symbol: str) -> None:
    drawing.line([(across.start, up(0.0)), (across.end, up(0.0))], width=0.8, dash="8 3 2 3")
    for x, letters in ((0.0, "AP"), (length_bp_m, "FP")):
        drawing.line([(across(x), up.end - 8), (across(x), up.start)], width=0.8, dash="8 3 2 3")
        drawing.words(across(x), up.end - 11, letters, anchor="middle", size=SMALL)
        names.keep_free(across(x), up.end - 15, 9)
    drawing.note("Dash and dot: baseline, aft and forward perpendicular (AP, FP).")
    drawing.words(4, 14, f"above baseline, {symbol}", size=SMALL)
    drawing.words(across.start, up.start + 33, f"forward of AP, {symbol}", size=SMALL)
    drawing.words(across.end, up.start + 33, "bow →", size=SMALL, anchor="end")
