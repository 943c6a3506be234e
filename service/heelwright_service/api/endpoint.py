"""Declare an endpoint in one place: verb, path, role, schemas, refusals. The function below it only acts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial, wraps
from http import HTTPStatus
from typing import Any

from flask import Response, g, jsonify, request
from flask_smorest import Blueprint
from marshmallow import RAISE, Schema, ValidationError
from werkzeug.datastructures import MultiDict

from heelwright_service.api import idempotency
from heelwright_service.api.context import work
from heelwright_service.api.json_text import JsonTextError, read_json
from heelwright_service.api.preconditions import expected_version, is_known
from heelwright_service.api.problems import CHALLENGE, RequestError, flattened, refusal
from heelwright_service.api.schemas.base import Strict
from heelwright_service.usecases.access import authenticate
from heelwright_service.usecases.errors import PreconditionMissingError
from heelwright_service.usecases.preconditions import UNSTATED, Expected

JSON = "application/json"
MERGE_PATCH = "application/merge-patch+json"
OPEN = "open"
"""In place of a role: nobody needs a token."""

View = Callable[..., "Answer | Pending"]


@dataclass(frozen=True)
class Answer:
    """What an endpoint answers: a document, the version of the resource, where a new one is, whether it is new."""

    body: object = None
    version: int | None = None
    location: str | None = None
    first: bool = False


@dataclass(frozen=True)
class Pending:
    """What an endpoint has worked out at length and has still to store, in the transaction that keeps the key too."""

    store: Callable[[], Answer]


@dataclass(frozen=True)
class Endpoint:
    """What is declared of an endpoint; see :func:`endpoint`."""

    method: str
    role: str
    status: int
    body: Schema | None
    query: Schema | None
    stores: bool
    versioned: bool
    creates: bool
    secret: bool
    derives: bool

    @property
    def may_be_at_hand(self) -> bool:
        """Whether a reader who names the version that he has may be answered 304."""
        return self.versioned and self.method == "GET" and not self.derives

    @property
    def changes_version(self) -> bool:
        """Whether a caller must say which version he has read."""
        return self.versioned and self.method in ("PUT", "PATCH", "DELETE")


def endpoint(
    blueprint: Blueprint,
    method: str,
    path: str,
    *,
    role: str,
    answer: Schema | None = None,
    status: int = 200,
    body: Schema | None = None,
    query: Schema | None = None,
    refusals: tuple[int, ...] = (),
    stores: bool = True,
    versioned: bool = False,
    creates: bool = False,
    secret: bool = False,
    derives: bool = False,
) -> Callable[[View], View]:
    """Declare an endpoint.

    Parameters
    ----------
    blueprint : Blueprint
        The group it belongs to.
    method, path : str
        Its verb and path below ``/v1``.
    role : str
        The lowest role that may call it; `OPEN` where no token is needed.
    answer : Schema or None
        Documents the answer; the function's document goes out as it is.
    status : int
        The status of success.
    body, query : Schema or None
        Check the request; what they load is handed to the function as ``body`` and ``query``.
    refusals : tuple of int
        Further statuses that are documented.
    stores : bool
        Whether a POST changes the database; one that computes, for itself or for what it answers :class:`Pending`, is
        not run inside a transaction.
    versioned : bool
        The resource has an ETag: a GET may answer 304, and a change gets ``expected`` from If-Match.
    creates : bool
        A PUT may also make the resource, which answers 201.
    secret : bool
        What a POST answers is shown this once: it is not kept for a repeated request.
    derives : bool
        What a GET answers follows from more than the resource, such as the day: its ETag is for If-Match alone.

    Returns
    -------
    callable
        A decorator of a function that returns an :class:`Answer`.
    """
    declared = Endpoint(method, role, status, body, query, stores, versioned, creates, secret, derives)

    def decorate(view: View) -> View:
        @wraps(view)
        def handle(**parts: str) -> Response:
            return _handle(declared, view, parts)

        documented = _document(blueprint, declared, handle, answer, _refusals(declared, path, refusals))
        if creates:
            documented = blueprint.alt_response(HTTPStatus.CREATED, schema=answer)(documented)
        blueprint.route(path, methods=[method])(documented)
        return view

    return decorate


def _handle(declared: Endpoint, view: View, parts: Mapping[str, str]) -> Response:
    if declared.role != OPEN:
        _authorise(declared.role)
    given: dict[str, Any] = dict(parts)
    if declared.query is not None or request.args:
        given["query"] = _load(declared.query, _query(request.args), "query")
        if declared.query is None:
            del given["query"]
    if declared.changes_version:
        given["expected"] = expected_version(request)
    if declared.body is not None:
        given["body"] = _checked_body(declared, declared.body, given.get("expected"))
    if declared.method == "POST" and declared.role != OPEN:
        act = partial(_act, declared, view, given)
        return idempotency.answer_once(act, stores=declared.stores, secret=declared.secret)
    return idempotency.finished(_act(declared, view, given))


def _act(declared: Endpoint, view: View, given: Mapping[str, Any]) -> idempotency.Outcome:
    answer = view(**given)
    if isinstance(answer, Pending):
        return lambda: _respond(declared, answer.store())
    return _respond(declared, answer)


def _authorise(role: str) -> None:
    kind, _, token = request.headers.get("Authorization", "").partition(" ")
    if kind.lower() != "bearer" or not token.strip():
        raise RequestError(
            HTTPStatus.UNAUTHORIZED,
            "token-missing",
            "this needs a token; send it as Authorization: Bearer TOKEN",
            headers={"WWW-Authenticate": CHALLENGE},
        )
    g.caller = authenticate(work(), token.strip())
    g.caller.must_be(role, f"{request.method} {request.path}")


def _query(args: MultiDict[str, str]) -> dict[str, Any]:
    twice = [name for name in args if len(args.getlist(name)) > 1]
    if twice:
        raise refusal([{"pointer": "", "parameter": name, "message": "is given more than once"} for name in twice])
    return args.to_dict()


def _checked_body(declared: Endpoint, schema: Schema, expected: Expected | None) -> Any:  # noqa: ANN401 (JSON is anything)
    """The body; where it is faulty and the version that was read is not stated either, that comes first."""
    try:
        return _load(schema, _body(declared), "body")
    except RequestError:
        if expected == UNSTATED and not declared.creates:
            raise PreconditionMissingError(
                "precondition-missing", "say which version you have read: send its ETag as If-Match"
            ) from None
        raise


def _body(declared: Endpoint) -> Any:  # noqa: ANN401 (JSON is anything)
    allowed = (JSON, MERGE_PATCH) if declared.method == "PATCH" else (JSON,)
    if request.mimetype not in allowed:
        raise RequestError(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "media-type-not-supported",
            f"the body must be sent as Content-Type: {allowed[0]}, found {request.mimetype or 'none'}",
            headers={"Accept-Patch" if declared.method == "PATCH" else "Accept": ", ".join(allowed)},
        )
    charset = request.mimetype_params.get("charset", "utf-8")
    if charset.lower() != "utf-8":
        raise RequestError(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "charset-not-supported",
            f"JSON is sent as UTF-8 (RFC 8259), found charset={charset[:40]}",
        )
    try:
        return read_json(request.get_data(cache=True))
    except JsonTextError as error:
        raise RequestError(HTTPStatus.BAD_REQUEST, "malformed-json", str(error)) from error


def _load(schema: Schema | None, data: Any, place: str) -> Any:  # noqa: ANN401 (JSON is anything)
    try:
        return (schema or Strict()).load(data, unknown=RAISE)
    except ValidationError as error:
        errors = list(flattened(error.messages))
        if place == "query":
            errors = [
                {"pointer": "", "parameter": name, "message": f"{name}: {fault['message']}"}
                for fault in errors
                for name in [fault["pointer"].strip("/")]
            ]
        raise refusal(errors) from error


def _respond(declared: Endpoint, answer: Answer) -> Response:
    if declared.may_be_at_hand and answer.version and is_known(request.if_none_match, answer.version):
        return _with_headers(Response(status=304), answer)
    response = Response(status=declared.status) if declared.status == 204 else jsonify(answer.body)
    response.status_code = HTTPStatus.CREATED if answer.first else declared.status
    return _with_headers(response, answer)


def _with_headers(response: Response, answer: Answer) -> Response:
    if answer.version is not None:
        response.set_etag(str(answer.version))
    elif request.method == "GET":
        response.add_etag()
    if answer.location is not None:
        response.headers["Location"] = answer.location
    return response


def _refusals(declared: Endpoint, path: str, further: tuple[int, ...]) -> set[int]:
    found = set(further) if declared.role == OPEN else {401, 403, *further}
    if declared.body is not None:
        found |= {400, 413, 415, 422}
    if declared.method == "POST":
        found |= {400, 422}
    if declared.query is not None:
        found.add(422)
    if "<" in path:
        found.add(404)
    if declared.changes_version:
        found |= {400, 412, 428}
    return found


def _document(
    blueprint: Blueprint, declared: Endpoint, handle: Callable[..., Response], answer: Schema | None, refusals: set[int]
) -> Callable[..., Response]:
    for status in sorted(refusals):
        handle = blueprint.alt_response(status, HTTPStatus(status).name)(handle)
    if declared.may_be_at_hand:
        handle = blueprint.alt_response(304, HTTPStatus(304).name)(handle)
    handle = blueprint.response(declared.status, answer)(handle)
    security: list[dict[str, list[str]]] = [] if declared.role == OPEN else [{"token": []}]
    handle = blueprint.doc(operationId=handle.__name__, security=security)(handle)
    parameters: list[dict[str, Any]] = []
    if declared.body is not None:
        parameters.append({"in": "json", "required": True, "schema": declared.body})
    if declared.query is not None:
        parameters.append({"in": "query", "schema": declared.query})
    if declared.method == "POST" and declared.role != OPEN:
        parameters.append(_header("Idempotency-Key", "names this one act; the same key gives the first answer again"))
    if declared.changes_version:
        parameters.append(_header("If-Match", "the ETag of the version that was read"))
    elif declared.may_be_at_hand:
        parameters.append(_header("If-None-Match", "the ETag of the version at hand; 304 when it is still current"))
    handle._apidoc["arguments"] = {"parameters": parameters}  # type: ignore[attr-defined]  # as the library keeps it
    return handle


def _header(name: str, description: str) -> dict[str, Any]:
    return {"in": "header", "name": name, "required": False, "schema": {"type": "string"}, "description": description}
