"""The interval bar: a value, its 95 % line and limits as ticks, on one scale for a whole table."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from heelwright_client.svg import ACCENT, INK, RULE, Axis

_WIDTH, _HEIGHT = 176, 20
_MIDDLE = _HEIGHT / 2


def interval_bar(
    scale: tuple[float, float],
    value: float,
    ends: tuple[float, float],
    limits: Sequence[float] = (),
    *,
    words: str,
    alarming: bool = False,
) -> Markup:
    """Draw one bar.

    Parameters
    ----------
    scale : (float, float)
        Values at its left and right end.
    value : float
        Where the mark stands.
    ends : (float, float)
        The interval's low and high end.
    limits : sequence of float
        Where ticks stand; beyond each the ground is hatched.
    words : str
        What a reader who cannot see it is told.
    alarming : bool
        Whether somebody must look at it.

    Returns
    -------
    Markup
        An SVG without ids.
    """
    across = Axis(scale[0], scale[1], 6, _WIDTH - 6)
    parts = [_line(across.start, _MIDDLE, across.end, _MIDDLE, RULE, 1)]
    if scale[0] <= 0.0 <= scale[1]:
        parts.append(_line(across(0), _MIDDLE - 5, across(0), _MIDDLE + 5, RULE, 1.5))
    parts += [_shade(across, limit) for limit in limits]
    parts += [_line(across(limit), 2, across(limit), _HEIGHT - 2, INK, 1.5) for limit in limits]
    low, high = (min(max(end, scale[0]), scale[1]) for end in sorted(ends))
    colour = ACCENT if alarming else INK
    parts.append(_line(across(low), _MIDDLE, across(high), _MIDDLE, colour, 2))
    parts += [_end(across, end, shown, colour) for end, shown in zip(sorted(ends), (low, high), strict=True)]
    place = across(min(max(value, scale[0]), scale[1]))
    parts.append(f'<circle cx="{place:.1f}" cy="{_MIDDLE}" r="4" fill="{colour}" stroke="{colour}"/>')
    head = f'<svg class="bar" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" aria-label="{{}}">'
    return Markup(head).format(words) + Markup("".join(parts) + "</svg>")  # noqa: S704 (numbers and constants)


def goes_beyond(scale: tuple[float, float], ends: tuple[float, float]) -> bool:
    """Tell whether a bar ends in an arrow, which then has to be explained beside it.

    Parameters
    ----------
    scale : (float, float)
        As of `interval_bar`.
    ends : (float, float)
        The interval's low and high end.

    Returns
    -------
    bool
        True where the interval goes on beyond the scale.
    """
    return min(ends) < scale[0] or max(ends) > scale[1]


def _line(x0: float, y0: float, x1: float, y1: float, colour: str, width: float) -> str:
    return f'<path d="M{x0:.1f},{y0:.1f}L{x1:.1f},{y1:.1f}" stroke="{colour}" stroke-width="{width}" fill="none"/>'


def _end(across: Axis, end: float, shown: float, colour: str) -> str:
    """A cap where the interval ends; an arrow where it goes on beyond the scale, so that it is no end."""
    x = across(shown)
    if end == shown:
        return _line(x, _MIDDLE - 3, x, _MIDDLE + 3, colour, 1.5)
    back = x - 5 if end > shown else x + 5
    path = f"M{back:.1f},{_MIDDLE - 4}L{x:.1f},{_MIDDLE}L{back:.1f},{_MIDDLE + 4}"
    return f'<path d="{path}" stroke="{colour}" stroke-width="1.5" fill="none"/>'


def _shade(across: Axis, limit: float) -> str:
    """Slanting strokes on the ground beyond a limit."""
    edge, end = across(limit), across.end + 6 if limit >= 0 else across.start - 6
    low, high = sorted((edge, end))
    strokes = [f"M{low + step:.1f},{_HEIGHT - 3}l6,{6 - _HEIGHT}" for step in range(1, max(int(high - low) - 6, 1), 6)]
    return f'<path d="{"".join(strokes)}" stroke="{RULE}" stroke-width="1" fill="none"/>' if high > low + 7 else ""
