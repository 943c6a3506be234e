"""The `heelwright` command line.

Commands are imported when they are called, so that `heelwright --help` starts at once.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any, NoReturn

import click

from heelwright_client import __version__
from heelwright_client.cli.settings import Settings
from heelwright_client.units import SYSTEMS

if TYPE_CHECKING:
    from requests.adapters import BaseAdapter

OK, REFUSED, USAGE, NOT_REACHED = 0, 1, 2, 3
_INTERRUPTED = 130

_COMMANDS = {
    "plan": ("Plan the inclining weights and the order of lifts.", "plan:plan"),
    "reduce": ("Reduce a test record to the lightship.", "reduce:reduce"),
    "price": ("Price a departure from the procedure.", "price:price"),
    "drift": ("Follow the lightship drift of a vessel or the fleet.", "drift:drift"),
    "vessels": ("List, show and add vessels.", "vessels:vessels"),
    "tests": ("Carry a test from the first plan to the approved lightship.", "tests_commands:tests"),
    "history": ("Import and export lightships and alterations (CSV, XLSX).", "history:history"),
    "alterations": ("List and log alterations.", "alterations:alterations"),
    "web": ("Serve the planning front end for browsers.", "web_commands:web"),
}


class _Commands(click.Group):
    """Knows every command by name and imports the one that is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        module, _, name = _COMMANDS[cmd_name][1].partition(":")
        command: click.Command = getattr(import_module(f"heelwright_client.cli.{module}"), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, help_text) for name, (help_text, _) in _COMMANDS.items()])


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--url", metavar="URL", help="Address of the service [HEELWRIGHT_URL, configuration file].")
@click.option("--token", metavar="TOKEN", help="Token [HEELWRIGHT_TOKEN, configuration file; safer than here].")
@click.option("--json", "as_json", is_flag=True, help="Answer for machines: JSON in SI, full precision.")
@click.option(
    "--units",
    type=click.Choice(list(SYSTEMS)),
    default="si",
    show_default=True,
    help="Units of tables: us has draughts and trims in feet and inches, us-decimal in decimal feet.",
)
@click.version_option(__version__, prog_name="heelwright")
@click.pass_context
def cli(ctx: click.Context, url: str | None, token: str | None, as_json: bool, units: str) -> None:
    """Plan, reduce and remember ships' inclining tests and lightweight surveys.

    Exit status: 0 ok, 1 refused or a failed check, 2 usage, 3 service not reached.
    """
    given = ctx.find_object(Settings)
    transport = given.transport if given else None
    ctx.obj = Settings(url, token, as_json, SYSTEMS[units], transport)


def run(arguments: Sequence[str], transport: BaseAdapter | None = None) -> int:
    """Run one command line.

    Parameters
    ----------
    arguments : sequence of str
        Without the program's name.
    transport : requests.adapters.BaseAdapter or None
        Stands in for the network.

    Returns
    -------
    int
        Exit status: 0 ok, 1 refused or a failed check, 2 usage, 3 not reached.
    """
    from heelwright_client.errors import ConfigurationError, HeelwrightError, NotReachedError, UnavailableError

    as_json = "--json" in arguments
    try:
        status: Any = cli.main(
            list(arguments), prog_name="heelwright", standalone_mode=False, obj=Settings(transport=transport)
        )
    except click.ClickException as error:
        _show_usage(error)
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        return _INTERRUPTED
    except HeelwrightError as error:
        from heelwright_client.cli.output import complain

        complain(error, as_json=as_json)
        if isinstance(error, NotReachedError | UnavailableError):
            return NOT_REACHED
        return USAGE if isinstance(error, ConfigurationError) else REFUSED
    return status if isinstance(status, int) else OK


def _show_usage(error: click.ClickException) -> None:
    from heelwright_client.cli.output import complain_in_words

    told = io.StringIO()
    error.show(told)
    complain_in_words(told.getvalue())


def main() -> NoReturn:
    """Run the command line of this process."""
    try:
        status = run(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:
        sys.stderr.close()
        status = OK
    sys.exit(status)
