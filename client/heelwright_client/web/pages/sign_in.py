"""Signing in by name and password or with a token of the service, and out again."""

from __future__ import annotations

import hmac
import secrets

from flask import Blueprint, abort, current_app, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from heelwright_client.errors import (
    ConfigurationError,
    HeelwrightError,
    InvalidRequestError,
    TooManyRequestsError,
    UnauthenticatedError,
)
from heelwright_client.web import access, security, viewer

blueprint = Blueprint("sign_in", __name__)
for _name in ("show", "enter", "welcome", "alive"):
    access.open_to_all(f"sign_in.{_name}")

_USED = "heelwright_ticket_used"


@blueprint.get("/sign-in")
def show() -> str:
    """Show the form."""
    return render_template("sign_in.html", wanted=request.args.get("next", ""), problem={}, insecure=_insecure())


@blueprint.post("/sign-in")
def enter() -> Response | tuple[str, int]:
    """Take a name with its password, or a token that the service knows."""
    wanted = request.form.get("next", "")
    way = "token" if "token" in request.form else "name"
    problem = _by_token() if way == "token" else _by_name()
    if problem:
        name = request.form.get("name", "")
        page = render_template("sign_in.html", wanted=wanted, problem={way: problem}, name=name, insecure=_insecure())
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
    """End a person's session in the service too, and forget the token."""
    told = _session_ended() if viewer.current().person else ""
    access.sign_out()
    if told:
        flash(told)
    return redirect(url_for("sign_in.show"))


@blueprint.get("/healthz")
def alive() -> dict[str, str]:
    """Tell that this program answers; it says nothing of the service."""
    return {"status": "ok"}


def _by_name() -> str:
    name, password = request.form.get("name", "").strip(), request.form.get("password", "")
    if not name or not password:
        return "Give your name and your password."
    try:
        access.sign_in_by_name(name, password)
    except TooManyRequestsError as error:
        wait_s = str(error.problem.get("retry_after") or "")
        minutes = -(-int(wait_s) // 60) if wait_s.isdigit() else 15
        return f"Too many attempts failed. Wait {minutes} min and try again."
    except (UnauthenticatedError, InvalidRequestError):
        return "Name and password do not fit, or the account is disabled."
    return ""


def _session_ended() -> str:
    try:
        access.client().sessions.sign_out()
    except HeelwrightError:
        return "You are signed out here. The service was not reached, so your session in it ends by itself in 12 hours."
    return ""


def _by_token() -> str:
    text = request.form.get("token", "").strip()
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
