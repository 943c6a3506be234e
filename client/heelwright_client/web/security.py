"""Headers and cookies that keep a page to itself: no foreign content, no inline script or style, no framing."""

from __future__ import annotations

from flask import Flask, Response, request
from flask.sessions import SecureCookieSessionInterface

from heelwright_client.web.settings import LOOPBACK_NAMES

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
_HOURS_SIGNED_IN = 14
_STATIC_SECONDS = 3600


def on_loopback() -> bool:
    """Tell whether the visitor reached this program by a name of its own machine.

    Returns
    -------
    bool
        True for localhost, 127.0.0.1 and ::1.
    """
    host = str(request.environ.get("HTTP_HOST") or request.environ.get("SERVER_NAME") or "")
    name = host if host.endswith("]") else host.rpartition(":")[0] or host
    return name in LOOPBACK_NAMES


class _Cookies(SecureCookieSessionInterface):
    """The session cookie is sent over plain http only on loopback, where there is no wire to listen on."""

    def get_cookie_secure(self, app: Flask) -> bool:
        return not on_loopback()


def install(app: Flask) -> None:
    """Set the session cookie's properties and the headers of every answer.

    Parameters
    ----------
    app : Flask
        The front end.
    """
    app.session_interface = _Cookies()
    app.config.update(
        SESSION_COOKIE_NAME="heelwright_session",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        PERMANENT_SESSION_LIFETIME=_HOURS_SIGNED_IN * 3600,
        MAX_CONTENT_LENGTH=16 * 1024 * 1024,
        MAX_FORM_MEMORY_SIZE=8 * 1024 * 1024,
        MAX_FORM_PARTS=20_000,
        WTF_CSRF_TIME_LIMIT=None,  # the session's own end is the token's end; a long test day must not refuse an entry
    )
    app.after_request(_harden)


def _harden(response: Response) -> Response:
    headers = response.headers
    headers["Content-Security-Policy"] = CONTENT_POLICY
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Referrer-Policy"] = "same-origin"
    headers["Cross-Origin-Opener-Policy"] = "same-origin"
    headers["Permissions-Policy"] = "camera=(), geolocation=(), microphone=()"
    if request.endpoint == "static":
        headers["Cache-Control"] = f"public, max-age={_STATIC_SECONDS}"
    else:
        headers.setdefault("Cache-Control", "private, no-store")
    if request.is_secure and not on_loopback():
        headers["Strict-Transport-Security"] = "max-age=31536000"
    return response
