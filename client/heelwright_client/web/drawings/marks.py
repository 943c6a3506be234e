"""Marks in the profile: where weights and centres are, with their intervals and names."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from heelwright_client.svg import ACCENT, INK, Axis, Drawing
from heelwright_client.svg_plot import Names

_CAP, _ARROW = 4.0, 6.0
_UPRIGHT = "Dashed upright: height not measured."
_BAND = "Hatched: the 95 % interval along the ship."
_MOVED = "Dashes: to where a weight went."
_WHISKERS = "Lines through a mark: its 95 % interval."
_BEYOND = "Arrow head: it goes on, or lies, beyond the drawing."
_NAMELESS = "Where marks crowd, some have no name; the tables have all."
Point = tuple[float, float]


@dataclass(frozen=True)
class Mark:
    """Something in the profile: place [m], height None where unknown, half its 95 % intervals [m], words, notes."""

    key: str
    x_m: float
    z_m: float | None
    shape: str
    half_x_m: float = 0.0
    half_z_m: float = 0.0
    alarming: bool = False
    to: Point | None = None
    words: str = ""
    notes: tuple[str, ...] = ()

    def label(self) -> str:
        """Return what is written beside it.

        Returns
        -------
        str
            Its letter and words.
        """
        return f"{self.key} {self.words}".strip()

    def colour(self) -> str:
        """Return its ink: another where somebody must look at it, which its words say too.

        Returns
        -------
        str
            A colour.
        """
        return ACCENT if self.alarming else INK


def draw_marks(drawing: Drawing, marks: Sequence[Mark], across: Axis, up: Axis, names: Names) -> None:
    """Draw marks and write their names.

    Parameters
    ----------
    drawing : Drawing
        Where.
    marks : sequence of Mark
        Those first whose names matter most.
    across, up : Axis
        Metres to pixels.
    names : Names
        Places the names.
    """
    for note in [note for mark in marks for note in mark.notes]:
        drawing.note(note)
    spots = [_spot(mark, across, up) for mark in marks]
    for mark, spot in reversed(list(zip(marks, spots, strict=True))):
        _draw(drawing, mark, spot, across, up)
        names.keep_free(*spot, 6)
        if mark.to is not None:
            names.keep_line_free([spot, (_within(across, across(mark.to[0])), _within(up, up(mark.to[1])))])
        if mark.z_m is None:
            names.keep_line_free([spot, (spot[0], up.start)])
    written = [
        names.put(*spot, mark.label(), away=9, bold=True, colour=mark.colour())
        for mark, spot in zip(marks, spots, strict=True)
    ]
    if not all(written):
        drawing.note(_NAMELESS)


def _spot(mark: Mark, across: Axis, up: Axis) -> Point:
    """Where a mark stands [px]; at the border where its place lies beyond the paper."""
    y = up.end - 4 if mark.z_m is None else _within(up, up(mark.z_m))
    return _within(across, across(mark.x_m)), y


def _within(axis: Axis, pixel: float) -> float:
    return min(max(pixel, min(axis.start, axis.end)), max(axis.start, axis.end))


def _draw(drawing: Drawing, mark: Mark, spot: Point, across: Axis, up: Axis) -> None:
    x, y = across(mark.x_m), spot[1] if mark.z_m is None else up(mark.z_m)
    if math.dist((x, y), spot) > 0.01:
        _arrow_head(drawing, (x, y), spot, mark.colour())
    elif mark.z_m is None:
        _upright(drawing, mark, spot, across, up)
    else:
        _cross(drawing, mark, spot, across, up)


def _upright(drawing: Drawing, mark: Mark, spot: Point, across: Axis, up: Axis) -> None:
    """Where something is along, its height unknown: its interval hatched over the whole height."""
    left, right = (_within(across, across(mark.x_m + sign * mark.half_x_m)) for sign in (-1, 1))
    if right > left:
        drawing.area([(left, up.end), (right, up.end), (right, up.start), (left, up.start)])
    drawing.line([spot, (spot[0], up.start)], colour=mark.colour(), width=1.6, dash="5 3")
    drawing.note(_UPRIGHT)
    if right > left:
        drawing.note(_BAND)


def _cross(drawing: Drawing, mark: Mark, spot: Point, across: Axis, up: Axis) -> None:
    """A mark with its intervals along and up, and where it was moved to."""
    x, y = spot
    _interval(drawing, across, (mark.x_m, mark.half_x_m), lambda along, off: (along, y + off), mark.colour())
    _interval(drawing, up, (mark.z_m or 0.0, mark.half_z_m), lambda along, off: (x + off, along), mark.colour())
    if mark.to is not None:
        aim = (across(mark.to[0]), up(mark.to[1]))
        there = (_within(across, aim[0]), _within(up, aim[1]))
        drawing.line([spot, there], colour=mark.colour(), width=1, dash="3 3")
        drawing.note(_MOVED)
        if math.dist(aim, there) > 0.01:
            _arrow_head(drawing, aim, there, mark.colour())
        else:
            drawing.mark(*there, mark.shape, size=3, colour=mark.colour())
    drawing.mark(x, y, mark.shape, size=5, colour=mark.colour(), filled=mark.alarming)


def _interval(
    drawing: Drawing, axis: Axis, known: tuple[float, float], at: Callable[[float, float], Point], colour: str
) -> None:
    """A line to both ends of an interval: a cap where it ends, an arrow head where it goes on beyond the paper."""
    middle, half = known
    if abs(axis(middle + half) - axis(middle)) < 1:
        return
    drawing.note(_WHISKERS)
    for value in (middle - half, middle + half):
        aim = axis(value)
        end = _within(axis, aim)
        drawing.line([at(axis(middle), 0.0), at(end, 0.0)], colour=colour, width=1.4)
        if end == aim:
            drawing.line([at(end, -_CAP), at(end, _CAP)], colour=colour, width=1.4)
        else:
            _arrow_head(drawing, at(aim, 0.0), at(end, 0.0), colour)


def _arrow_head(drawing: Drawing, aim: Point, tip: Point, colour: str) -> None:
    """At the border, towards what lies beyond it."""
    towards = math.atan2(aim[1] - tip[1], aim[0] - tip[0])
    barbs = [
        (tip[0] + _ARROW * math.cos(towards + turn), tip[1] + _ARROW * math.sin(towards + turn)) for turn in (2.6, -2.6)
    ]
    drawing.line([barbs[0], tip, barbs[1]], colour=colour, width=1.6)
    drawing.note(_BEYOND)
