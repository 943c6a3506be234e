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

_KEPT_HEADERS = ("Location", "ETag")


def answer_once(act: Callable[[], Response], *, stores: bool) -> Response:
    """Act, or give the first answer again when the request's key has been used.

    Parameters
    ----------
    act : callable
        Does what was asked and answers; errors it raises undo everything, the key included.
    stores : bool
        Whether it changes the database. A pure computation is done outside the transaction.

    Returns
    -------
    Response
        The first answer; a repeated one carries ``Idempotency-Replayed: true``.

    Raises
    ------
    RequestError
        422 when the key was used for another request, 400 when it is no proper key.
    """
    key = _key(request)
    if key is None:
        return act()
    fingerprint = _fingerprint(request)
    return _stored(key, fingerprint, act) if stores else _computed(key, fingerprint, act)


def _stored(key: str, fingerprint: str, act: Callable[[], Response]) -> Response:
    with work().transaction() as session:
        if not access.reserve_key(session, caller().token_id, key, fingerprint):
            return _replay(access.find_answer(session, caller().token_id, key), fingerprint)
        response = act()
        _keep(access.find_answer(session, caller().token_id, key), response)
        return response


def _computed(key: str, fingerprint: str, act: Callable[[], Response]) -> Response:
    with work().transaction(read_only=True) as session:
        kept = access.find_answer(session, caller().token_id, key)
    if kept is not None:
        return _replay(kept, fingerprint)
    response = act()
    with work().transaction() as session:
        if not access.reserve_key(session, caller().token_id, key, fingerprint):
            return _replay(access.find_answer(session, caller().token_id, key), fingerprint)
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


def _keep(row: IdempotencyKey | None, response: Response) -> None:
    if row is None:
        raise RuntimeError("the reserved key is gone")
    row.status = response.status_code
    row.headers = {name: response.headers[name] for name in _KEPT_HEADERS if name in response.headers}
    row.body = response.get_data()


def _replay(row: IdempotencyKey | None, fingerprint: str) -> Response:
    if row is None or row.status is None or row.body is None:
        raise RuntimeError("a kept answer is incomplete")
    if row.fingerprint != fingerprint:
        raise RequestError(
            HTTPStatus.UNPROCESSABLE_ENTITY,
            "idempotency-key-reused",
            "this Idempotency-Key was used for another request; make a new key for a new request",
        )
    response = Response(row.body, status=row.status, content_type="application/json")
    response.headers.update(row.headers or {})
    response.headers["Idempotency-Replayed"] = "true"
    return response
