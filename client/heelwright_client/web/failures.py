"""The one place where an error of the service, or of this program, becomes a page."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from flask import Flask, flash, jsonify, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError
from werkzeug.wrappers import Response

from heelwright_client.errors import (
    ForbiddenError,
    HeelwrightError,
    InvalidRequestError,
    NotFoundError,
    NotReachedError,
    RefusedError,
    ServiceFailedError,
    StaleError,
    TooManyRequestsError,
    UnauthenticatedError,
    UnavailableError,
    UnexpectedAnswerError,
)
from heelwright_client.web import access, viewer
from heelwright_client.web.wording import for_people

_log = logging.getLogger("heelwright.web")


@dataclass(frozen=True)
class Failure:
    """What a failed page says: what failed, what is safe, what to do."""

    status: int
    title: str
    safe: str
    todo: str


_NOTHING_STORED = "Nothing was stored or changed by this request."
_FAILURES: tuple[tuple[type[HeelwrightError], Failure], ...] = (
    (
        NotReachedError,
        Failure(
            503,
            "The service cannot be reached",
            "What was stored before is safe in the service. Readings typed on a test day stay on this device until "
            "they have been sent.",
            "Pages that are already open can still be read and printed. Check that the service runs and that this "
            "machine reaches it, then load the page again.",
        ),
    ),
    (
        UnavailableError,
        Failure(
            503,
            "The service is busy or starting",
            _NOTHING_STORED,
            "Wait a minute and load the page again.",
        ),
    ),
    (
        ForbiddenError,
        Failure(
            403,
            "This token may not do that",
            _NOTHING_STORED,
            "Ask an administrator for a token of the role that the message names, or go back.",
        ),
    ),
    (
        NotFoundError,
        Failure(
            404,
            "Not found",
            "Nothing is lost.",
            "It does not exist, or lies outside what this token may see. Go back to the fleet and choose from there.",
        ),
    ),
    (
        StaleError,
        Failure(
            409,
            "Somebody changed this in between",
            _NOTHING_STORED,
            "Go back, load the page again to see the newer state, and enter the change once more.",
        ),
    ),
    (TooManyRequestsError, Failure(429, "Too many requests", _NOTHING_STORED, "Wait a minute and try again.")),
    (
        ServiceFailedError,
        Failure(
            502,
            "The service failed",
            _NOTHING_STORED,
            "Try again; if it fails again, give the administrator the request number below.",
        ),
    ),
    (InvalidRequestError, Failure(422, "The service refused this", _NOTHING_STORED, "Go back and mend what it names.")),
    (RefusedError, Failure(409, "The service refused this", _NOTHING_STORED, "Go back and mend what it names.")),
    (
        UnexpectedAnswerError,
        Failure(
            502,
            "The answer was not the service's",
            _NOTHING_STORED,
            "Something between this program and the service answered in its place; tell the administrator.",
        ),
    ),
    (HeelwrightError, Failure(500, "This could not be done", _NOTHING_STORED, "Go back and try again.")),
)
_HTTP: dict[int, Failure] = {
    404: Failure(404, "No such page", "Nothing is lost.", "Go back to the fleet and choose from there."),
    405: Failure(405, "This page takes no such request", _NOTHING_STORED, "Go back to the fleet."),
    413: Failure(413, "The file is too large", _NOTHING_STORED, "A record may have up to 16 MB."),
}
_OTHER = Failure(500, "This page failed", _NOTHING_STORED, "Try again; if it fails again, tell the administrator.")
_STALE_FORM = Failure(
    400,
    "The form does not belong to this session",
    _NOTHING_STORED,
    "You may have signed out, or signed in again, since the form was opened. Go back, load the page again, and send it "
    "once more.",
)


def install(app: Flask) -> None:
    """Turn every error into a page.

    Parameters
    ----------
    app : Flask
        The front end.
    """
    app.register_error_handler(UnauthenticatedError, _unknown_token)
    app.register_error_handler(HeelwrightError, _refused)
    app.register_error_handler(CSRFError, _csrf)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _defect)


def _unknown_token(error: UnauthenticatedError) -> Response | tuple[Response, int]:
    access.sign_out()
    if _asked_by_script():
        return _told_script([f"Sign in again: {error}"]), 401
    flash(f"The service no longer takes this token: {error}. Sign in again.")
    return access.ask_to_sign_in()


def _refused(error: HeelwrightError) -> tuple[str | Response, int]:
    if isinstance(error, ForbiddenError):
        viewer.doubt()
    failure = next(failure for kind, failure in _FAILURES if isinstance(error, kind))
    lines = [for_people(line) for line in (error.lines() if isinstance(error, RefusedError) else [str(error)])]
    number = getattr(error, "request_id", "")
    return _page(failure, lines, number), failure.status


def _csrf(error: CSRFError) -> tuple[str | Response, int]:
    return _page(_STALE_FORM, []), 400


def _http(error: HTTPException) -> Response | tuple[str | Response, int]:
    status = error.code or 500
    if status < 400 or isinstance(error, SecurityError):
        return error.get_response()  # a host that is not ours has no addresses to build a page with
    failure = _HTTP.get(status, Failure(status, error.name, _NOTHING_STORED, "Go back and try again."))
    return _page(failure, [error.description or ""] if status not in _HTTP else []), status


def _defect(error: Exception) -> tuple[str | Response, int]:
    _log.exception("a page failed", exc_info=error)
    return _page(_OTHER, []), 500


def _asked_by_script() -> bool:
    return request.accept_mimetypes.best == "application/json"


def _told_script(lines: list[str]) -> Response:
    return jsonify({"errors": [{"field": "", "message": line} for line in lines]})


def _page(failure: Failure, lines: list[str], number: str = "") -> str | Response:
    if _asked_by_script():
        return _told_script([failure.title, *lines])
    return render_template("failure.html", failure=failure, lines=[line for line in lines if line], number=number)
