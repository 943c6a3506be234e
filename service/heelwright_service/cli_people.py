"""`heelwrightd person`: keep the accounts of people who sign in by name and password."""

from __future__ import annotations

import argparse
import getpass
import json
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from heelwright_service.store.unit_of_work import UnitOfWork

Command = Callable[[argparse.Namespace], int]
ROLES = ("reader", "recorder", "planner", "approver", "admin")
_WHO = "heelwrightd person"


def add_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    command: Callable[..., argparse.ArgumentParser],
    work: Callable[[], UnitOfWork],
) -> None:
    """Add the commands.

    Parameters
    ----------
    commands : argparse subparsers
        Where they belong.
    command : callable
        Adds one: subparsers, name, what runs it, summary.
    work : callable
        Returns the unit of work on the database of the settings.
    """
    person = commands.add_parser("person", help="keep the accounts of people who sign in by name and password")
    kinds = person.add_subparsers(required=True, metavar="COMMAND")
    add = command(kinds, "add", lambda given: _add(work(), given), "add a person; the password is asked for")
    add.add_argument("name", help="as people call him or her; stands behind every entry and approval")
    add.add_argument("--role", required=True, choices=ROLES, help="each may do what those before it may")
    add.add_argument("--fleet", help="limit the person to this fleet")
    add.add_argument("--vessel", action="append", help="limit the person to this vessel's id; may be given again")
    listing = command(kinds, "list", lambda given: _list(work(), given), "list the people")
    listing.add_argument("--json", action="store_true", help="one JSON object a line")
    words = "give a person another password, which is asked for; open sessions end"
    command(kinds, "password", lambda given: _password(work(), given), words).add_argument("name")
    words = "give a person another role; open sessions end"
    role = command(kinds, "role", lambda given: _role(work(), given), words)
    role.add_argument("name")
    role.add_argument("role", choices=ROLES, help="each may do what those before it may")
    words = "disable a person's account and end its sessions"
    command(kinds, "disable", lambda given: _disable(work(), given), words).add_argument("name")
    words = "enable a disabled account again"
    command(kinds, "enable", lambda given: _enable(work(), given), words).add_argument("name")


def read_password() -> str:
    """Ask for a new password twice on a terminal, or read one line of the standard input.

    Returns
    -------
    str
        The password; it never stands on a command line, where every process of the machine can read it.

    Raises
    ------
    ValueError
        When the two differ, or nothing was given.
    """
    if not sys.stdin.isatty():
        return _given(sys.stdin.readline().rstrip("\r\n"))
    password = _given(getpass.getpass("Password: "))
    if getpass.getpass("Once more: ") != password:
        raise ValueError("the two passwords differ; nothing was stored")
    return password


def _given(password: str) -> str:
    if not password:
        raise ValueError("no password was given; type it at the prompt or send it as one line of the standard input")
    return password


def _add(work: UnitOfWork, given: argparse.Namespace) -> int:
    from heelwright_service.usecases.people import PersonWanted, add_person

    if given.fleet and given.vessel:
        raise ValueError("give --fleet or --vessel, not both")
    wanted = PersonWanted(given.name, given.role, given.fleet, given.vessel or None)
    person = add_person(work, _WHO, wanted, read_password())
    return _say(f"{person['name']} may sign in, with the role {person['role']}.")


def _list(work: UnitOfWork, given: argparse.Namespace) -> int:
    from heelwright_service.usecases.people import list_people

    for person in list_people(work):
        state = f"disabled {person['disabled_at']:%Y-%m-%d}" if person["disabled_at"] else "may sign in"
        scope = person["fleet"] or ", ".join(person["vessel_ids"] or ()) or "all vessels"
        line = f"{person['role']:8}  {state:19}  {scope:24.24}  {person['name']}"
        print(json.dumps(person, default=str) if given.json else line)
    return 0


def _password(work: UnitOfWork, given: argparse.Namespace) -> int:
    from heelwright_service.usecases.people import set_password

    ended = set_password(work, _WHO, given.name, read_password())
    return _say(f"The password is changed; sessions ended: {ended}.")


def _role(work: UnitOfWork, given: argparse.Namespace) -> int:
    from heelwright_service.usecases.people import set_role

    ended = set_role(work, _WHO, given.name, given.role)
    return _say(f"The role is {given.role}; sessions ended: {ended}.")


def _disable(work: UnitOfWork, given: argparse.Namespace) -> int:
    from heelwright_service.usecases.people import disable

    ended = disable(work, _WHO, given.name)
    return _say(f"The account is disabled; sessions ended: {ended}.")


def _enable(work: UnitOfWork, given: argparse.Namespace) -> int:
    from heelwright_service.usecases.people import enable

    enable(work, _WHO, given.name)
    return _say("The account is enabled, with the password that it had.")


def _say(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 0
