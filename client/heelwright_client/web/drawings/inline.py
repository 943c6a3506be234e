"""An SVG document made part of a page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from markupsafe import Markup

from heelwright_client.svg import Picture
from heelwright_client.svg_plot import NARROW, WIDE


@dataclass(frozen=True)
class Figure:
    """What a page shows: the drawing at both widths, and the sentences that explain the marks of each."""

    drawing: Markup
    caption: Markup


def inline(svg: str, name: str) -> Markup:
    """Give a drawing's ids a name of their own, so that several can stand in one page.

    Parameters
    ----------
    svg : str
        From `heelwright_client.svg.Drawing`, which escapes what it is given.
    name : str
        Unique within the page; letters and hyphens.

    Returns
    -------
    Markup
        The drawing, to be put into a page as it is.
    """
    for part in ("title", "description", "hatch"):
        svg = svg.replace(f"id='{part}'", f"id='{name}-{part}'").replace(f"url(#{part})", f"url(#{name}-{part})")
    svg = svg.replace("aria-labelledby='title description'", f"aria-labelledby='{name}-title {name}-description'")
    return Markup(svg)  # noqa: S704 (texts were escaped when they were drawn)


def inline_at_both(draw: Callable[[int], Picture], name: str) -> Figure:
    """Draw for a desk and for a hand-held screen; the style sheet shows the one that fits, the other is for nobody.

    Parameters
    ----------
    draw : callable
        From a width [px] to a picture.
    name : str
        Unique within the page; letters and hyphens.

    Returns
    -------
    Figure
        Both, the letters of each as high as those of small print, with what explains it.
    """
    wide, narrow = draw(WIDE), draw(NARROW)
    both = Markup('<div class="at-wide">{}</div><div class="at-narrow">{}</div>')
    drawing = both.format(inline(wide.svg, name), inline(narrow.svg, f"{name}-narrow"))
    return Figure(drawing, _caption(wide.notes, narrow.notes))


def _caption(wide: tuple[str, ...], narrow: tuple[str, ...]) -> Markup:
    """All sentences; one that belongs to one of the drawings stands and goes with it."""
    parts = [
        Markup("{} ").format(note)
        if note in wide and note in narrow
        else Markup('<span class="{}">{} </span>').format("at-wide" if note in wide else "at-narrow", note)
        for note in dict.fromkeys([*wide, *narrow])
    ]
    return Markup("").join(parts)
