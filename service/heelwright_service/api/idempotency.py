"""Idempotency-Key: the key, the effect and the kept answer live or die in one transaction."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from http import HTTPStatus

from flask import Request, Response, request

from heelwright_service.api.context import caller, work
from heelwright_service.api.problems import RequestError
from heelwright_service.store.queries import access
from heelwright_service.store.tables import IdempotencyKey

Outcome = Response | Callable[[], Response]
"""An answer, or what stores a result that was worked out and then answers."""

_KEPT_HEADERS = ("Location", "ETag")
_NOT_KEPT = b""


def answer_once(act: Callable[[], Outcome], *, stores: bool, secret: bool = False) -> Response:
    """Act, or give the first answer again when the request's key has been used.

    Parameters
    ----------
    act : callable
        Does what was asked and answers; errors it raises undo everything, the key included.
    stores : bool
        Whether it changes the database. A computation is done outside the transaction, which only stores its result.
    secret : bool
        Whether the answer is shown this once, so that nothing of it may be kept: then a repeated request is refused.

    Returns
    -------
    Response
        The first answer; a repeated one carries ``Idempotency-Replayed: true``.

    Raises
    ------
    RequestError
        422 when the key was used for another request, 400 when it is no proper key, 409 when the answer was not kept.
    """
    key = _key(request)
    if key is None:
        return finished(act())
    fingerprint = _fingerprint(request)
    return _stored(key, fingerprint, act, secret=secret) if stores else _computed(key, fingerprint, act)


def finished(outcome: Outcome) -> Response:
    """Return an answer, storing first what is still to be stored."""
    return outcome if isinstance(outcome, Response) else outcome()


def _stored(key: str, fingerprint: str, act: Callable[[], Outcome], *, secret: bool) -> Response:
    with work().transaction() as session:
        if not access.reserve_key(session, caller().token_id, key, fingerprint):
            return _replay(access.find_answer(session, caller().token_id, key), fingerprint)
        response = finished(act())
        _keep(access.find_answer(session, caller().token_id, key), response, secret=secret)
        return response


def _computed(key: str, fingerprint: str, act: Callable[[], Outcome]) -> Response:
    with work().transaction(read_only=True) as session:
        kept = access.find_answer(session, caller().token_id, key)
    if kept is not None:
        return _replay(kept, fingerprint)
    outcome = act()
    with work().transaction() as session:
        if not access.reserve_key(session, caller().token_id, key, fingerprint):
            return _replay(access.find_answer(session, caller().token_id, key), fingerprint)
        response = finished(outcome)
        _keep(access.find_answer(session, caller().token_id, key), response)
    return response


def _key(asked: Request) -> str | None:
    key = asked.headers.get("Idempotency-Key")
    if key is None:
        return None
    key = key.strip()
    if not 1 <= len(key) <= 255 or not key.isascii() or not key.isprintable():
        raise RequestError(
            HTTPStatus.BAD_REQUEST, "idempotency-key-bad", "Idempotency-Key must be of 1 to 255 printable characters"
        )
    return key


def _fingerprint(asked: Request) -> str:
    asked_for = f"{asked.method} {asked.full_path}\n".encode()
    return hashlib.sha256(asked_for + asked.get_data(cache=True)).hexdigest()


def _keep(row: IdempotencyKey | None, response: Response, *, secret: bool = False) -> None:
    if row is None:
        raise RuntimeError("the reserved key is gone")
    row.status = response.status_code
    row.headers = {name: response.headers[name] for name in _KEPT_HEADERS if name in response.headers}
    row.body = _NOT_KEPT if secret else response.get_data()


def _replay(row: IdempotencyKey | None, fingerprint: str) -> Response:
    if row is None or row.status is None or row.body is None:
        raise RuntimeError("a kept answer is incomplete")
    if row.fingerprint != fingerprint:
        raise RequestError(
            HTTPStatus.UNPROCESSABLE_ENTITY,
            "idempotency-key-reused",
            "this Idempotency-Key was used for another request; make a new key for a new request",
        )
    if row.body == _NOT_KEPT:
        made = (row.headers or {}).get("Location", "")
        raise RequestError(
            HTTPStatus.CONFLICT,
            "answer-not-kept",
            f"this was done under this key before and answered once: {made}; revoke that and ask anew with a new key",
        )
    response = Response(row.body, status=row.status, content_type="application/json")
    response.headers.update(row.headers or {})
    response.headers["Idempotency-Replayed"] = "true"
    return response
