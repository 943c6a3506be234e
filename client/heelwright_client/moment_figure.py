"""The figure of tangent against moment with the residuals enlarged below, of a finished test or one under way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heelwright_client.svg import ACCENT, INK, RULE, SHAPES, Axis, Drawing, Picture
from heelwright_client.svg_plot import SMALL, WIDE, Names, in_unit, key_lines, level, text_width, tick_words, upright
from heelwright_client.units import SI, System, Unit
from heelwright_client.words import number

_LEFT, _EDGE = 58.0, 12.0
_LEAST_HALF, _MOST_HALF, _TICK_PX = 40.0, 90.0, 24.0
_ENLARGED = (10, 5, 2, 1)


@dataclass(frozen=True)
class Reading:
    """A reading: state, instrument, moment [t·m], tangent from the line's origin, what it is off the line or None."""

    state: int
    instrument: str
    moment_t_m: float
    tangent: float
    residual: float | None


@dataclass(frozen=True)
class MomentFigure:
    """What is drawn: readings, slope [1/(t·m)], states to be read again, the state marked as the last, title, units."""

    readings: Sequence[Reading]
    slope: float | None
    title: str
    again: Sequence[int] = ()
    last: int | None = None
    heading: bool = False
    system: System = SI

    def unit(self) -> Unit:
        """Return the unit of the moments.

        Returns
        -------
        Unit
            Of the reader.
        """
        return self.system.unit("moment")

    def slope_words(self) -> str:
        """Write the slope as thousandths for each unit of moment.

        Returns
        -------
        str
            Four digits; empty where there is no line.
        """
        return "" if self.slope is None else f"{1000 * self.slope * self.unit().to_si:.4g}"

    def names(self) -> list[str]:
        """Return the instruments in the order of their readings.

        Returns
        -------
        list of str
            Each once.
        """
        return list(dict.fromkeys(reading.instrument for reading in self.readings))

    def shape(self, reading: Reading) -> str:
        """Return the mark of a reading's instrument.

        Parameters
        ----------
        reading : Reading
            One of them.

        Returns
        -------
        str
            One of `SHAPES`.
        """
        return SHAPES[self.names().index(reading.instrument) % len(SHAPES)]

    def worst(self) -> Reading | None:
        """Return the reading that lies farthest off the line.

        Returns
        -------
        Reading or None
            None where nothing is off.
        """
        off = [reading for reading in self.readings if abs(reading.residual or 0.0) > 1e-12]
        return max(off, key=lambda reading: abs(reading.residual or 0.0), default=None)

    def finding(self) -> str:
        """Say what the figure shows.

        Returns
        -------
        str
            Sentences, for who cannot see it.
        """
        told = f"{len(self.readings)} readings of {', '.join(self.names())}"
        far = max((abs(reading.moment_t_m) for reading in self.readings), default=0.0)
        symbol = self.unit().symbol
        told += f", moments up to {number(far / self.unit().to_si, 1)} {symbol}. "
        if self.slope is None:
            told += "No line can be drawn yet. "
        else:
            told += f"The line rises {self.slope_words()} thousandths for each {symbol}. "
        worst = self.worst()
        if worst is not None and worst.residual is not None:
            part = f", {number(100 * abs(worst.residual) / self._span(), 1)} % of the range of tangents"
            told += f"Farthest off the line is state {worst.state} of {worst.instrument}: {worst.residual:+.2g}{part}."
        return told + (f" States to read again: {', '.join(map(str, self.again))}." if self.again else "")

    def _span(self) -> float:
        tangents = [reading.tangent for reading in self.readings]
        return max(tangents) - min(tangents) or 1.0


def moment_figure(figure: MomentFigure, width: int = WIDE) -> Picture:
    """Draw the figure.

    Parameters
    ----------
    figure : MomentFigure
        What is drawn.
    width : int
        Of the drawing [px].

    Returns
    -------
    Picture
        Starboard is to the right and above.
    """
    far = max((abs(r.moment_t_m) for r in figure.readings), default=0.0) * 1.08 or 1.0
    high = max((abs(r.tangent) for r in figure.readings), default=0.0) * 1.08 or 0.01
    top = 46.0 if figure.heading else 26.0
    tall = 330.0 if width >= WIDE else 240.0
    across = Axis(-far, far, _LEFT, width - _EDGE)
    up = Axis(-high, high, top + tall, top)
    below, enlarged = _residual_scale(figure, up, up.start + 66)
    drawing = Drawing(width, int(below.start) + 10, figure.title, figure.finding())
    if figure.heading:
        drawing.words(_LEFT, 20, figure.title, size=16, bold=True)
    _frame(drawing, across, up, width, figure.unit())
    drawing.note("Tangent of the change of heel against the change of moment, one mark shape an instrument.")
    if figure.slope is not None:
        drawing.line(_line(figure.slope, across, up), width=1.2)
        drawing.note("Slanting line: fitted to all readings.")
    names = Names(drawing, (across.start, up.end, across.end, up.start))
    _key(drawing, figure, across, up, names)
    _readings(drawing, figure, across, up, names)
    _residuals(drawing, figure, across, below, enlarged)
    return drawing.picture()


def _line(slope: float, across: Axis, up: Axis) -> list[tuple[float, float]]:
    end = min(across.high, up.high / abs(slope)) if slope else across.high
    return [(across(x), up(x * slope)) for x in (-end, end)]


def _residual_scale(figure: MomentFigure, up: Axis, top: float) -> tuple[Axis, int]:
    """A scale on which every residual has room: ten times the tangents', or less where that would leave the paper."""
    pixels = (up.start - up.end) / (up.high - up.low)
    most = max((abs(r.residual or 0.0) for r in figure.readings), default=0.0)
    times = next((times for times in _ENLARGED if most * pixels * times <= _MOST_HALF - 12), 1)
    half = max(most * pixels * times + 12, _LEAST_HALF)
    return Axis(-half / pixels / times, half / pixels / times, top + 2 * half, top), times


def _frame(drawing: Drawing, across: Axis, up: Axis, width: int, unit: Unit) -> None:
    wide, moments = width >= WIDE, in_unit(across, unit)
    level(drawing, moments, up.start, up.end, tick_words(moments.ticks(10 if wide else 5)))
    upright(drawing, up, across.start, across.end, tick_words(up.ticks(8 if wide else 6)))
    drawing.line([(across.start, up(0)), (across.end, up(0))], width=0.8)
    drawing.line([(across(0), up.start), (across(0), up.end)], width=0.8)
    y = up.end - 10
    drawing.words(4, y, "change of the tangent of heel, up: to starboard", size=SMALL)
    y = up.start + 32
    drawing.words(across.start, y, "← to port", size=SMALL)
    drawing.words((across.start + across.end) / 2, y, f"moment, {unit.symbol}", size=SMALL, anchor="middle")
    drawing.words(across.end, y, "to starboard →", size=SMALL, anchor="end")


def _key(drawing: Drawing, figure: MomentFigure, across: Axis, up: Axis, names: Names) -> None:
    """Marks and instruments in the corner that the line leaves free, and its slope in the one opposite."""
    rises = (figure.slope or 0.0) >= 0
    left = across.start + 8 if rises else across(0) + 8
    room = across(0) - across.start - 16
    entries = [(SHAPES[order % len(SHAPES)], name) for order, name in enumerate(figure.names())]
    for order, line in enumerate(key_lines(entries, room)):
        y = up.end + 12 + 17 * order
        for shape, name, at in line:
            drawing.mark(left + at + 5, y, shape)
            drawing.words(left + at + 15, y + 4, name, size=SMALL)
            names.keep_words_free(left + at, y + 4, f"xx {name}")
    if figure.slope is not None:
        x = across.end - 6 if rises else across(0) - 6
        lines = (f"slope {figure.slope_words()} × 10⁻³", f"per {figure.unit().symbol}")
        for order, words in enumerate(lines):
            drawing.words(x, up.start - 22 + 14 * order, words, size=SMALL, anchor="end")
            names.keep_words_free(x - text_width(words), up.start - 22 + 14 * order, words)


def _readings(drawing: Drawing, figure: MomentFigure, across: Axis, up: Axis, names: Names) -> None:
    for reading in figure.readings:
        names.keep_free(across(reading.moment_t_m), up(reading.tangent), 6)
    names.keep_line_free(_line(figure.slope or 0.0, across, up))
    names.keep_line_free([(across.start, up(0)), (across.end, up(0))])
    names.keep_line_free([(across(0), up.start), (across(0), up.end)])
    last = [reading for reading in figure.readings if reading.state == figure.last]
    for reading in last[:1]:
        drawing.mark(across(reading.moment_t_m), up(reading.tangent), "circle", size=10)
        drawing.note("Ring: the last state.")
    for reading in figure.readings:
        _mark(drawing, figure, reading, across(reading.moment_t_m), up(reading.tangent), 4)
        if reading.state in figure.again:
            drawing.note("Filled: states to be read again.")
    told: set[int] = set()
    for reading in figure.readings:
        words = _state_words(figure, reading.state)
        if words and reading.state not in told:
            told.add(reading.state)
            x, y = across(reading.moment_t_m), up(reading.tangent)
            colour = ACCENT if reading.state in figure.again else INK
            names.put(x, y, words, away=14, bold=True, colour=colour)


def _state_words(figure: MomentFigure, state: int) -> str:
    why = ["last"] if state == figure.last else []
    why += ["read again"] if state in figure.again else []
    return ", ".join([f"state {state}", *why]) if why else ""


def _mark(drawing: Drawing, figure: MomentFigure, reading: Reading, x: float, y: float, size: float) -> None:
    again = reading.state in figure.again
    drawing.mark(x, y, figure.shape(reading), size=size, colour=ACCENT if again else INK, filled=again)


def _residuals(drawing: Drawing, figure: MomentFigure, across: Axis, below: Axis, enlarged: int) -> None:
    middle = below(0)
    ticks = below.ticks(max(4, int((below.start - below.end) / _TICK_PX)))
    upright(drawing, below, across.start, across.end, tick_words(ticks))
    drawing.line([(across.start, middle), (across.end, middle)], width=0.8)
    times = f", {enlarged} times enlarged" if enlarged > 1 else ""
    drawing.words(4, below.end - 9, f"tangent off the line (residual){times}", size=SMALL)
    if any(reading.residual is not None for reading in figure.readings):
        drawing.note("Below: what each reading lies off the line, on the scale written there.")
    names = Names(drawing, (across.start, below.end, across.end, below.start))
    for reading in figure.readings:
        if reading.residual is not None:
            x, y = across(reading.moment_t_m), below(reading.residual)
            drawing.line([(x, middle), (x, y)], colour=RULE)
            names.keep_free(x, y, 5)
            _mark(drawing, figure, reading, x, y, 3)
    worst = figure.worst()
    if worst is not None and worst.residual is not None:
        names.put(across(worst.moment_t_m), below(worst.residual), f"largest: state {worst.state}, {worst.instrument}")
