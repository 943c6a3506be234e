"""From every kind of error to one problem document (RFC 9457): the only place that knows both."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, current_app, g
from sqlalchemy.exc import OperationalError
from sqlalchemy.exc import TimeoutError as NoConnectionError
from werkzeug.exceptions import HTTPException

from heelwright_service.core.errors import CoreError
from heelwright_service.store.errors import ConflictError, NotFoundError, NotMigratedError, StaleError
from heelwright_service.store.paging import CursorError
from heelwright_service.usecases.errors import (
    BusyError,
    ForbiddenError,
    InvalidError,
    PreconditionMissingError,
    TooManyError,
    UnknownCallerError,
)

CONTENT_TYPE = "application/problem+json"
CHALLENGE = 'Bearer realm="heelwright"'

_log = logging.getLogger("heelwright.api")

# Domain error -> status, headers. Each carries code, message and pointer.
_DOMAIN: dict[type[Exception], tuple[HTTPStatus, dict[str, str]]] = {
    CoreError: (HTTPStatus.UNPROCESSABLE_ENTITY, {}),
    InvalidError: (HTTPStatus.UNPROCESSABLE_ENTITY, {}),
    NotFoundError: (HTTPStatus.NOT_FOUND, {}),
    ConflictError: (HTTPStatus.CONFLICT, {}),
    StaleError: (HTTPStatus.PRECONDITION_FAILED, {}),
    PreconditionMissingError: (HTTPStatus.PRECONDITION_REQUIRED, {}),
    UnknownCallerError: (HTTPStatus.UNAUTHORIZED, {"WWW-Authenticate": f'{CHALLENGE}, error="invalid_token"'}),
    ForbiddenError: (HTTPStatus.FORBIDDEN, {"WWW-Authenticate": f'{CHALLENGE}, error="insufficient_scope"'}),
    BusyError: (HTTPStatus.SERVICE_UNAVAILABLE, {"Retry-After": "10"}),
    NotMigratedError: (HTTPStatus.SERVICE_UNAVAILABLE, {"Retry-After": "30"}),
}


class RequestError(Exception):
    """A request that the API itself refuses, with its status, code and sentence."""

    def __init__(
        self,
        status: HTTPStatus,
        code: str,
        detail: str,
        *,
        errors: list[dict[str, str]] | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.code = code
        self.detail = detail
        self.errors = errors or []
        self.headers = dict(headers or {})


def register(app: Flask) -> None:
    """Register the handlers of all errors but HTTP's own, which the OpenAPI glue hands to :func:`http_problem`."""
    for kind in _DOMAIN:
        app.register_error_handler(kind, _domain_problem)
    app.register_error_handler(TooManyError, _too_many_problem)
    app.register_error_handler(RequestError, _request_problem)
    app.register_error_handler(CursorError, _cursor_problem)
    app.register_error_handler(OperationalError, _database_problem)
    app.register_error_handler(NoConnectionError, _no_connection_problem)


def problem(
    status: int,
    code: str,
    detail: str,
    *,
    errors: list[dict[str, str]] | None = None,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Write a problem document.

    Parameters
    ----------
    status : int
        HTTP status.
    code : str
        Stable machine-readable name in kebab-case.
    detail : str
        One sentence: what was wrong, what is allowed, how to mend it.
    errors : list of dict or None
        ``pointer`` (JSON Pointer into the request's body) and ``message`` of every field at fault; a fault in a
        query parameter has ``parameter`` and an empty pointer.
    headers : Mapping or None
        Further headers.

    Returns
    -------
    Response
        Of the type ``application/problem+json``.
    """
    found = document(status, code, detail, g.get("request_id", ""), errors)
    response = Response(json.dumps(found), status=status, content_type=CONTENT_TYPE)
    response.headers.update(headers or {})
    return response


def document(
    status: int, code: str, detail: str, request_id: str, errors: list[dict[str, str]] | None = None
) -> dict[str, Any]:
    """Return a problem document's members; :func:`problem` says what they are."""
    return {
        "type": f"urn:heelwright:problem:{code}",
        "title": HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
        "code": code,
        "errors": errors or [],
        "request_id": request_id,
    }


def http_problem(error: HTTPException) -> Response:
    """Turn an HTTP error of the framework into a problem document, keeping its headers.

    Parameters
    ----------
    error : HTTPException
        Such as 404 for an unknown path; its own text is kept only where it helps.

    Returns
    -------
    Response
        Of the type ``application/problem+json``; redirections and 304 are returned as they are.
    """
    original = current_app.make_response(error.get_response())
    status = error.code or 500
    if status < 400:
        return original
    kept = {name: value for name, value in original.headers if name in ("Allow", "Retry-After", "WWW-Authenticate")}
    code, detail = _HTTP.get(status, (HTTPStatus(status).phrase.lower().replace(" ", "-"), str(error.description)))
    if status == 500:
        detail = f"{detail} {g.get('request_id', '')}".rstrip()
        _log.error("request %s failed; the framework has logged the traceback", g.get("request_id", ""))
    return problem(status, code, detail, headers=kept)


_HTTP = {
    400: ("bad-request", "the request could not be understood"),
    404: ("path-not-found", "there is no such path; GET /v1/openapi.json lists them all"),
    405: ("method-not-allowed", "this path does not know that method; the Allow header lists those it knows"),
    413: ("body-too-large", "the body is longer than this service accepts; split it or ask for a higher limit"),
    500: ("internal-error", "the service failed; nothing was stored. Tell its keeper the number of the request:"),
}


def flattened(messages: object, pointer: str = "") -> Iterator[dict[str, str]]:
    """List nested validation messages by JSON Pointer.

    Parameters
    ----------
    messages : object
        Texts in lists and dictionaries by field or position.
    pointer : str
        Where the messages belong.

    Yields
    ------
    dict
        ``pointer`` and ``message``.

    Examples
    --------
    >>> list(flattened({"items": {0: {"mass_t": ["is required"]}}}))
    [{'pointer': '/items/0/mass_t', 'message': 'is required'}]
    """
    if isinstance(messages, Mapping):
        for name, inner in messages.items():
            step = "" if name == "_schema" else "/" + str(name).replace("~", "~0").replace("/", "~1")
            yield from flattened(inner, pointer + step)
    elif isinstance(messages, list):
        for message in messages:
            yield from flattened(message, pointer)
    else:
        yield {"pointer": pointer, "message": str(messages)}


def _domain_problem(error: Exception) -> Response:
    status, headers = next(answer for kind, answer in _DOMAIN.items() if isinstance(error, kind))
    code, message, pointer = (getattr(error, name) for name in ("code", "message", "pointer"))
    errors = [{"pointer": pointer, "message": message}] if status in (409, 422) else []
    return problem(status, code, message, errors=errors, headers=headers)


def _too_many_problem(error: TooManyError) -> Response:
    headers = {"Retry-After": str(error.wait_s)}
    return problem(HTTPStatus.TOO_MANY_REQUESTS, error.code, error.message, headers=headers)


def _request_problem(error: RequestError) -> Response:
    return problem(error.status, error.code, error.detail, errors=error.errors, headers=error.headers)


def _cursor_problem(error: CursorError) -> Response:
    errors = [{"pointer": "", "parameter": "cursor", "message": str(error)}]
    return problem(422, "invalid-request", f"cursor: {error}", errors=errors)


def _database_problem(error: OperationalError) -> Response:
    _log.error("request %s: database not reached", g.get("request_id", ""), exc_info=error)
    return problem(
        503, "database-not-reached", "the database did not answer; nothing was stored", headers={"Retry-After": "10"}
    )


def _no_connection_problem(error: NoConnectionError) -> Response:
    _log.error("request %s: no connection to the database was free", g.get("request_id", ""))
    detail = "every connection to the database is taken; nothing was stored. Ask again in a while"
    return problem(503, "connections-taken", detail, headers={"Retry-After": "10"})


def refusal(errors: list[dict[str, Any]]) -> RequestError:
    """Return the refusal of a request whose shape is wrong, all faults at once.

    Parameters
    ----------
    errors : list of dict
        From :func:`flattened`.

    Returns
    -------
    RequestError
        422, with the first fault as its sentence.
    """
    first = errors[0]
    where = first.get("parameter") or first["pointer"] or "the body"
    more = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
    detail = f"{where}: {first['message']}{more}"
    return RequestError(HTTPStatus.UNPROCESSABLE_ENTITY, "invalid-request", detail, errors=errors)
