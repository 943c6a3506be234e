"""Keep the accounts of people who sign in by name and password."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.queries import people
from heelwright_service.store.tables import Person
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import check_vessels
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.passwords import hash_password


@dataclass(frozen=True)
class PersonWanted:
    """What a new account is to be: name, role, and at most one of fleet and vessels as its scope."""

    name: str
    role: str
    fleet: str | None = None
    vessel_ids: Sequence[str] | None = None


def add_person(work: UnitOfWork, added_by: str, wanted: PersonWanted, password: str) -> dict[str, Any]:
    """Make an account.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    added_by : str
        Who makes it.
    wanted : PersonWanted
        What it is to be.
    password : str
        Its first password.

    Returns
    -------
    dict
        The account, without the password's hash.

    Raises
    ------
    InvalidError
        When the name is blank, the password cannot be taken, or a vessel is not there.
    ConflictError
        When somebody is called so already.
    """
    name = " ".join(wanted.name.split())
    if not name or len(name) > 200 or not name.isprintable():
        raise InvalidError("name-bad", "a name has 1 to 200 printable characters", "/name")
    password_hash = hash_password(password, name)
    with work.transaction() as session:
        check_vessels(session, wanted.vessel_ids)
        if people.find_person(session, name) is not None:
            raise ConflictError(
                "person-exists", f"somebody is called {name!r} here already; names must differ", "/name"
            )
        row = Person(
            name=name,
            name_key=people.name_key(name),
            password_hash=password_hash,
            role=wanted.role,
            fleet=wanted.fleet,
            vessel_ids=None if wanted.vessel_ids is None else list(wanted.vessel_ids),
            created_by=added_by,
        )
        session.add(row)
        session.flush()
        _tell(work, "person.added", row, added_by)
        return person_view(row)


def list_people(work: UnitOfWork) -> list[dict[str, Any]]:
    """Return all accounts in the order of their names, without their hashes."""
    with work.transaction(read_only=True) as session:
        return [person_view(row) for row in people.list_people(session)]


def set_password(work: UnitOfWork, set_by: str, name: str, password: str) -> int:
    """Give an account another password; it ends the person's sessions.

    Returns
    -------
    int
        How many sessions were ended.

    Raises
    ------
    NotFoundError
        When nobody is called so.
    InvalidError
        When the password cannot be taken.
    """
    password_hash = hash_password(password, name)
    with work.transaction() as session:
        row = people.get_person(session, name)
        row.password_hash, row.password_set_at = password_hash, utc_now()
        _tell(work, "person.password-set", row, set_by)
        return _end_sessions(session, row)


def set_role(work: UnitOfWork, set_by: str, name: str, role: str) -> int:
    """Give an account another role; it ends the person's sessions, which have the role that it had.

    Returns
    -------
    int
        How many sessions were ended.

    Raises
    ------
    NotFoundError
        When nobody is called so.
    ConflictError
        When it has that role already.
    """
    with work.transaction() as session:
        row = people.get_person(session, name)
        if row.role == role:
            raise ConflictError("person-has-role", f"the account of {row.name} has the role {role} already", "/role")
        row.role = role
        _tell(work, "person.role-set", row, set_by)
        return _end_sessions(session, row)


def disable(work: UnitOfWork, disabled_by: str, name: str) -> int:
    """Disable an account: nobody signs in to it, and its sessions end; its name stays behind what it recorded.

    Returns
    -------
    int
        How many sessions were ended.

    Raises
    ------
    NotFoundError
        When nobody is called so.
    ConflictError
        When it was disabled before.
    """
    with work.transaction() as session:
        row = people.get_person(session, name)
        if row.disabled_at is not None:
            raise ConflictError("person-disabled", f"the account of {row.name} was disabled before")
        row.disabled_at = utc_now()
        _tell(work, "person.disabled", row, disabled_by)
        return _end_sessions(session, row)


def enable(work: UnitOfWork, enabled_by: str, name: str) -> None:
    """Let a disabled account be used again, with the password that it had.

    Raises
    ------
    NotFoundError
        When nobody is called so.
    ConflictError
        When it is not disabled.
    """
    with work.transaction() as session:
        row = people.get_person(session, name)
        if row.disabled_at is None:
            raise ConflictError("person-enabled", f"the account of {row.name} is not disabled")
        row.disabled_at = None
        _tell(work, "person.enabled", row, enabled_by)


def person_view(row: Person) -> dict[str, Any]:
    """Return an account as plain data, without the password's hash."""
    names = ("id", "name", "role", "fleet", "vessel_ids", "created_at", "created_by", "password_set_at", "disabled_at")
    return {name: getattr(row, name) for name in names}


def _end_sessions(session: Session, row: Person) -> int:
    session.flush()
    ended = people.sessions_of(session, row.id)
    for token in ended:
        token.revoked_at = utc_now()
    return len(ended)


def _tell(work: UnitOfWork, kind: str, row: Person, actor: str) -> None:
    data = {"name": row.name, "role": row.role}
    work.emit(kind, f"/v1/people/{row.id}", actor=actor, vessel_id=None, data=data)
