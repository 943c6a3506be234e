"""A drift as an SVG: mass, LCG and VCG over the years against the baseline, the ground beyond the limits hatched."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.drift_points import Change, changes, limits, verdicts, worst_share
from heelwright_client.svg import ACCENT, RULE, Axis, Drawing, spread
from heelwright_client.units import System
from heelwright_client.words import number

_WIDTH, _LEFT, _RIGHT = 760, 110, 720
_PANEL, _GAP, _TOP = 150, 40, 60
_PANELS = (
    ("mass_t", "mass", "heavier", "lighter"),
    ("lcg_m", "LCG", "forward", "aft"),
    ("vcg_m", "VCG", "higher", "lower"),
)
_NAMES = {"mass_t": "mass", "lcg_m": "LCG", "tcg_m": "TCG", "vcg_m": "VCG", "aggregate_t": "aggregate", "gm_m": "GM"}
_ROW = 34


def drift_drawing(drift: Mapping[str, Any], title: str, system: System) -> str:
    """Draw the drift of one vessel.

    Parameters
    ----------
    drift : Mapping
        A drift as the service gives it.
    title : str
        Heading.
    system : System
        Display units.

    Returns
    -------
    str
        SVG with a panel for each quantity that was measured.
    """
    shown = [(panel, changes(drift, panel[0])) for panel in _PANELS]
    shown = [(panel, found) for panel, found in shown if len(found) > 1]
    years = [change.year for _, found in shown for change in found] or [2000.0, 2001.0]
    across = Axis(math.floor(min(years)), math.ceil(max(years) + 0.01), _LEFT, _RIGHT)
    height = _TOP + len(shown) * (_PANEL + _GAP) + 20
    told = "; ".join(f"{panel[1]}: {_last(found, panel, system)}" for panel, found in shown)
    drawing = Drawing(_WIDTH, height, title, f"Change against the approved baseline. {told}.")
    drawing.words(_LEFT, 28, title, size=16, bold=True)
    drawing.words(_LEFT, 46, "change against the approved baseline, 95 % intervals; hatched: beyond a limit")
    for order, (panel, found) in enumerate(shown):
        top = _TOP + 10 + order * (_PANEL + _GAP)
        _panel(drawing, panel, found, limits(drift, panel[0]), across, top, system)
    return drawing.text()


def _scale(name: str, system: System) -> tuple[float, str]:
    unit = system.unit("mass" if name.endswith("_t") else "length")
    return unit.to_si, unit.symbol


def _last(found: Sequence[Change], panel: tuple[str, str, str, str], system: System) -> str:
    to_si, symbol = _scale(panel[0], system)
    value = found[-1].value / to_si
    return f"{number(abs(value), 2)} {symbol} {panel[2] if value > 0 else panel[3]} in {found[-1].year:.0f}"


def _panel(
    drawing: Drawing,
    panel: tuple[str, str, str, str],
    found: Sequence[Change],
    allowed: Sequence[float],
    across: Axis,
    top: float,
    system: System,
) -> None:
    to_si, symbol = _scale(panel[0], system)
    ends = [(c.value + sign * c.half_width) / to_si for c in found for sign in (-1, 1)]
    marks = [sign * limit / to_si for limit in allowed for sign in (-1, 1)]
    low, high = spread([0.0, *ends, *marks])
    up = Axis(low, high, top + _PANEL, top)
    if allowed:
        _hatch(drawing, up, min(allowed) / to_si, top)
    for limit in marks:
        drawing.line([(_LEFT, up(limit)), (_RIGHT, up(limit))], dash="5 3")
    _frame(drawing, panel, symbol, across, up, top)
    drawing.line([(across(c.year), up(c.value / to_si)) for c in found], width=0.8)
    for change in found:
        x, half = across(change.year), change.half_width / to_si
        value = change.value / to_si
        drawing.line([(x, up(value - half)), (x, up(value + half))], width=1.6)
        past = bool(allowed) and abs(change.value) > min(allowed)
        drawing.mark(
            x, up(value), "diamond" if change.basis == "baseline" else "circle", colour=ACCENT if past else "#1a1a1a"
        )


def _hatch(drawing: Drawing, up: Axis, limit: float, top: float) -> None:
    for edge, far in ((limit, top), (-limit, top + _PANEL)):
        drawing.area([(_LEFT, up(edge)), (_RIGHT, up(edge)), (_RIGHT, far), (_LEFT, far)])


def _frame(drawing: Drawing, panel: tuple[str, str, str, str], symbol: str, across: Axis, up: Axis, top: float) -> None:
    drawing.line([(_LEFT, up(0)), (_RIGHT, up(0))])
    for value in up.ticks(4):
        drawing.words(_LEFT - 8, up(value) + 4, f"{abs(value):g}", anchor="end")
        drawing.line([(_LEFT - 4, up(value)), (_LEFT, up(value))], colour=RULE)
    for year in across.ticks(6):
        if year == int(year):
            drawing.words(across(year), top + _PANEL + 16, f"{year:.0f}", anchor="middle")
            drawing.line([(across(year), top + _PANEL), (across(year), top + _PANEL + 4)], colour=RULE)
    drawing.words(8, top + 14, f"{panel[1]}, {symbol}", bold=True)
    drawing.words(8, top + 34, f"up: {panel[2]}", size=11)
    drawing.words(8, top + 48, f"down: {panel[3]}", size=11)


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
    drawing = Drawing(_WIDTH, height, title, f"{len(judged)} vessels, the gravest first; the limit is at 100 %.")
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
    drawing.mark(across(share), y, "circle", colour=ACCENT if share > 1 else "#1a1a1a")
    drawing.words(650, y + 4, f"{_NAMES.get(worst['quantity'], worst['quantity'])}, {worst['measured']}", size=11)
