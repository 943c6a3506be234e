"""A little SVG: axes, lines, marks and words in ink on white, readable without colour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

INK = "#1a1a1a"
RULE = "#b4b4b4"
ACCENT = "#a3341f"
_FONT = "font-family='system-ui, sans-serif'"
_RIM = "stroke='white' stroke-width='3' stroke-linejoin='round' paint-order='stroke'"
SHAPES = ("circle", "square", "triangle", "diamond", "plus", "cross")


@dataclass(frozen=True)
class Axis:
    """A straight scale from values to pixels."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the pixel of a value.

        Parameters
        ----------
        value : float
            The value.

        Returns
        -------
        float
            Pixels.
        """
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self, wanted: int = 5) -> list[float]:
        """Choose round values within the scale.

        Parameters
        ----------
        wanted : int
            About how many.

        Returns
        -------
        list of float
            Multiples of 1, 2 or 5 times a power of ten, never many more than wanted and seldom fewer than half.
        """
        length = self.high - self.low
        power = 10.0 ** math.floor(math.log10(length / (wanted + 1)))
        steps = (power * times for times in (1, 2, 5, 10, 20))
        step = next(step for step in steps if length / step <= wanted + 0.5)
        first = math.ceil(self.low / step - 1e-9)
        last = math.floor(self.high / step + 1e-9)
        return [round(place * step, 12) for place in range(first, last + 1)]


@dataclass(frozen=True)
class Picture:
    """A finished SVG, and what each mark, dash and letter in it means: sentences for the caption beside it."""

    svg: str
    notes: tuple[str, ...] = ()


class Drawing:
    """An SVG under construction.

    Parameters
    ----------
    width, height : int
        Size [px].
    title, description : str
        What a reader who cannot see it is told.
    """

    def __init__(self, width: int, height: int, title: str, description: str) -> None:
        self.width, self.height = width, height
        self._notes: dict[str, None] = {}
        self._parts = [
            f"<svg xmlns='http://www.w3.org/2000/svg' width='{width}' height='{height}' "
            f"viewBox='0 0 {width} {height}' role='img' aria-labelledby='title description'>",
            f"<title id='title'>{escape(title)}</title>",
            f"<desc id='description'>{escape(description)}</desc>",
            "<defs><pattern id='hatch' width='6' height='6' patternUnits='userSpaceOnUse' "
            f"patternTransform='rotate(45)'><line y2='6' stroke='{RULE}' stroke-width='2'/></pattern></defs>",
            f"<rect width='{width}' height='{height}' fill='white'/>",
        ]

    def line(
        self, points: Sequence[tuple[float, float]], *, colour: str = INK, width: float = 1, dash: str = ""
    ) -> None:
        """Draw a line through points.

        Parameters
        ----------
        points : sequence of (float, float)
            Pixels.
        colour : str
            Of the stroke.
        width : float
            Of the stroke [px].
        dash : str
            Lengths of strokes and gaps.
        """
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        dashed = f" stroke-dasharray='{dash}'" if dash else ""
        self._parts.append(f"<polyline points='{path}' fill='none' stroke='{colour}' stroke-width='{width}'{dashed}/>")

    def area(self, points: Sequence[tuple[float, float]], fill: str = "url(#hatch)") -> None:
        """Fill the area inside points.

        Parameters
        ----------
        points : sequence of (float, float)
            Pixels.
        fill : str
            Paint; hatching where not given.
        """
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        self._parts.append(f"<polygon points='{path}' fill='{fill}'/>")

    def words(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: int = 12,
        anchor: str = "start",
        colour: str = INK,
        bold: bool = False,
    ) -> None:
        """Write words, with a rim of the ground so that a line behind does not cross the letters.

        Parameters
        ----------
        x, y : float
            Where the baseline starts, is centred or ends [px].
        text : str
            The words; escaped here.
        size : int
            Of the letters [px].
        anchor : str
            ``start``, ``middle`` or ``end``.
        colour : str
            Of the letters.
        bold : bool
            Whether the letters are heavy.
        """
        weight = " font-weight='600'" if bold else ""
        place = f"x='{x:.1f}' y='{y:.1f}' {_FONT} font-size='{size}' text-anchor='{anchor}' fill='{colour}'{weight}"
        self._parts.append(f"<text {place} {_RIM}>{escape(text)}</text>")

    def mark(self, x: float, y: float, shape: str, *, size: float = 4, colour: str = INK, filled: bool = False) -> None:
        """Draw a mark.

        Parameters
        ----------
        x, y : float
            Its middle [px].
        shape : str
            One of `SHAPES`.
        size : float
            Half its width [px].
        colour : str
            Of the stroke.
        filled : bool
            Whether its inside is inked too.
        """
        style = f"fill='{colour if filled else 'white'}' stroke='{colour}' stroke-width='1.4'"
        s = size
        if shape == "circle":
            self._parts.append(f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{s}' {style}/>")
            return
        outline = {
            "square": f"M{x - s:.1f},{y - s:.1f}h{2 * s}v{2 * s}h{-2 * s}z",
            "triangle": f"M{x:.1f},{y - s:.1f}l{s},{2 * s}h{-2 * s}z",
            "diamond": f"M{x:.1f},{y - s:.1f}l{s},{s}l{-s},{s}l{-s},{-s}z",
            "plus": f"M{x - s:.1f},{y:.1f}h{2 * s}M{x:.1f},{y - s:.1f}v{2 * s}",
            "cross": f"M{x - s:.1f},{y - s:.1f}l{2 * s},{2 * s}M{x - s:.1f},{y + s:.1f}l{2 * s},{-2 * s}",
        }[shape]
        self._parts.append(f"<path d='{outline}' {style}/>")

    def note(self, sentence: str) -> None:
        """Explain something that was drawn; what is said twice stands once.

        Parameters
        ----------
        sentence : str
            For the caption, with its full stop.
        """
        self._notes[sentence] = None

    def text(self) -> str:
        """Return the finished document.

        Returns
        -------
        str
            SVG.
        """
        return "\n".join([*self._parts, "</svg>", ""])

    def picture(self) -> Picture:
        """Return the finished document with what explains it.

        Returns
        -------
        Picture
            SVG and notes, in the order in which they were made.
        """
        return Picture(self.text(), tuple(self._notes))


def spread(values: Sequence[float], room: float = 0.06) -> tuple[float, float]:
    """Return a range that shows all values with a little room on both sides.

    Parameters
    ----------
    values : sequence of float
        At least one.
    room : float
        Part of the range left free on each side.

    Returns
    -------
    (float, float)
        Low and high, never equal.
    """
    low, high = min(values), max(values)
    free = room * (high - low) or 0.1 * abs(high) or 1.0
    return low - free, high + free
