"""What the plots share: two widths, scales with round values, keys of marks, and names that do not run together."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from heelwright_client.svg import INK, RULE, Axis, Drawing
from heelwright_client.units import Unit

WIDE, NARROW = 720, 328
"""Widths of a drawing [px]: on a desk, and on a screen of 360 px without shrinking its letters."""
SOFT = "#555555"
SMALL = 11
_LETTER = 0.57
"""Mean width of a letter in its height, of common sans-serif faces (common practice)."""
_FARTHER = (0.0, 8.0, 14.0, 22.0, 28.0, 36.0, 44.0, 60.0)

Box = tuple[float, float, float, float]
Tick = tuple[float, str]


def text_width(text: str, size: int = SMALL) -> float:
    """Estimate how wide words will be.

    Parameters
    ----------
    text : str
        The words.
    size : int
        Height of the letters [px].

    Returns
    -------
    float
        Pixels, a little more rather than less.
    """
    return _LETTER * size * len(text)


def tick_words(values: Sequence[float], *, signed: bool = False) -> list[Tick]:
    """Write the values of a scale, all with the same number of decimals.

    Parameters
    ----------
    values : sequence of float
        Round values, evenly spaced.
    signed : bool
        Whether to keep the sign; otherwise words beside the scale say the side.

    Returns
    -------
    list of (float, str)
        Each value and its words.

    Examples
    --------
    >>> tick_words([-0.5, 0.0, 0.5])
    [(-0.5, '0.5'), (0.0, '0'), (0.5, '0.5')]
    """
    step = min((b - a for a, b in itertools.pairwise(values)), default=1.0)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step > 0 else 0
    shown = ((value, value if signed else abs(value)) for value in values)
    return [(value, f"{words:.{decimals}f}".replace("-", "−") if value else "0") for value, words in shown]


def upright(drawing: Drawing, up: Axis, left: float, right: float, ticks: Sequence[Tick]) -> None:
    """Draw an upright scale at the left, with faint lines across.

    Parameters
    ----------
    drawing : Drawing
        Where.
    up : Axis
        The scale.
    left, right : float
        Ends of the lines [px].
    ticks : sequence of (float, str)
        Values and their words.
    """
    written = math.inf
    for value, words in ticks:
        drawing.line([(left, up(value)), (right, up(value))], colour=RULE, width=0.5)
        drawing.line([(left - 4, up(value)), (left, up(value))])
        if abs(up(value) - written) >= SMALL + 1:
            drawing.words(left - 7, up(value) + 4, words, anchor="end", size=SMALL)
            written = up(value)
    drawing.line([(left, up.start), (left, up.end)])


def level(
    drawing: Drawing, across: Axis, bottom: float, top: float, ticks: Sequence[Tick], *, lines: bool = True
) -> None:
    """Draw a level scale below, with faint lines upwards; words that would run together or off the paper are left out.

    Parameters
    ----------
    drawing : Drawing
        Where.
    across : Axis
        The scale.
    bottom, top : float
        Ends of the lines [px].
    ticks : sequence of (float, str)
        Values and their words.
    lines : bool
        Whether the faint lines are drawn.
    """
    free = 0.0
    for value, words in ticks:
        x, half = across(value), text_width(words) / 2
        if lines:
            drawing.line([(x, bottom), (x, top)], colour=RULE, width=0.5)
        drawing.line([(x, bottom), (x, bottom + 4)])
        if free <= x - half and x + half <= drawing.width:
            drawing.words(x, bottom + 16, words, anchor="middle", size=SMALL)
            free = x + half + 3
    drawing.line([(across.start, bottom), (across.end, bottom)])


def in_unit(axis: Axis, unit: Unit) -> Axis:
    """Give a scale in SI the numbers of another unit, so that its round values are those of that unit.

    Parameters
    ----------
    axis : Axis
        In SI.
    unit : Unit
        Of the same dimension.

    Returns
    -------
    Axis
        The same pixels.
    """
    return Axis(axis.low / unit.to_si, axis.high / unit.to_si, axis.start, axis.end)


def year_ticks(across: Axis, wanted: int) -> list[Tick]:
    """Choose whole years.

    Parameters
    ----------
    across : Axis
        The scale in years.
    wanted : int
        About how many.

    Returns
    -------
    list of (float, str)
        Values and their words.
    """
    return [(year, f"{year:.0f}") for year in across.ticks(wanted) if year == int(year)]


def key_lines(entries: Sequence[tuple[str, str]], width: float) -> list[list[tuple[str, str, float]]]:
    """Break a key of marks into lines.

    Parameters
    ----------
    entries : sequence of (str, str)
        Shape and words.
    width : float
        Room for a line [px].

    Returns
    -------
    list of list of (str, str, float)
        Shape, words and distance from the left [px].
    """
    lines: list[list[tuple[str, str, float]]] = [[]]
    at = 0.0
    for shape, words in entries:
        long = 16 + text_width(words)
        if lines[-1] and at + long > width:
            lines.append([])
            at = 0.0
        lines[-1].append((shape, words, at))
        at += long + 14
    return lines


def key(drawing: Drawing, entries: Sequence[tuple[str, str]], left: float, top: float, width: float) -> float:
    """Draw a key of marks.

    Parameters
    ----------
    drawing : Drawing
        Where.
    entries : sequence of (str, str)
        Shape and words; the shape ``line`` is a dashed step.
    left, top : float
        Its corner [px].
    width : float
        Room for a line [px].

    Returns
    -------
    float
        Where it ends below [px].
    """
    lines = key_lines(entries, width)
    for order, line in enumerate(lines):
        y = top + 10 + 17 * order
        for shape, words, at in line:
            if shape == "line":
                drawing.line([(left + at, y), (left + at + 11, y)], dash="4 2", width=1.2)
            else:
                drawing.mark(left + at + 5, y, shape)
            drawing.words(left + at + 15, y + 4, words, size=SMALL)
    return top + 17 * len(lines) + 2


class Names:
    """Places names beside points so that none lies on another or on what was kept free.

    Parameters
    ----------
    drawing : Drawing
        Where.
    frame : (float, float, float, float)
        Left, top, right and bottom that no name may leave [px].
    """

    def __init__(self, drawing: Drawing, frame: Box) -> None:
        self._drawing, self._frame = drawing, frame
        self._taken: list[Box] = []
        self._written: list[Box] = []
        self._lines: list[Box] = []

    def keep_free(self, x: float, y: float, half: float) -> None:
        """Keep the surroundings of a mark free.

        Parameters
        ----------
        x, y, half : float
            Its middle and half its width [px].
        """
        self._taken.append((x - half, y - half, x + half, y + half))

    def keep_words_free(self, left: float, base: float, text: str) -> None:
        """Keep words free that were written already.

        Parameters
        ----------
        left, base : float
            Where they start [px].
        text : str
            The words.
        """
        self._taken.append(_box(left, base, text_width(text)))

    def keep_line_free(self, points: Sequence[tuple[float, float]]) -> None:
        """Keep a line free as long as a name finds room elsewhere.

        Parameters
        ----------
        points : sequence of (float, float)
            Pixels.
        """
        self._lines += _dots(points)

    def put(
        self,
        x: float,
        y: float,
        text: str,
        *,
        away: float = 8,
        bold: bool = False,
        colour: str = INK,
        near: bool = False,
    ) -> bool:
        """Write a name near a point: beside, above or below, then farther off with a thin line to it.

        Parameters
        ----------
        x, y : float
            The point [px].
        text : str
            The name.
        away : float
            How far it stands off [px].
        bold : bool
            Whether the letters are heavy.
        colour : str
            Of the letters.
        near : bool
            Whether it is left out rather than written farther off.

        Returns
        -------
        bool
            False where there is no room: the name is not written.
        """
        wide = text_width(text) * (1.08 if bold else 1.0)
        found = self._room(x, y, wide, away, (0,) if near else _FARTHER)
        if found is None:
            return False
        left, base, far = found
        if far:
            lead = _lead(x, y, left, base, wide)
            self._drawing.line(lead, colour=SOFT, width=0.6)
            self.keep_line_free(lead)
        self._taken.append(_box(left, base, wide))
        self._written.append(_box(left, base, wide))
        self._drawing.words(left, base, text, size=SMALL, bold=bold, colour=colour)
        return True

    def put_at(self, spots: Sequence[tuple[float, float]], text: str, *, over: bool = False) -> bool:
        """Write words at the first of some spots that is free.

        Parameters
        ----------
        spots : sequence of (float, float)
            Left end and baseline [px].
        text : str
            The words.
        over : bool
            Whether they may lie over a line.

        Returns
        -------
        bool
            False where there is no room: they are not written.
        """
        wide, kept = text_width(text), self._taken if over else [*self._taken, *self._lines]
        found = next((spot for spot in spots if self._fits(_box(*spot, wide), kept)), None)
        if found is None:
            return False
        self.keep_words_free(*found, text)
        self._drawing.words(*found, text, size=SMALL)
        return True

    def _room(
        self, x: float, y: float, wide: float, away: float, farther: Sequence[float]
    ) -> tuple[float, float, float] | None:
        """Left end, baseline and how much farther off; over or through something only where nothing else is free."""
        far = away + max(farther) + SMALL
        window = (x - far - wide, y - far, x + far + wide, y + far)
        taken = [box for box in self._taken if _overlap(box, window)]
        lines = [box for box in self._lines if _overlap(box, window)]
        through: tuple[float, float, float] | None = None
        for kept in ([*taken, *lines], taken):
            for off in farther:
                for left, base in _places(x, y, wide, SMALL, away + off):
                    if self._fits(_box(left, base, wide), kept):
                        if not off or not self._through_words(_lead(x, y, left, base, wide)):
                            return left, base, off
                        through = through or (left, base, off)
        return through

    def _through_words(self, line: Sequence[tuple[float, float]]) -> bool:
        return any(_overlap(dot, box) for dot in _dots(line) for box in self._written)

    def _fits(self, box: Box, kept: Sequence[Box]) -> bool:
        left, top, right, bottom = self._frame
        inside = box[0] >= left and box[1] >= top and box[2] <= right and box[3] <= bottom
        return inside and not any(_overlap(box, other) for other in kept)


def _dots(points: Sequence[tuple[float, float]]) -> list[Box]:
    """A line as a row of small boxes."""
    found: list[Box] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        pieces = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / 6))
        for piece in range(pieces + 1):
            part = piece / pieces
            x, y = x0 + part * (x1 - x0), y0 + part * (y1 - y0)
            found.append((x - 1, y - 1, x + 1, y + 1))
    return found


def _lead(x: float, y: float, left: float, base: float, wide: float) -> list[tuple[float, float]]:
    """A thin line from outside a mark to its name."""
    near = (min(max(x, left), left + wide), base + 2 if base < y else base - SMALL)
    part = min(0.5, 9 / (math.hypot(near[0] - x, near[1] - y) or 9))
    return [(x + part * (near[0] - x), y + part * (near[1] - y)), near]


def _box(left: float, base: float, wide: float) -> Box:
    return (left - 1, base - SMALL, left + wide + 1, base + 3)


def _places(x: float, y: float, wide: float, high: float, away: float) -> list[tuple[float, float]]:
    """Left end and baseline of a name at the eight places about a point, the likeliest first."""
    right, left, middle = x + away, x - away - wide, x - wide / 2
    level_, above, below = y + 4, y - away, y + away + high - 2
    return [
        (right, level_), (left, level_), (middle, above), (middle, below),
        (right - 4, above + 2), (left + 4, above + 2), (right - 4, below - 2), (left + 4, below - 2),
    ]  # fmt: skip


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
