"""The body plan: every contour on one centreline, with where it stands along the ship."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_client.svg import Axis, Drawing, Picture
from heelwright_client.svg_plot import SMALL, SOFT, in_unit, level, text_width, tick_words, upright
from heelwright_client.web.drawings.hull import Stations, chosen, count_words, heights
from heelwright_client.web.wording import Say

_LEFT, _EDGE, _TOP, _BELOW = 44.0, 16.0, 64.0, 46
_MOST_WIDE, _LEAST_WIDE, _MOST_HIGH = 440, 316, 320.0
_ROWS, _ROW, _TICK_PX = 3, 13.0, 24.0
_SAME_PX = 2.0


@dataclass(frozen=True)
class _End:
    """The upper end of contours that end alike [px], and the places of the first and the last of them [m]."""

    x: float
    y: float
    first_m: float
    last_m: float


def body_plan(stations: Stations, length_bp_m: float, name: str, say: Say, width: int = _MOST_WIDE) -> Picture:
    """Draw the body plan: the aft body to the left, the fore body to the right.

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
    width : int
        The most that the drawing may be wide [px].

    Returns
    -------
    Picture
        The same scale across and up; contours carry their places forward of the aft perpendicular.
    """
    shown, unit = chosen(stations), say.system.unit("length")
    half = max(abs(y) for station in shown for y, _ in station["contour_m"]) or 1.0
    low, high = min(0.0, heights(shown)[0]), max(heights(shown)[1], 0.1 * half)
    width = min(width, _MOST_WIDE)
    scale = min((width - _LEFT - _EDGE) / (2.1 * half), _MOST_HIGH / (high - low))
    width = max(int(2.1 * half * scale + _LEFT + _EDGE), _LEAST_WIDE)
    reach = (width - _LEFT - _EDGE) / 2 / scale
    across = Axis(-reach, reach, _LEFT, width - _EDGE)
    up = Axis(low, high, _TOP + (high - low) * scale, _TOP)
    drawing = Drawing(width, int(up.start) + _BELOW, f"Body plan of the {name}", _told(stations, 2 * half, say))
    level(drawing, in_unit(across, unit), up.start, up.end, tick_words(in_unit(across, unit).ticks(7)))
    rows = max(1, int((up.start - up.end) / _TICK_PX))
    upright(
        drawing, in_unit(up, unit), across.start, across.end, tick_words(in_unit(up, unit).ticks(rows), signed=True)
    )
    drawing.line([(across(0), up(low)), (across(0), up.end - 4)], width=0.8, dash="8 3 2 3")
    drawing.note(f"Body plan of {count_words(stations)} stations: aft body to the left, fore body to the right.")
    drawing.note("Dash and dot: centreline.")
    _titles(drawing, across, up, unit.symbol)
    _places(drawing, _contours(drawing, shown, length_bp_m, across, up), across(0), say)
    return drawing.picture()


def _told(stations: Stations, breadth_m: float, say: Say) -> str:
    low, high = heights(stations)
    tall = say.length(high - low, decimals=2)
    return f"{len(stations)} stations; greatest breadth {say.length(breadth_m, decimals=2)}, {tall} high."


def _titles(drawing: Drawing, across: Axis, up: Axis, symbol: str) -> None:
    drawing.words(4, 14, f"above baseline, {symbol}", size=SMALL)
    drawing.words(across.end, 14, f"numbers: {symbol} forward of AP", size=SMALL, anchor="end", colour=SOFT)
    y = up.start + 34
    drawing.words(across.start, y, "← aft body", size=SMALL)
    drawing.words(across(0), y, f"half breadth, {symbol}", size=SMALL, anchor="middle")
    drawing.words(across.end, y, "fore body →", size=SMALL, anchor="end")


def _contours(drawing: Drawing, shown: Stations, length_bp_m: float, across: Axis, up: Axis) -> list[_End]:
    """Draw them; contours next to each other that end at one spot share an end."""
    ends: list[_End] = []
    for aft, each in itertools.groupby(shown, lambda station: bool(station["x_m"] < length_bp_m / 2)):
        mine: list[_End] = []
        for station in each:
            contour = station.get("port_contour_m") if aft else None
            points = contour or [(-y if aft else y, z) for y, z in station["contour_m"]]
            drawing.line([(across(y), up(z)) for y, z in points], width=1.1)
            y, z = max(points, key=lambda point: float(point[1]))
            at = _End(across(y), up(z), station["x_m"], station["x_m"])
            last = mine[-1] if mine else None
            if last and abs(last.x - at.x) <= _SAME_PX and abs(last.y - at.y) <= _SAME_PX:
                mine[-1] = _End(last.x, last.y, last.first_m, at.last_m)
            else:
                mine.append(at)
        ends += mine
    return ends


def _places(drawing: Drawing, ends: Sequence[_End], middle: float, say: Say) -> None:
    """Numbers in rows above the deck, each on a thin line from its contour: the broadest on top, others from inside."""
    boxes: list[tuple[float, int, float]] = []
    leads: list[tuple[float, int]] = []
    left_out = ranged = False
    broadest = {min(ends, key=lambda end: end.x), max(ends, key=lambda end: end.x)}
    for end in sorted(ends, key=lambda end: (end not in broadest, abs(end.x - middle))):
        words = _place_words(end, say)
        half = text_width(words) / 2
        x = min(max(end.x, half + 2), drawing.width - half - 2)
        rows = range(_ROWS)[::-1] if end in broadest else range(_ROWS)
        row = next((row for row in rows if _fits(x, half, end.x, row, boxes, leads)), None)
        if row is None:
            left_out = True
            continue
        y = _TOP - 8 - _ROW * row
        drawing.line([(end.x, end.y - 1), (end.x, y + 3)], colour=SOFT, width=0.6)
        drawing.words(x, y, words, size=SMALL, anchor="middle")
        boxes.append((x - half, row, x + half))
        leads.append((end.x, row))
        ranged = ranged or end.first_m != end.last_m
    if ranged:
        drawing.note("Two numbers: all contours between them end alike.")
    if left_out:
        drawing.note("Where contours crowd, some have no number; the table has all.")


def _fits(
    x: float,
    half: float,
    lead: float,
    row: int,
    boxes: Sequence[tuple[float, int, float]],
    leads: Sequence[tuple[float, int]],
) -> bool:
    """Whether words stand free of others, their line crosses no words below, and no line crosses them."""
    free = all(x + half + 3 <= left or right + 3 <= x - half for left, at, right in boxes if at == row)
    clear = all(lead <= left - 1 or lead >= right + 1 for left, at, right in boxes if at < row)
    return free and clear and all(at <= x - half - 1 or at >= x + half + 1 for at, above in leads if above > row)


def _place_words(end: _End, say: Say) -> str:
    first, last = (say.bare(place, "length", 1).removesuffix(".0") for place in (end.first_m, end.last_m))
    return first if first == last else f"{first} to {last}"
