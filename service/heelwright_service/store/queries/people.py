"""People's accounts, their sessions, and the attempts to sign in that count against a name and an address."""

from __future__ import annotations

import datetime
import hashlib
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.orm import Session

from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.tables import EventCounter, IdempotencyKey, Person, SignInAttempt, Token


@dataclass(frozen=True)
class Against:
    """Whom an attempt to sign in counts against: the digest of the name's key, and the address it came from."""

    name_sha256: str
    address: str

    @classmethod
    def of(cls, name: str, address: str) -> Against:
        """Make one of a name as it was typed."""
        return cls(hashlib.sha256(name_key(name).encode()).hexdigest(), address[:64])


def name_key(name: str) -> str:
    """Return a name as people compare it: without case, width of letters, and spaces more than needed.

    Parameters
    ----------
    name : str
        As it was typed.

    Returns
    -------
    str
        Equal for names that read alike (Unicode normalisation form KC and case folding).

    Examples
    --------
    >>> name_key("  Ines   ALDOUS ")
    'ines aldous'
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def find_person(session: Session, name: str) -> Person | None:
    """Return the account of a name, a disabled one included, or None."""
    return session.scalars(select(Person).where(Person.name_key == name_key(name))).first()


def get_person(session: Session, name: str) -> Person:
    """Return the account of a name.

    Raises
    ------
    NotFoundError
        When there is none.
    """
    found = find_person(session, name)
    if found is None:
        raise NotFoundError(
            "person-not-found", f"nobody is called {name!r} here; list them with heelwrightd person list"
        )
    return found


def list_people(session: Session) -> Sequence[Person]:
    """Return all accounts, in the order of their names."""
    return session.scalars(select(Person).order_by(Person.name_key)).all()


def sessions_of(session: Session, person_id: str) -> Sequence[Token]:
    """Return a person's sessions that are still good."""
    good = select(Token).where(Token.person_id == person_id, Token.revoked_at.is_(None), Token.expires_at > utc_now())
    return session.scalars(good).all()


def forget_sessions_before(session: Session, moment: datetime.datetime, most: int) -> None:
    """Remove sessions that expired before a moment; one with an answer to a repeated request stays as long as that.

    Parameters
    ----------
    session : Session
        An open session.
    moment : datetime
        Those that expired later stay.
    most : int
        How many are removed at once, the oldest first.
    """
    answered = select(IdempotencyKey.token_id).where(IdempotencyKey.token_id == Token.id).exists()
    old = select(Token.id).where(Token.person_id.is_not(None), Token.expires_at < moment, ~answered)
    chosen = old.order_by(Token.id).limit(most).with_for_update(skip_locked=True)  # two who sign in do not meet
    session.execute(delete(Token).where(Token.id.in_(chosen)), execution_options={"synchronize_session": False})


def attempts_since(
    session: Session, which: Sequence[ColumnElement[bool]], since: datetime.datetime
) -> list[datetime.datetime]:
    """Return when the attempts that fit some conditions were made, the newest first."""
    found = select(SignInAttempt.at).where(*which, SignInAttempt.at > since).order_by(SignInAttempt.at.desc())
    return list(session.scalars(found))


def queue_attempts(session: Session) -> None:
    """Let attempts be counted one after the other, of any process: side by side each would miss the others."""
    session.execute(select(EventCounter.id).with_for_update())


def forget_attempts(session: Session, against: Against) -> None:
    """Forget the attempts of one name from one address, which has signed in."""
    session.execute(
        delete(SignInAttempt).where(
            SignInAttempt.name_sha256 == against.name_sha256, SignInAttempt.address == against.address
        )
    )


def forget_attempts_before(session: Session, moment: datetime.datetime) -> None:
    """Forget attempts that no longer count."""
    session.execute(delete(SignInAttempt).where(SignInAttempt.at < moment))
