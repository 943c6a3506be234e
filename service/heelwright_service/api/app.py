"""The one place where the application is put together."""

from __future__ import annotations

import logging
import re
import time
import uuid
from typing import Any

from flask import Flask, Response, g, request
from werkzeug.middleware.proxy_fix import ProxyFix
from werkzeug.routing import BaseConverter

from heelwright_service.api import problems
from heelwright_service.api.context import Service
from heelwright_service.api.json_text import StrictJsonProvider
from heelwright_service.api.openapi import make_api
from heelwright_service.api.routes import BLUEPRINTS
from heelwright_service.api.routes.docs import blueprint as docs
from heelwright_service.api.routes.health import blueprint as health
from heelwright_service.api.settings import Settings, read_settings
from heelwright_service.store.engine import make_engine
from heelwright_service.usecases.computing import Turns
from heelwright_service.usecases.fleet_rankings import Rankings

_log = logging.getLogger("heelwright.access")
_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")


class IdConverter(BaseConverter):
    """An id of a stored resource in a path; anything else is no path of ours, hence 404."""

    regex = "[0-9a-z]{1,64}"


def create_app(settings: Settings | None = None) -> Flask:
    """Put the application together.

    Parameters
    ----------
    settings : Settings or None
        By default those of the environment.

    Returns
    -------
    Flask
        Ready to serve; its database is not touched before the first request.
    """
    settings = settings or read_settings()
    app = Flask("heelwright_service.api", static_folder=None)
    app.json = StrictJsonProvider(app)
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body_bytes
    app.url_map.converters["id"] = IdConverter
    if settings.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.proxies, x_proto=0, x_host=0)  # type: ignore[method-assign]
    engine = make_engine(settings.database_url)
    app.extensions["heelwright"] = Service(settings, engine, Turns(wait_s=settings.computation_wait_s), Rankings())
    app.before_request(_begin)
    app.after_request(_finish)
    problems.register(app)
    api = make_api(app)
    api.register_converter(IdConverter, _describe_id)
    for blueprint in BLUEPRINTS:
        api.register_blueprint(blueprint)
    api.register_blueprint(health)
    app.register_blueprint(docs)
    return app


def _describe_id(converter: BaseConverter) -> dict[str, Any]:
    return {"type": "string", "pattern": "^[0-9a-z]{1,64}$"}


def _begin() -> None:
    given = request.headers.get("X-Request-ID", "")
    g.request_id = given if _REQUEST_ID.fullmatch(given) else uuid.uuid4().hex
    g.began = time.perf_counter()


def _finish(response: Response) -> Response:
    response.headers["X-Request-ID"] = g.get("request_id", "")
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers.setdefault("Cache-Control", "no-cache")
    took_ms = (time.perf_counter() - g.get("began", time.perf_counter())) * 1e3
    _log.info(
        "%s %s %s %.1f ms %s", request.method, request.path, response.status_code, took_ms, g.get("request_id", "")
    )
    return response
