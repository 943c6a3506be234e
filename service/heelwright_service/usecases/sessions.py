"""Sign a person in by name and password, within limits, and out again."""

from __future__ import annotations

import datetime
import logging
import math
import secrets
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.queries import access as tokens
from heelwright_service.store.queries import people
from heelwright_service.store.queries.people import Against
from heelwright_service.store.queries.vessels import EVERYTHING
from heelwright_service.store.tables import Person, SignInAttempt, Token
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import PREFIX, Caller, token_view
from heelwright_service.usecases.errors import TooManyError, UnknownCallerError
from heelwright_service.usecases.passwords import fits

LASTS = datetime.timedelta(hours=12)
WINDOW = datetime.timedelta(minutes=15)
BY_NAME_AND_ADDRESS, BY_ADDRESS, BY_NAME = 5, 30, 50
"""Attempts without success within the window. Few for one name from one address; more for an address, which an office
shares; most for a name, so that nobody keeps somebody else out easily. NIST SP 800-63B allows 100 in a row at most.
"""

FORGOTTEN_AFTER = datetime.timedelta(days=30)
MOST_FORGOTTEN = 500
"""How long a session is still listed in the database after it has expired, and how many are removed at one sign-in."""

_REFUSED = "name and password do not fit, or the account is disabled"
_log = logging.getLogger("heelwright.access")


def sign_in(work: UnitOfWork, name: str, password: str, address: str) -> dict[str, Any]:
    """Make a session of whoever knows the password of a name.

    The attempt is counted before the password is looked at, and taken back when it fits: attempts side by side are
    counted too. An unknown name, a disabled account and a wrong password get the same answer after the same time.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions.
    name, password : str
        As they were typed.
    address : str
        Where the request came from.

    Returns
    -------
    dict
        The session's token with its text under ``token``, which is shown this once.

    Raises
    ------
    TooManyError
        When too many attempts failed lately.
    UnknownCallerError
        When name and password do not fit.
    """
    against = Against.of(name, address)
    with work.transaction() as session:
        people.queue_attempts(session)
        _refuse_too_many(session, against)
        session.add(SignInAttempt(name_sha256=against.name_sha256, address=against.address))
    with work.transaction(read_only=True) as session:
        person = people.find_person(session, name)
    good = fits(password, None if person is None else person.password_hash)
    if person is None or not good or person.disabled_at is not None:
        _log.warning("a sign-in from %s was refused", address)
        raise UnknownCallerError("sign-in-refused", _REFUSED)
    return _opened(work, person, against)


def sign_out(work: UnitOfWork, caller: Caller) -> None:
    """End the session that asks.

    Raises
    ------
    ConflictError
        When it is no session but a token, which an administrator revokes.
    """
    with work.transaction() as session:
        row = tokens.get_token(session, caller.token_id, EVERYTHING)
        if row.person_id is None:
            message = "this is a token and no session; an administrator revokes it with DELETE /v1/tokens/ID"
            raise ConflictError("not-a-session", message)
        row.revoked_at = utc_now()
        work.emit("session.closed", f"/v1/tokens/{row.id}", actor=row.name, vessel_id=None, data={"name": row.name})


def _opened(work: UnitOfWork, person: Person, against: Against) -> dict[str, Any]:
    text = PREFIX + secrets.token_urlsafe(32)
    with work.transaction() as session:
        now = session.get(Person, person.id)
        if now is None or now.disabled_at is not None or now.version != person.version:
            raise UnknownCallerError("sign-in-refused", _REFUSED)  # the account changed while the password was checked
        people.forget_attempts(session, against)
        people.forget_sessions_before(session, utc_now() - FORGOTTEN_AFTER, MOST_FORGOTTEN)
        row = Token(
            name=person.name,
            role=person.role,
            fleet=person.fleet,
            vessel_ids=person.vessel_ids,
            expires_at=utc_now() + LASTS,
            created_by=person.name,
            token_sha256=tokens.digest_of(text),
            person_id=person.id,
        )
        session.add(row)
        session.flush()
        data = {"name": row.name, "role": row.role}
        work.emit("session.opened", f"/v1/tokens/{row.id}", actor=row.name, vessel_id=None, data=data)
        return token_view(row) | {"token": text}


def _refuse_too_many(session: Session, against: Against) -> None:
    since = utc_now() - WINDOW
    people.forget_attempts_before(session, since)
    of_name = SignInAttempt.name_sha256 == against.name_sha256
    of_address = SignInAttempt.address == against.address
    for which, most in (
        ((of_name, of_address), BY_NAME_AND_ADDRESS),
        ((of_address,), BY_ADDRESS),
        ((of_name,), BY_NAME),
    ):
        made = people.attempts_since(session, which, since)
        if len(made) >= most:
            wait_s = math.ceil((made[most - 1] + WINDOW - utc_now()).total_seconds())
            raise TooManyError(
                "too-many-attempts", "too many attempts to sign in failed; wait and try again", max(wait_s, 1)
            )
