"""/v1/docs: the documentation page, from files of this installation alone."""

from __future__ import annotations

from pathlib import Path

import flask_swagger_ui
from flask import Blueprint, Response, send_from_directory
from flask.typing import ResponseReturnValue

blueprint = Blueprint("docs", __name__, url_prefix="/v1/docs")

_VIEWER = Path(flask_swagger_ui.__file__).parent / "dist"
_OWN = Path(__file__).parent.parent / "static"
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@blueprint.get("", strict_slashes=False)
def page() -> ResponseReturnValue:
    """Show the page."""
    return _guarded(Response((_OWN / "docs.html").read_bytes(), content_type="text/html; charset=utf-8"))


@blueprint.get("/start.js")
def start() -> ResponseReturnValue:
    """Give the script that starts the viewer."""
    return _guarded(Response((_OWN / "docs.js").read_bytes(), content_type="text/javascript; charset=utf-8"))


@blueprint.get("/<any('swagger-ui.css', 'swagger-ui-bundle.js', 'favicon-32x32.png'):name>")
def viewer_file(name: str) -> ResponseReturnValue:
    """Give one of the viewer's files."""
    return _guarded(send_from_directory(_VIEWER, name, max_age=86_400))


def _guarded(response: Response) -> Response:
    response.headers["Content-Security-Policy"] = _POLICY
    return response
