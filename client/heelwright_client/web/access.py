"""Who is signed in: the token sealed in the session cookie, and the client that speaks with it."""

from __future__ import annotations

import base64
import hashlib
from typing import cast
from urllib.parse import urlsplit

from cryptography.fernet import Fernet, InvalidToken
from flask import Flask, current_app, g, redirect, request, session, url_for
from requests.adapters import BaseAdapter, HTTPAdapter
from werkzeug.wrappers import Response

from heelwright_client.client import Client
from heelwright_client.http import Connection
from heelwright_client.sessions import Sessions
from heelwright_client.web import viewer
from heelwright_client.web.settings import WebSettings

_KEY = "token"
_OPEN: set[str] = {"static"}


def open_to_all(endpoint: str) -> None:
    """Let visitors reach a page without signing in.

    Parameters
    ----------
    endpoint : str
        Name of the page's endpoint.
    """
    _OPEN.add(endpoint)


def install(app: Flask, settings: WebSettings) -> None:
    """Ask every visitor to sign in before any page but the open ones.

    Parameters
    ----------
    app : Flask
        The front end.
    settings : WebSettings
        Where the service is, and the secret that seals tokens.
    """
    key = hashlib.sha256(b"heelwright session token\0" + settings.secret.encode()).digest()
    app.extensions["heelwright_web"] = settings
    app.extensions["heelwright_seal"] = Fernet(base64.urlsafe_b64encode(key))
    app.extensions["heelwright_transport"] = settings.transport or HTTPAdapter(pool_maxsize=32)
    app.before_request(_require_token)
    viewer.install(app)


def settings() -> WebSettings:
    """Return the settings of the running front end.

    Returns
    -------
    WebSettings
        As given to `install`.
    """
    return cast(WebSettings, current_app.extensions["heelwright_web"])


def token() -> str | None:
    """Return the token of the visitor.

    Returns
    -------
    str or None
        None where nobody is signed in, or the cookie was sealed with another secret.
    """
    sealed = session.get(_KEY)
    if not isinstance(sealed, str):
        return None
    try:
        return cast(Fernet, current_app.extensions["heelwright_seal"]).decrypt(sealed.encode()).decode()
    except InvalidToken:
        return None


def sign_in(text: str) -> None:
    """Remember a token for this visitor, and what the service says its role may do.

    Parameters
    ----------
    text : str
        The token.

    Raises
    ------
    UnauthenticatedError
        When the service does not take it; then nobody is signed in.
    """
    facts = client_with(text).tokens.own()
    session.clear()
    session.permanent = True
    viewer.remember(facts)
    session[_KEY] = cast(Fernet, current_app.extensions["heelwright_seal"]).encrypt(text.encode()).decode()


def sign_in_by_name(name: str, password: str) -> None:
    """Sign a person in; the password goes to the service and is kept nowhere.

    Parameters
    ----------
    name, password : str
        As they were typed.

    Raises
    ------
    UnauthenticatedError
        When they do not fit.
    TooManyRequestsError
        When too many attempts failed lately.
    """
    transport = cast(BaseAdapter, current_app.extensions["heelwright_transport"])
    connection = Connection(settings().api_url, None, transport=transport)
    made = Sessions(connection).sign_in(name, password, on_behalf_of=request.remote_addr)
    sign_in(str(made["token"]))


def sign_out() -> None:
    """Forget the visitor's token."""
    session.clear()


def client_with(text: str) -> Client:
    """Make a client that speaks with a given token.

    Parameters
    ----------
    text : str
        The token; never empty, so that the token of whoever started this program is never used for a visitor.

    Returns
    -------
    Client
        On the connections that all requests share.
    """
    if not text:
        raise ValueError("a visitor without a token has no client")
    transport = cast(BaseAdapter, current_app.extensions["heelwright_transport"])
    return Client(settings().api_url, text, transport=transport)


def client() -> Client:
    """Return the client of this request, which speaks with the visitor's token.

    Returns
    -------
    Client
        Made once a request.
    """
    if "client" not in g:
        g.client = client_with(token() or "")
    return cast(Client, g.client)


def inner_address(text: str | None) -> str:
    """Return an address only where it leads to a page of this program.

    Parameters
    ----------
    text : str or None
        As a visitor's form or link gave it.

    Returns
    -------
    str
        The path, or that of the first page.
    """
    parts = urlsplit((text or "").replace("\\", "/"))
    inside = not parts.scheme and not parts.netloc and parts.path.startswith("/") and "//" not in parts.path
    return text if text and inside and text.isprintable() else url_for("fleet.show")


def ask_to_sign_in() -> Response:
    """Lead to the sign-in page, and from there back: to the page wanted, or to that whose form could not be sent.

    Returns
    -------
    Response
        A redirect.
    """
    if request.method == "GET":
        return redirect(url_for("sign_in.show", next=request.full_path.rstrip("?")))
    came = urlsplit(request.referrer or "")
    page = came.path + (f"?{came.query}" if came.query else "") if came.netloc == request.host else ""
    return redirect(url_for("sign_in.show", next=page or None, kept=1 if page else None))


def _require_token() -> Response | None:
    if request.endpoint in _OPEN or request.endpoint is None:
        return None
    if token():
        if viewer.is_old():
            viewer.remember(client().tokens.own())
        return None
    if request.accept_mimetypes.best == "application/json":
        return Response('{"errors": [{"field": "", "message": "Sign in again."}]}', 401, mimetype="application/json")
    return ask_to_sign_in()
