"""Look tokens up by their digest, and keep the first answer to a request that carries a key."""

from __future__ import annotations

import datetime
import hashlib

from sqlalchemy import delete, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.paging import Page, page_by_id
from heelwright_service.store.queries.vessels import Scope
from heelwright_service.store.tables import IdempotencyKey, Token

KEEP_ANSWERS = datetime.timedelta(days=7)


def digest_of(token: str) -> str:
    """Return what is stored of a token. A token has 256 random bits, so a plain digest cannot be guessed back."""
    return hashlib.sha256(token.encode()).hexdigest()


def find_token(session: Session, token: str) -> Token | None:
    """Return the token's row, expired or revoked ones included, or None."""
    return session.scalars(select(Token).where(Token.token_sha256 == digest_of(token))).first()


def within(scope: Scope, token: Token) -> bool:
    """Say whether a token sees no vessel beyond a scope, so that a caller of that scope may know of it."""
    if not scope.limited:
        return True
    if scope.fleet is not None:
        return token.fleet == scope.fleet
    return token.vessel_ids is not None and set(token.vessel_ids) <= set(scope.vessel_ids or ())


def get_token(session: Session, token_id: str, scope: Scope) -> Token:
    """Return a token's row by its identifier.

    Raises
    ------
    NotFoundError
        When there is none within the scope.
    """
    found = session.get(Token, token_id)
    if found is None or not within(scope, found):
        raise NotFoundError("token-not-found", f"there is no token {token_id}; list them with GET /v1/tokens")
    return found


def page_tokens(session: Session, scope: Scope, cursor: str | None, limit: int) -> Page[Token]:
    """Return one page of the tokens within the scope, oldest first; sessions of people are not listed."""
    rows = select(Token).where(Token.person_id.is_(None))
    if scope.fleet is not None:
        rows = rows.where(Token.fleet == scope.fleet)
    elif scope.vessel_ids is not None:
        some = [
            token.id for token in session.scalars(rows.where(Token.vessel_ids.is_not(None))) if within(scope, token)
        ]
        rows = rows.where(Token.id.in_(some))
    return page_by_id(session, rows, Token.id, cursor, limit)


def find_answer(session: Session, token_id: str, key: str) -> IdempotencyKey | None:
    """Return the answer kept for a key, or None."""
    return session.get(IdempotencyKey, (token_id, key), populate_existing=True)


def reserve_key(session: Session, token_id: str, key: str, fingerprint: str) -> bool:
    """Take a key for this transaction; a second transaction with the same key waits here for the first to end.

    Returns
    -------
    bool
        False when the key has been used already.
    """
    session.execute(delete(IdempotencyKey).where(IdempotencyKey.created_at < utc_now() - KEEP_ANSWERS))
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    taken = (
        insert(IdempotencyKey)
        .values(token_id=token_id, key=key, fingerprint=fingerprint, created_at=utc_now())
        .on_conflict_do_nothing()
        .returning(IdempotencyKey.key)
    )
    return session.execute(taken).first() is not None
