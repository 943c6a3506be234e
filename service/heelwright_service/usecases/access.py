"""Know callers by their tokens; issue, list and revoke these."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import ConflictError, NotFoundError
from heelwright_service.store.paging import Page
from heelwright_service.store.queries import access as tokens
from heelwright_service.store.queries.vessels import EVERYTHING, Scope, get_vessel
from heelwright_service.store.tables import Token
from heelwright_service.store.tables.access import ROLES
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.errors import ForbiddenError, InvalidError, UnknownCallerError
from heelwright_service.usecases.preconditions import Expected

PREFIX = "hw_"
DEEDS = {"read": "reader", "record": "recorder", "plan": "planner", "approve": "approver", "administer": "admin"}


@dataclass(frozen=True)
class Caller:
    """Who asks: the token's identifier and name, its role, and the vessels it is limited to."""

    token_id: str
    name: str
    role: str
    scope: Scope = EVERYTHING

    def may(self, role: str) -> bool:
        """Say whether the caller's role includes another: each role may do what those before it may."""
        return ROLES.index(self.role) >= ROLES.index(role)

    def must_be(self, role: str, deed: str) -> None:
        """Refuse a deed that needs a higher role.

        Raises
        ------
        ForbiddenError
            When the caller's role does not include the one needed.
        """
        if not self.may(role):
            raise ForbiddenError("role-too-low", f"{deed} needs the role {role}; this token is of the role {self.role}")


@dataclass(frozen=True)
class TokenWanted:
    """What a new token is to be: its name, role, and at most one of fleet and vessels as its scope."""

    name: str
    role: str
    fleet: str | None = None
    vessel_ids: Sequence[str] | None = None
    expires_at: datetime.datetime | None = None


def authenticate(work: UnitOfWork, token: str) -> Caller:
    """Return who a token belongs to.

    Raises
    ------
    UnknownCallerError
        When the token is not known, has expired or was revoked.
    """
    with work.transaction(read_only=True) as session:
        row = tokens.find_token(session, token)
    if row is None:
        raise UnknownCallerError("token-unknown", "this token is not known; ask an administrator for another")
    if row.revoked_at is not None:
        raise UnknownCallerError("token-revoked", "this token was revoked; ask an administrator for another")
    if row.expires_at is not None and row.expires_at <= utc_now():
        raise UnknownCallerError("token-expired", "this token has expired; ask an administrator for another")
    return Caller(row.id, row.name, row.role, Scope(row.fleet, row.vessel_ids))


def issue_token(work: UnitOfWork, issued_by: str, wanted: TokenWanted, scope: Scope = EVERYTHING) -> dict[str, Any]:
    """Make a token and return it with its text, which is shown this once and not stored.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    issued_by : str
        Who makes it.
    wanted : TokenWanted
        What it is to be.
    scope : Scope
        The vessels that the maker may see; the new token may not see others.

    Returns
    -------
    dict
        The token's facts, and its text under ``token``.

    Raises
    ------
    InvalidError
        When a named vessel is not there for the maker.
    ForbiddenError
        When the new token would see more than its maker.
    """
    text = PREFIX + secrets.token_urlsafe(32)
    with work.transaction() as session:
        check_vessels(session, wanted.vessel_ids, scope)
        if scope.limited and wanted.vessel_ids is None and (scope.fleet is None or wanted.fleet != scope.fleet):
            raise ForbiddenError("scope-too-wide", "a token cannot be given a wider scope than its maker's", "/fleet")
        row = Token(
            name=wanted.name,
            role=wanted.role,
            fleet=wanted.fleet,
            vessel_ids=None if wanted.vessel_ids is None else list(wanted.vessel_ids),
            expires_at=wanted.expires_at,
            created_by=issued_by,
            token_sha256=tokens.digest_of(text),
        )
        session.add(row)
        session.flush()
        data = {"id": row.id, "name": row.name, "role": row.role}
        work.emit("token.issued", f"/v1/tokens/{row.id}", actor=issued_by, vessel_id=None, data=data)
        return token_view(row) | {"token": text}


def check_vessels(session: Session, vessel_ids: Sequence[str] | None, scope: Scope = EVERYTHING) -> None:
    """Check that the vessels which a token or an account is limited to are there for its maker.

    Raises
    ------
    InvalidError
        When one is not, with the pointer to it.
    """
    for place, vessel_id in enumerate(vessel_ids or ()):
        try:
            get_vessel(session, vessel_id, scope)
        except NotFoundError as error:
            raise InvalidError("vessel-not-found", error.message, f"/vessel_ids/{place}") from error


def list_tokens(work: UnitOfWork, scope: Scope, cursor: str | None, limit: int) -> Page[dict[str, Any]]:
    """Return one page of the tokens that see nothing beyond a scope, without their texts."""
    with work.transaction(read_only=True) as session:
        return tokens.page_tokens(session, scope, cursor, limit).map(token_view)


def read_token(work: UnitOfWork, scope: Scope, token_id: str) -> dict[str, Any]:
    """Return one token's facts, without its text."""
    with work.transaction(read_only=True) as session:
        return token_view(tokens.get_token(session, token_id, scope))


def read_own_token(work: UnitOfWork, caller: Caller) -> dict[str, Any]:
    """Return the facts of the token that asks, and what its role may do as words."""
    with work.transaction(read_only=True) as session:
        facts = token_view(tokens.get_token(session, caller.token_id, EVERYTHING))
    may = [deed for deed, role in DEEDS.items() if caller.may(role)]
    return facts | {"may": may}


def revoke_token(work: UnitOfWork, revoked_by: str, scope: Scope, token_id: str, expected: Expected) -> None:
    """Revoke a token; it stays listed, and is refused from now on.

    Raises
    ------
    NotFoundError
        When there is none.
    StaleError
        When it is not at the expected version.
    ConflictError
        When it was revoked before.
    """
    with work.transaction() as session:
        row = tokens.get_token(session, token_id, scope)
        expected.check(row.version)
        if row.revoked_at is not None:
            raise ConflictError("token-revoked", "this token was revoked before")
        row.revoked_at = utc_now()
        data = {"id": row.id, "name": row.name}
        work.emit("token.revoked", f"/v1/tokens/{row.id}", actor=revoked_by, vessel_id=None, data=data)


def token_view(row: Token) -> dict[str, Any]:
    """Return a token's facts as plain data, without its digest."""
    return {
        "id": row.id,
        "version": row.version,
        "name": row.name,
        "role": row.role,
        "fleet": row.fleet,
        "vessel_ids": row.vessel_ids,
        "session": row.person_id is not None,
        "created_at": row.created_at,
        "created_by": row.created_by,
        "expires_at": row.expires_at,
        "revoked_at": row.revoked_at,
    }
