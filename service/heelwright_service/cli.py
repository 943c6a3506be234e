"""`heelwrightd`: serve, migrate, issue tokens, keep people's accounts, back up, restore and verify."""

from __future__ import annotations

import argparse
import datetime
import json
import logging
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heelwright_service import __version__
from heelwright_service.cli_people import ROLES, add_commands

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from heelwright_service.store.unit_of_work import UnitOfWork

DEFAULT_PORT = 8377
DONE, REFUSED, NOT_REACHED = 0, 1, 3

# Small matrices are faster without the linear algebra library's own threads; it reads this once, when it is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command.

    Parameters
    ----------
    arguments : sequence of str or None
        The words after the command's name; those of this process by default.

    Returns
    -------
    int
        0 done, 1 refused or a check that failed, 2 wrong usage, 3 database not reached.
    """
    given = _parser().parse_args(arguments)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(message)s", stream=sys.stderr)
    logging.getLogger("alembic").setLevel(logging.WARNING)
    # imported here so that --help stays quick
    from alembic.util import CommandError
    from sqlalchemy.exc import OperationalError

    from heelwright_service.store.archive import ArchiveError
    from heelwright_service.store.errors import StoreError
    from heelwright_service.usecases.errors import UseCaseError

    run: Callable[[argparse.Namespace], int] = given.run
    try:
        return run(given)
    except OperationalError as error:
        return _say(f"the database was not reached: {error.orig}", NOT_REACHED)
    except (StoreError, UseCaseError, ArchiveError, CommandError, OSError, ValueError) as error:
        return _say(str(error), REFUSED)


def _serve(given: argparse.Namespace) -> int:
    from heelwright_service.api.app import create_app
    from heelwright_service.api.server import listen, serve
    from heelwright_service.api.settings import read_settings
    from heelwright_service.store.engine import embedded_path
    from heelwright_service.usecases.first_start import client_file, leave_token, migrate_when_new
    from heelwright_service.usecases.watch import check_ready

    settings = read_settings()
    engine, embedded = _engine(), embedded_path(settings.database_url)
    if given.migrate:
        _migrate(given)
    elif embedded is not None:
        migrate_when_new(engine)
    check_ready(engine)
    listening = listen(given.host, given.port)
    url = f"http://{given.host}:{listening.getsockname()[1]}"
    if embedded is not None and leave_token(engine, url, client_file()):
        print(f"Left a token for the command line of this user in {client_file()}", file=sys.stderr)
    engine.dispose()
    print(f"Heelwright {__version__} answers at {url}; its documentation is at {url}/v1/docs", file=sys.stderr)
    serve(create_app(settings), listening)
    return DONE


def _migrate(given: argparse.Namespace) -> int:
    from heelwright_service.store.migrate import current_revision, migrate

    engine = _engine()
    before = current_revision(engine)
    migrate(engine)
    print(f"The database was at revision {before or 'none'} and is at {current_revision(engine)}.", file=sys.stderr)
    return DONE


def _create_token(given: argparse.Namespace) -> int:
    from heelwright_service.store.unit_of_work import UnitOfWork
    from heelwright_service.usecases.access import TokenWanted, issue_token

    expires = None
    if given.days is not None:
        expires = datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=given.days)
    if given.fleet and given.vessel:
        raise ValueError("give --fleet or --vessel, not both")
    wanted = TokenWanted(given.name, given.role, given.fleet, given.vessel or None, expires)
    token = issue_token(UnitOfWork(_engine()), "heelwrightd token create", wanted)
    print(token["token"])
    print(f"Token {token['id']} of the role {token['role']}; it is shown this once.", file=sys.stderr)
    return DONE


def _list_tokens(given: argparse.Namespace) -> int:
    from heelwright_service.store.queries.vessels import EVERYTHING
    from heelwright_service.store.unit_of_work import UnitOfWork
    from heelwright_service.usecases.access import list_tokens

    cursor, work = None, UnitOfWork(_engine())
    while True:
        page = list_tokens(work, EVERYTHING, cursor, 1000)
        for token in page.items:
            state = "revoked" if token["revoked_at"] else f"until {token['expires_at'] or 'revoked'}"
            scope = token["fleet"] or ", ".join(token["vessel_ids"] or ()) or "all vessels"
            print(
                json.dumps(token, default=str) if given.json else _row(token["id"], token["role"], state, scope, token)
            )
        if page.next_cursor is None:
            return DONE
        cursor = page.next_cursor


def _row(token_id: str, role: str, state: str, scope: str, token: dict[str, str]) -> str:
    return f"{token_id}  {role:8}  {state:16.16}  {scope:24.24}  {token['name']}"


def _revoke_token(given: argparse.Namespace) -> int:
    from heelwright_service.store.queries.vessels import EVERYTHING
    from heelwright_service.store.unit_of_work import UnitOfWork
    from heelwright_service.usecases.access import revoke_token
    from heelwright_service.usecases.preconditions import ANY

    revoke_token(UnitOfWork(_engine()), "heelwrightd token revoke", EVERYTHING, given.id, ANY)
    return _say(f"Token {given.id} is revoked.", DONE)


def _backup(given: argparse.Namespace) -> int:
    from heelwright_service.usecases.look_after import back_up

    if given.file.exists() and not given.overwrite:
        raise ValueError(f"{given.file} is there already; name another file or give --overwrite")
    manifest = back_up(_engine(), given.file)
    rows = sum(entry.rows for entry in manifest.tables.values())
    return _say(f"Wrote {rows} rows of {len(manifest.tables)} tables at revision {manifest.revision}.", DONE)


def _restore(given: argparse.Namespace) -> int:
    from heelwright_service.usecases.look_after import restore

    manifest = restore(_engine(), given.file)
    rows = sum(entry.rows for entry in manifest.tables.values())
    return _say(f"Restored {rows} rows as of {manifest.made_at}.", DONE)


def _verify(given: argparse.Namespace) -> int:
    from heelwright_service.store.archive import check_archive
    from heelwright_service.usecases.look_after import verify

    if given.file is not None:
        manifest = check_archive(given.file)
        return _say(f"{given.file} is whole: {len(manifest.tables)} tables as of {manifest.made_at}.", DONE)
    findings = verify(_engine())
    for finding in findings:
        print(f"{'holds' if finding.holds else 'FAILS'}  {finding.name}: {finding.detail}")
    return DONE if all(finding.holds for finding in findings) else REFUSED


def _engine() -> Engine:
    from heelwright_service.store.engine import database_url, make_engine

    return make_engine(database_url())


def _work() -> UnitOfWork:
    from heelwright_service.store.unit_of_work import UnitOfWork

    return UnitOfWork(_engine())


def _say(sentence: str, code: int) -> int:
    print(sentence if code == DONE else f"heelwrightd: {sentence}", file=sys.stderr)
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="heelwrightd",
        description="The Heelwright service. HEELWRIGHT_DATABASE_URL chooses PostgreSQL; without it the database is an "
        "SQLite file in this user's data folder.",
    )
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    serve = _command(commands, "serve", _serve, "answer requests until stopped")
    serve.add_argument("--port", type=int, default=DEFAULT_PORT, help="port to listen on (default %(default)s)")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (default %(default)s, this machine)")
    serve.add_argument("--migrate", action="store_true", help="migrate the database first, whatever its revision")
    _command(commands, "migrate", _migrate, "bring the database to the newest revision")
    _token_commands(commands)
    add_commands(commands, _command, _work)
    backup = _command(commands, "backup", _backup, "write the whole database to a file, while it is in use")
    backup.add_argument("file", type=Path)
    backup.add_argument("--overwrite", action="store_true", help="replace the file when it is there")
    restore = _command(commands, "restore", _restore, "restore a file into an empty database of either kind")
    restore.add_argument("file", type=Path)
    verify = _command(commands, "verify", _verify, "verify the database, or a backup file")
    verify.add_argument("file", type=Path, nargs="?")
    return parser


def _token_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    token = commands.add_parser("token", help="create, list and revoke tokens").add_subparsers(
        required=True, metavar="COMMAND"
    )
    create = _command(token, "create", _create_token, "create a token and print it, this once")
    create.add_argument("--name", required=True, help="whose it is or what for; stands behind every entry")
    create.add_argument("--role", required=True, choices=ROLES, help="each may do what those before it may")
    create.add_argument("--fleet", help="limit it to this fleet")
    create.add_argument("--vessel", action="append", help="limit it to this vessel's id; may be given again")
    create.add_argument("--days", type=int, help="how long it is good; for ever by default")
    listing = _command(token, "list", _list_tokens, "list the tokens, without their texts")
    listing.add_argument("--json", action="store_true", help="one JSON object a line")
    _command(token, "revoke", _revoke_token, "revoke a token").add_argument("id")


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    run: Callable[[argparse.Namespace], int],
    summary: str,
) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(name, help=summary, description=f"{summary.capitalize()}.")
    parser.set_defaults(run=run)
    return parser


if __name__ == "__main__":
    sys.exit(main())
