"""A drift as an SVG: mass, LCG and VCG over the years against the baseline, the unsafe side of each limit hatched."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heelwright_client.drift_points import Change, changes, verdicts, worst_share
from heelwright_client.drift_steps import logged_steps
from heelwright_client.svg import ACCENT, INK, Axis, Drawing, Picture, spread
from heelwright_client.svg_plot import (
    SMALL,
    WIDE,
    Names,
    key,
    key_lines,
    level,
    text_width,
    tick_words,
    upright,
    year_ticks,
)
from heelwright_client.units import System
from heelwright_client.words import decimals_for, number

_LEFT, _EDGE, _PANEL, _GAP = 58.0, 20.0, 170.0, 62.0
_FLEET_WIDTH, _TOP, _ROW = 760, 60, 34
_PANELS = (
    ("mass_t", "mass", "heavier", "lighter"),
    ("lcg_m", "LCG", "forward", "aft"),
    ("vcg_m", "VCG", "higher", "lower"),
)
_NAMES = {"mass_t": "mass", "lcg_m": "LCG", "tcg_m": "TCG", "vcg_m": "VCG", "aggregate_t": "aggregate", "gm_m": "GM"}
_SIDES = {"rise": (1,), "fall": (-1,), "absolute": (1, -1)}
_MARKS = {"baseline": "diamond", "inclining-test": "circle", "lightweight-survey": "square"}
_OTHER = "triangle"
_MARK_WORDS = {
    "diamond": "approved baseline", "circle": "inclined", "square": "surveyed", "triangle": "other evidence",
}  # fmt: skip


@dataclass(frozen=True)
class _Panel:
    """One quantity: its names, unit, what was measured, what the log makes of it, limits signed to their side."""

    name: str
    up: str
    down: str
    to_si: float
    symbol: str
    found: Sequence[Change]
    steps: Sequence[tuple[float, float]]
    bounds: Sequence[float]

    def past(self, value: float) -> bool:
        """Tell whether a change lies beyond a limit, on its side."""
        return any(abs(value) > abs(bound) and value * bound > 0 for bound in self.bounds)

    def told(self) -> str:
        """Say where it stands."""
        newest = self.found[-1]
        where = ", beyond a limit" if self.past(newest.value) else ""
        return f"{self.name}: {self.words(newest.value, newest.half_width)} in {newest.year:.0f}{where}"

    def words(self, value: float, half: float = 0.0) -> str:
        """Write a change with its side in words, to the digits that half its interval leaves known."""
        wide = half / self.to_si
        digits = min(3, max(0, decimals_for(wide))) if wide else 2
        return f"{number(abs(value) / self.to_si, digits)} {self.symbol} {self.up if value > 0 else self.down}"


def drift_drawing(drift: Mapping[str, Any], title: str, system: System) -> str:
    """Draw the drift of one vessel as a file of its own, its title written above.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.
    title : str
        What the drawing is called.
    system : System
        Display units.

    Returns
    -------
    str
        SVG with a panel for each quantity that was measured.
    """
    return _picture(_panels(drift, system, ()), title, WIDE, heading=True).svg


def drift_picture(
    drift: Mapping[str, Any],
    title: str,
    system: System,
    width: int = WIDE,
    alterations: Sequence[Mapping[str, Any]] = (),
) -> Picture:
    """Draw the drift of one vessel for a page, which has a heading and a caption of its own.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.
    title : str
        What the drawing is called.
    system : System
        Display units.
    width : int
        Of the drawing [px].
    alterations : sequence of Mapping
        Those in force, drawn as steps.

    Returns
    -------
    Picture
        A panel for each quantity that was measured, and what explains it.
    """
    return _picture(_panels(drift, system, alterations), title, width, heading=False)


def _panels(drift: Mapping[str, Any], system: System, alterations: Sequence[Mapping[str, Any]]) -> list[_Panel]:
    read = [_read(drift, each, system, alterations) for each in _PANELS]
    return [panel for panel in read if len(panel.found) > 1]


def _picture(panels: Sequence[_Panel], title: str, width: int, *, heading: bool) -> Picture:
    years = [at for panel in panels for at in (*(c.year for c in panel.found), *(year for year, _ in panel.steps))]
    low, high = min(years, default=2000.0), max(years, default=2001.0)
    across = Axis(math.floor(low), math.ceil(high + 0.01), _LEFT, width - _EDGE)
    entries = _key_entries(panels)
    head = 34.0 if heading else 6.0
    first = head + 17 * len(key_lines(entries, width - 12)) + 32
    height = int(first + len(panels) * (_PANEL + _GAP) - _GAP + 26)
    told = "; ".join(panel.told() for panel in panels)
    drawing = Drawing(width, height, title, f"Change against the approved baseline, 95 % intervals. {told}.")
    if heading:
        drawing.words(_LEFT, 22, title, size=16, bold=True)
    key(drawing, entries, 6, head, width - 12)
    _notes(drawing, panels)
    for order, panel in enumerate(panels):
        _draw(drawing, panel, across, first + order * (_PANEL + _GAP))
    return drawing.picture()


def _notes(drawing: Drawing, panels: Sequence[_Panel]) -> None:
    """Explain what is in the panels, and nothing that is not."""
    *most, last = [panel.name for panel in panels] or ["nothing"]
    drawing.note(f"Change of {' and '.join([', '.join(most), last]) if most else last} against the approved lightship.")
    found = [change for panel in panels for change in panel.found]
    if any(change.half_width for change in found):
        drawing.note("Upright lines with caps: the 95 % interval.")
    if any(panel.past(change.value) for panel in panels for change in panel.found):
        drawing.note("Filled marks: past a limit.")
    if any(panel.bounds for panel in panels):
        drawing.note("Long dashes: a limit; hatched: past it.")
    if any(panel.steps for panel in panels):
        drawing.note("Short dashes in steps: what the logged alterations alone would have made of her.")


def _key_entries(panels: Sequence[_Panel]) -> list[tuple[str, str]]:
    shapes = dict.fromkeys(_MARKS.get(change.basis, _OTHER) for panel in panels for change in panel.found)
    entries = [(shape, _MARK_WORDS[shape]) for shape in shapes]
    return entries + ([("line", "by the log of alterations")] if any(panel.steps for panel in panels) else [])


def _read(
    drift: Mapping[str, Any],
    panel: tuple[str, str, str, str],
    system: System,
    alterations: Sequence[Mapping[str, Any]],
) -> _Panel:
    quantity, name, up, down = panel
    unit = system.unit("mass" if quantity.endswith("_t") else "length")
    baseline = drift.get("baseline")
    steps = logged_steps(baseline, alterations, quantity) if baseline else []
    bounds = _bounds(drift, quantity)
    return _Panel(name, up, down, unit.to_si, unit.symbol, changes(drift, quantity), steps, bounds)


def _bounds(drift: Mapping[str, Any], quantity: str) -> list[float]:
    """The limits of a quantity, each signed to the side on which it is unsafe."""
    found = {
        sign * float(verdict["limit"])
        for verdict in verdicts(drift)
        if verdict["quantity"] == quantity and verdict["limit"]
        for sign in _SIDES.get(str(verdict.get("direction")), (1, -1))
    }
    return sorted(found, key=abs)


def _draw(drawing: Drawing, panel: _Panel, across: Axis, top: float) -> None:
    ends = [(c.value + sign * c.half_width) / panel.to_si for c in panel.found for sign in (-1, 1)]
    values = [*ends, *(value / panel.to_si for _, value in panel.steps)]
    low, high = spread([0.0, *values, *(bound / panel.to_si for bound in panel.bounds)], 0.12)
    up = Axis(low, high, top + _PANEL, top)
    _hatch(drawing, panel, across, up)
    upright(drawing, up, across.start, across.end, tick_words(up.ticks(7)))
    level(drawing, across, up.start, up.end, year_ticks(across, 12 if across.end > 600 else 5))
    drawing.line([(across.start, up(0)), (across.end, up(0))], width=1)
    drawing.words(4, top - 10, f"change of {panel.name}, {panel.symbol}", size=SMALL, bold=True)
    drawing.words(across.end, top - 10, f"↑ {panel.up}   ↓ {panel.down}", size=SMALL, anchor="end")
    names = Names(drawing, (across.start + 2, up.end, across.end, up.start))
    _steps(drawing, panel, across, up, names)
    _limits(drawing, panel, across, up, names)
    _changes(drawing, panel, across, up, names)
    _names(drawing, panel, across, up, names)


def _hatch(drawing: Drawing, panel: _Panel, across: Axis, up: Axis) -> None:
    for sign, far in ((1, up.end), (-1, up.start)):
        bound = min((abs(bound) for bound in panel.bounds if bound * sign > 0), default=None)
        if bound is not None:
            edge = up(sign * bound / panel.to_si)
            drawing.area([(across.start, edge), (across.end, edge), (across.end, far), (across.start, far)])


def _steps(drawing: Drawing, panel: _Panel, across: Axis, up: Axis, names: Names) -> None:
    if not panel.steps:
        return
    points = [(across(panel.found[0].year), up(0.0))]
    for year, value in panel.steps:
        points += [(across(year), points[-1][1]), (across(year), up(value / panel.to_si))]
    points.append((across.end, points[-1][1]))
    drawing.line(points, width=1.2, dash="4 2")
    names.keep_line_free(points)


def _changes(drawing: Drawing, panel: _Panel, across: Axis, up: Axis, names: Names) -> None:
    line = [(across(c.year), up(c.value / panel.to_si)) for c in panel.found]
    drawing.line(line, width=0.8)
    names.keep_line_free(line)
    for change in panel.found:
        x, half, value = across(change.year), change.half_width / panel.to_si, change.value / panel.to_si
        colour, past = (ACCENT, True) if panel.past(change.value) else (INK, False)
        ends = [(x, up(value - half)), (x, up(value + half))]
        drawing.line(ends, width=1.6, colour=colour)
        names.keep_line_free(ends)
        for end in (value - half, value + half):
            drawing.line([(x - 4, up(end)), (x + 4, up(end))], width=1.4, colour=colour)
            names.keep_free(x, up(end), 5)
        drawing.mark(x, up(value), _MARKS.get(change.basis, _OTHER), colour=colour, filled=past)
        names.keep_free(x, up(value), 6)


def _limits(drawing: Drawing, panel: _Panel, across: Axis, up: Axis, names: Names) -> None:
    for bound in panel.bounds:
        y = up(bound / panel.to_si)
        drawing.line([(across.start, y), (across.end, y)], dash="7 3", width=1.2)
        names.keep_line_free([(across.start, y), (across.end, y)])


def _names(drawing: Drawing, panel: _Panel, across: Axis, up: Axis, names: Names) -> None:
    """The newest change in words, and each limit at its line, where it can be where nothing runs through the words."""
    newest = panel.found[-1]
    colour = ACCENT if panel.past(newest.value) else INK
    words = panel.words(newest.value, newest.half_width)
    names.put(across(newest.year), up(newest.value / panel.to_si), words, away=10, bold=True, colour=colour)
    for bound in panel.bounds:
        told = f"limit {panel.words(bound)}"
        brief = told.rpartition(" ")[0]
        y = up(bound / panel.to_si)
        for words, over in ((told, False), (brief, False), (told, True), (brief, True)):
            free = across.end - across.start - text_width(words) - 8
            lefts = [across.start + 4 + part * free / 20 for part in range(21)]
            if names.put_at([(left, base) for base in (y - 5, y + 14) for left in lefts], words, over=over):
                break
        else:
            drawing.note(f"One line has no room for its words: {told}.")


def fleet_drawing(vessels: Sequence[tuple[str, Mapping[str, Any]]], title: str) -> str:
    """Draw the gravest verdict of every vessel as a bar on one scale: its change as a part of its limit.

    Parameters
    ----------
    vessels : sequence of (str, Mapping)
        Name and drift of each vessel, in the order to show.
    title : str
        Heading.

    Returns
    -------
    str
        SVG.
    """
    judged = [(name, verdicts(drift)) for name, drift in vessels]
    reach = max([1.3, *(1.15 * worst_share(found) for _, found in judged)])
    across = Axis(0.0, reach, 230.0, 640.0)
    height = _TOP + 30 + _ROW * len(judged)
    drawing = Drawing(_FLEET_WIDTH, height, title, f"{len(judged)} vessels, the gravest first; the limit is at 100 %.")
    drawing.words(20, 28, title, size=16, bold=True)
    drawing.words(20, 46, "largest change as a part of its limit, with 95 % interval; hatched: beyond the limit")
    drawing.area([(across(1), _TOP), (640, _TOP), (640, height - 30), (across(1), height - 30)])
    for share in across.ticks(5):
        drawing.words(across(share), height - 12, f"{100 * share:.0f} %", anchor="middle")
    for order, (name, found) in enumerate(judged):
        _fleet_row(drawing, name, found, across, _TOP + _ROW * order + _ROW / 2)
    drawing.line([(across(1), _TOP), (across(1), height - 30)], width=1.5)
    return drawing.text()


def _fleet_row(drawing: Drawing, name: str, found: Sequence[Mapping[str, Any]], across: Axis, y: float) -> None:
    drawing.words(20, y + 4, name)
    limited = [verdict for verdict in found if verdict["limit"]]
    if not limited:
        drawing.words(across(0), y + 4, "no evidence to judge", colour="#555555")
        return
    worst = max(limited, key=lambda verdict: abs(verdict["value"]) / verdict["limit"])
    share = abs(worst["value"]) / worst["limit"]
    half = 1.96 * float(worst.get("standard") or 0.0) / worst["limit"]
    ends = [max(across.low, share - half), min(across.high, share + half)]
    drawing.line([(across(end), y) for end in ends], width=1.6)
    drawing.mark(across(share), y, "circle", colour=ACCENT if share > 1 else INK)
    drawing.words(650, y + 4, f"{_NAMES.get(worst['quantity'], worst['quantity'])}, {worst['measured']}", size=11)
