"""A document that a visitor chose as a file or pasted, and as much of it as a page can give back."""

from __future__ import annotations

from flask import request

_MOST_SHOWN = 60_000


def sent_text() -> str:
    """Return what was sent: the file where one was chosen, else the pasted text.

    Returns
    -------
    str
        Bytes that are not UTF-8 are replaced, so that the service names what it cannot read.
    """
    file = request.files.get("file")
    sent = file.read() if file and file.filename else b""
    return sent.decode("utf-8", "replace") if sent else request.form.get("text", "")


def shown_again(text: str) -> str:
    """Return a text for the form that is shown again; never a part of one, which could be stored by mistake.

    Parameters
    ----------
    text : str
        As sent.

    Returns
    -------
    str
        Empty where it is too long for a page: the file is chosen again.
    """
    return text if len(text) <= _MOST_SHOWN else ""
