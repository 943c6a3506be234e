"""Signing in with a token of the service, and out again."""

from __future__ import annotations

import hmac
import secrets

from flask import Blueprint, abort, current_app, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import ConfigurationError, UnauthenticatedError
from heelwright_client.web import access, security

blueprint = Blueprint("sign_in", __name__)
for _name in ("show", "enter", "welcome", "alive"):
    access.open_to_all(f"sign_in.{_name}")

_USED = "heelwright_ticket_used"


@blueprint.get("/sign-in")
def show() -> str:
    """Show the form."""
    return render_template("sign_in.html", wanted=request.args.get("next", ""), insecure=_insecure())


@blueprint.post("/sign-in")
def enter() -> Response | tuple[str, int]:
    """Take a token that the service knows."""
    text = request.form.get("token", "").strip()
    wanted = request.form.get("next", "")
    problem = _problem(text)
    if problem:
        page = render_template("sign_in.html", wanted=wanted, problem=problem, insecure=_insecure())
        return page, 422
    return redirect(access.inner_address(wanted))


@blueprint.get("/welcome/<ticket>")
def welcome(ticket: str) -> Response:
    """Sign in, once, whoever started this program and was told this address."""
    settings = access.settings()
    expected = settings.ticket or secrets.token_urlsafe(32)
    fits = hmac.compare_digest(ticket.encode(), expected.encode())
    if not (fits and settings.own_token and security.on_loopback()) or current_app.extensions.get(_USED):
        abort(404)
    current_app.extensions[_USED] = True
    access.sign_in(settings.own_token)
    return redirect(url_for("fleet.show"))


@blueprint.post("/sign-out")
def leave() -> Response:
    """Forget the token."""
    access.sign_out()
    return redirect(url_for("sign_in.show"))


@blueprint.get("/healthz")
def alive() -> dict[str, str]:
    """Tell that this program answers; it says nothing of the service."""
    return {"status": "ok"}


def _problem(text: str) -> str:
    if not text:
        return "Paste a token."
    try:
        access.sign_in(text)
    except UnauthenticatedError as error:
        return f"The service does not take this token: {error}."
    except ConfigurationError as error:
        return str(error)
    return ""


def _insecure() -> bool:
    """Tell whether the visitor's browser would not send the session cookie back: plain http from afar."""
    return not request.is_secure and not security.on_loopback()
