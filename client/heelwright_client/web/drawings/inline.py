"""An SVG document made part of a page."""

from __future__ import annotations

from collections.abc import Callable

from markupsafe import Markup

from heelwright_client.svg_plot import NARROW, WIDE


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


def inline_at_both(draw: Callable[[int], str], name: str) -> Markup:
    """Draw for a desk and for a hand-held screen; the style sheet shows the one that fits, the other is for nobody.

    Parameters
    ----------
    draw : callable
        From a width [px] to an SVG.
    name : str
        Unique within the page; letters and hyphens.

    Returns
    -------
    Markup
        Both, the letters of each as high as those of small print.
    """
    wide, narrow = inline(draw(WIDE), name), inline(draw(NARROW), f"{name}-narrow")
    return Markup('<div class="at-wide">{}</div><div class="at-narrow">{}</div>').format(wide, narrow)
