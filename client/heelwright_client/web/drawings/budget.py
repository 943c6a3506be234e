"""Shares of a variance as bars."""

from __future__ import annotations

from markupsafe import Markup

from heelwright_client.svg import INK, RULE

_WIDTH, _HEIGHT = 176, 20


def share_bar(share: float) -> Markup:
    """Draw one share of the whole.

    Parameters
    ----------
    share : float
        0 to 1.

    Returns
    -------
    Markup
        An SVG that says nothing which the number beside it does not; hidden from readers who cannot see it.
    """
    long = max(0.0, min(share, 1.0)) * (_WIDTH - 2)
    quarters = "".join(f"M{1 + part * (_WIDTH - 2) / 4:.1f},4v12" for part in range(5))
    return Markup(  # noqa: S704 (numbers and constants)
        f'<svg class="bar" viewBox="0 0 {_WIDTH} {_HEIGHT}" aria-hidden="true">'
        f'<path d="M1,10H{_WIDTH - 1}{quarters}" stroke="{RULE}" stroke-width="1"/>'
        f'<path d="M1,10h{long:.1f}" stroke="{INK}" stroke-width="8"/></svg>'
    )
