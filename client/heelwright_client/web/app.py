"""The one place where the planning front end is put together."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from flask import Flask, g, request, url_for
from flask_wtf import CSRFProtect
from markupsafe import Markup, escape
from werkzeug.middleware.proxy_fix import ProxyFix

from heelwright_client import __version__, test_words
from heelwright_client.drift_words import BASIS_WORDS
from heelwright_client.web import access, failures, preferences, security
from heelwright_client.web.line_of_days import stand_of, unagreed_tanks
from heelwright_client.web.pages import BLUEPRINTS, NAVIGATION
from heelwright_client.web.settings import WebSettings
from heelwright_client.web.wording import STATUS_WORDS, Say
from heelwright_client.words import day, plural

_STATIC = Path(__file__).parent / "static"


def create_app(settings: WebSettings) -> Flask:
    """Put the front end together.

    Parameters
    ----------
    settings : WebSettings
        Where the service is, and the secret of the session cookie.

    Returns
    -------
    Flask
        Ready to serve; it holds no data and asks the service for everything it shows.
    """
    app = Flask("heelwright_client.web")
    app.secret_key = settings.secret
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    if settings.trusted_hosts:
        app.config["TRUSTED_HOSTS"] = list(settings.trusted_hosts)
    if settings.proxies:
        app.wsgi_app = ProxyFix(  # type: ignore[method-assign]
            app.wsgi_app, x_for=settings.proxies, x_proto=settings.proxies, x_host=settings.proxies
        )
    security.install(app)
    CSRFProtect(app)
    access.install(app, settings)
    failures.install(app)
    _furnish(app)
    app.register_blueprint(preferences.blueprint)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    return app


def _furnish(app: Flask) -> None:
    """Give the templates their words."""
    edition = hashlib.sha256(b"".join(path.read_bytes() for path in sorted(_STATIC.iterdir()))).hexdigest()[:12]
    app.jinja_env.filters.update(day=day)
    app.jinja_env.globals.update(
        plural=plural,
        status_words=STATUS_WORDS,
        basis_words=BASIS_WORDS,
        kind_words=test_words.KIND_WORDS,
        stage_words=test_words.STAGE_WORDS,
        due_words=test_words.DUE_WORDS,
        due_state_words=test_words.DUE_STATE_WORDS,
        state_words=test_words.STATE_WORDS,
        evidence_words=test_words.EVIDENCE_WORDS,
        mark_words=test_words.MARK_WORDS,
        answer_words=test_words.ANSWER_WORDS,
        stand_of=stand_of,
        unagreed_tanks=unagreed_tanks,
        navigation=NAVIGATION,
        units_words=preferences.UNITS_WORDS,
        ground_words=preferences.THEME_WORDS,
        edition=edition,
        version=__version__,
        noted=_noted,
    )
    app.context_processor(_personal)


def _personal() -> dict[str, Any]:
    system = preferences.system()
    return {
        "say": Say(system),
        "units": system.name,
        "ground": preferences.theme(),
        "signed_in": access.token() is not None,
        "here": request.full_path.rstrip("?") if request.method == "GET" else request.path,
    }


def _noted(endpoint: str, words: str, **values: Any) -> Markup:  # noqa: ANN401 (values of a path)
    """Return a link whose address is also listed at the foot of a printed page."""
    address = url_for(endpoint, **values)
    notes = g.setdefault("notes", {})
    number = notes.setdefault(address, len(notes) + 1)
    return Markup('<a href="{}">{}</a><sup class="on-paper">{}</sup>').format(escape(address), words, number)
