"""A person's own choices: units and ground (light or dark), kept in cookies of their own."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, request

from heelwright_client.units import SI, SYSTEMS, System
from heelwright_client.web import access, security

UNITS_WORDS = {"si": "metric", "us": "feet, inches, long tons", "us-decimal": "decimal feet, long tons"}
THEME_WORDS = {"auto": "as the device", "light": "light", "dark": "dark"}
_UNITS_COOKIE, _THEME_COOKIE = "heelwright_units", "heelwright_ground"
_YEAR_S = 365 * 24 * 3600

blueprint = Blueprint("preferences", __name__)
access.open_to_all("preferences.choose")


def system() -> System:
    """Return the units that this visitor reads and types.

    Returns
    -------
    System
        SI where nothing else was chosen.
    """
    return SYSTEMS.get(request.cookies.get(_UNITS_COOKIE, ""), SI)


def theme() -> str:
    """Return the ground that this visitor chose.

    Returns
    -------
    str
        ``auto``, ``light`` or ``dark``.
    """
    chosen = request.cookies.get(_THEME_COOKIE, "auto")
    return chosen if chosen in THEME_WORDS else "auto"


@blueprint.post("/preferences")
def choose() -> Response:
    """Keep a choice and go back to the page that it was made on."""
    answer = redirect(access.inner_address(request.form.get("next")))
    for cookie, name, known in ((_UNITS_COOKIE, "units", UNITS_WORDS), (_THEME_COOKIE, "ground", THEME_WORDS)):
        value = request.form.get(name)
        if value in known:
            secure = not security.on_loopback()
            answer.set_cookie(cookie, value, max_age=_YEAR_S, secure=secure, httponly=True, samesite="Lax")
    return answer  # type: ignore[return-value]
