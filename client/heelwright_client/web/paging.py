"""Which page of a long list a visitor asks for."""

from __future__ import annotations

from flask import request


def page_number(name: str) -> int:
    """Return the number of a page from the address.

    Parameters
    ----------
    name : str
        Of the query's part.

    Returns
    -------
    int
        1 where it is left out or no number.
    """
    text = request.args.get(name, "1")
    return int(text) if text.isdecimal() and len(text) < 4 and int(text) else 1
