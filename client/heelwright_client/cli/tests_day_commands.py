"""`heelwright tests enter` and the like: what is read on board, and where the test stands."""

from __future__ import annotations

from typing import Any

import click

from heelwright_client.cli.checks import VERDICTS
from heelwright_client.cli.entry_words import entry_words
from heelwright_client.cli.files import read_document
from heelwright_client.cli.options import QuantityType, one_of
from heelwright_client.cli.page import on_terminal, page_width
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.spoken import spoken
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.cli.tests_group import list_lines, point_lines, tell
from heelwright_client.units import System
from heelwright_client.words import number, quantity

COLLECTIONS = (
    "water",
    "probes",
    "draughts",
    "freeboards",
    "soundings",
    "items",
    "persons",
    "weights",
    "instruments",
    "states",
    "ballast-moves",
    "ballast-procedure",
    "readings",
    "weather",
    "permits",
    "certificates",
    "reservations",
    "signatures",
    "deviations",
    "waivers",
    "closings",
    "statements",
    "uncertainties",
)
_COLLECTION = click.Choice(COLLECTIONS)
_COLLECTIONS = one_of("COLLECTION", COLLECTIONS)
_LENGTH = QuantityType("length")


@click.command("enter", epilog=_COLLECTIONS)
@click.argument("test")
@click.argument("collection", type=_COLLECTION, metavar="COLLECTION")
@click.argument("facts_file", metavar="FACTS.json")
@click.option("--key", metavar="TEXT", help="Names this one act, so that it can be sent again from a poor network.")
@pass_settings
def enter(settings: Settings, /, test: str, collection: Any, facts_file: str, key: str | None) -> None:  # noqa: ANN401
    """Enter one thing, or several as {"items": [...]}, into a COLLECTION of a TEST ("-" is standard input)."""
    document = read_document(facts_file)
    rows = document["items"] if set(document) == {"items"} else [document]
    keys = [f"{key}-{place}" if key else None for place in range(len(rows))]
    calls = settings.client.tests
    found = [calls.enter(test, collection, row, idempotency_key=k) for row, k in zip(rows, keys, strict=True)]
    lines = [f"Entered {len(found)} into {collection}."]
    lines += [each["hint"] for each in found if each.get("hint")]
    lines += [twin["text"] for each in found for twin in each.get("twins", [])]
    lines += [each["price"]["sentence"] for each in found if each.get("price")]
    tell(settings, {"items": found}, lines)


@click.command("ballast-move")
@click.argument("test")
@click.option("--state", type=int, required=True, metavar="NUMBER", help="The state that the move leads to.")
@click.option(
    "--from",
    "source",
    type=(str, _LENGTH, _LENGTH),
    required=True,
    metavar="TANK BEFORE AFTER",
    help="The tank that the water leaves and its soundings [m].",
)
@click.option(
    "--to",
    "target",
    type=(str, _LENGTH, _LENGTH),
    required=True,
    metavar="TANK BEFORE AFTER",
    help="The tank that it comes into and its soundings [m].",
)
@click.option("--corrects", metavar="ENTRY", help="The entry that this one replaces.")
@click.option("--reason", metavar="TEXT", help="What was wrong with it.")
@click.option("--key", metavar="TEXT", help="Names this one act, so that it can be sent again from a poor network.")
@pass_settings
def ballast_move(
    settings: Settings,
    /,
    test: str,
    state: int,
    source: tuple[str, float, float],
    target: tuple[str, float, float],
    corrects: str | None,
    reason: str | None,
    key: str | None,
) -> None:
    """Enter water moved between tanks of a TEST as inclining weight, both sounded before and after."""
    if corrects and not reason:
        raise click.UsageError("--corrects needs --reason: say what was wrong.")
    facts: dict[str, Any] = {"state": state, "from_tank": source[0], "to_tank": target[0]}
    facts |= {"from_before_m": source[1], "from_after_m": source[2], "to_before_m": target[1], "to_after_m": target[2]}
    if corrects:
        facts |= {"corrects": corrects, "reason": reason}
    found = settings.client.tests.enter(test, "ballast-moves", facts, idempotency_key=key)
    line = f"Entered for state {state}: water from {source[0]} to {target[0]} ({found['entry_id']})."
    tell(settings, found, [line, "Whether what left has arrived is checked when the test is reduced."])


@click.command("entries", epilog=_COLLECTIONS)
@click.argument("test")
@click.argument("collection", type=_COLLECTION, metavar="COLLECTION")
@pass_settings
def entries(settings: Settings, /, test: str, collection: Any) -> None:  # noqa: ANN401 (a word)
    """List what was entered in a COLLECTION of a TEST, corrected entries included."""
    found = list(settings.client.tests.entries(test, collection))
    rows = [{**each, "says": _facts(each, settings.system), "counts": _counts(each)} for each in found]
    names = ["entry_id", "recorded_by", "counts", "says", "corrected_by", "correction_reason"]
    tell(settings, {"items": found}, list_lines(rows, names, "says") or [f"No {collection}."])


@click.command("withdraw", epilog=_COLLECTIONS)
@click.argument("test")
@click.argument("collection", type=_COLLECTION, metavar="COLLECTION")
@click.argument("entry")
@click.option("--reason", required=True)
@pass_settings
def withdraw(settings: Settings, /, test: str, collection: Any, entry: str, reason: str) -> None:  # noqa: ANN401
    """Take back an ENTRY of a COLLECTION of a TEST; it stays readable with the reason."""
    found = settings.client.tests.withdraw(test, collection, entry, reason)
    tell(settings, found, ["Withdrawn: it counts no more."])


@click.command("confirm")
@click.argument("test")
@click.argument("item")
@click.option("--mass-t", type=QuantityType("mass"), help="Its mass now, where that has changed [t].")
@pass_settings
def confirm(settings: Settings, /, test: str, item: str, mass_t: float | None) -> None:
    """Confirm on the survey day an ITEM of the advisory survey of a TEST; `entries TEST items` lists them."""
    found = settings.client.tests.tick(test, item, mass_t)
    lines = [f"Still there: {found['description']}, {number(found['mass_t'], 3)} t ({found['entry_id']})."]
    tell(settings, found, [*lines, *([found["hint"]] if found["hint"] else []), *(t["text"] for t in found["twins"])])


@click.command("survey")
@click.argument("test")
@pass_settings
def survey(settings: Settings, /, test: str) -> int:
    """Sum up the survey of a TEST. Exit status 1 when a limit is passed."""
    found = settings.client.tests.survey(test)
    checks = [*found["checks"], *found["boundary"]]
    rows = [[spoken(each["status"], VERDICTS), each["text"], each["source"]] for each in checks]
    lines = table([Column(""), Column("what", wraps=2), Column("source", wraps=1)], rows, width=page_width())
    left = [_landing(each, settings.system) for each in found["landings"]]
    lines += [Line("If the heaviest are landed", "title")]
    lines += list_lines(left, ["description", "mass_t", "surplus_percent"], numbers=("mass_t", "surplus_percent"))
    lines += [Line(each["text"], "warn") for each in found["twins"]]
    lines += [Line(found["materiality"]["sentence"])]
    tell(settings, found, lines)
    return 1 if any(each["status"] == "fail" for each in checks) else 0


@click.command("readiness")
@click.argument("test")
@click.option("--leave", is_flag=True, help="Ask whether the ship can be left, not whether the test can start.")
@pass_settings
def readiness(settings: Settings, /, test: str, leave: bool) -> int:
    """Can we start? Can we leave? Exit status 1 when the answer is no."""
    found = settings.client.tests.readiness(test)
    asked = "leave" if leave else "start"
    tell(settings, found, point_lines(found[asked], f"Can we {asked}?"))
    return 0 if found[asked]["ready"] else 1


@click.command("running")
@click.argument("test")
@pass_settings
def running(settings: Settings, /, test: str) -> int:
    """Show where a TEST stands after its last state. Exit status 1 while a reading is to be taken again."""
    found = settings.client.tests.running(test)
    gm, error = found["gm_fluid_m"], found["gm_standard_error_m"]
    so_far = "not known yet"
    if gm is not None:
        so_far = f"{number(gm, 3)} m, give or take {number(error, 4)} m by the readings alone"
    lines = [Line(f"GM so far: {so_far}", "title"), Line(f"  {found['may_stop_text']}")]
    lines += [Line(f"  read state {each['state']} again: {each['why']}", "fail") for each in found["read_again"]]
    lines += [Line(f"  - {text}") for text in found["next_actions"]]
    tell(settings, found, lines)
    return 1 if found["read_again"] else 0


@click.command("decide")
@click.argument("test")
@click.argument("deviation")
@click.argument("decision", type=click.Choice(["accept", "mend", "postpone"]))
@click.option("--name", required=True, help="Who takes it on himself.")
@click.option("--witness")
@click.option("--remarks")
@pass_settings
def decide(settings: Settings, /, test: str, deviation: str, **facts: str | None) -> None:
    """Accept or mend a DEVIATION of a TEST, or postpone for it."""
    given = {name: value for name, value in facts.items() if value is not None}
    found = settings.client.tests.decide(test, deviation, given)
    price = found.get("price")
    tell(settings, found, [f"{found['decision']} by {found['name']}: {price['sentence'] if price else 'not priced'}"])


_MADE = frozenset(
    ("id", "entry_id", "corrects", "withdrawn", "correction_reason", "recorded_at", "recorded_by", "corrected_by",
     "set_aside")
)  # fmt: skip


def _landing(found: dict[str, Any], system: System) -> dict[str, Any]:
    """What is left of the surplus once a thing is ashore; a terminal has the units beside the figures."""
    left = number(found["surplus_percent"], 2)
    if not on_terminal():
        return {**found, "surplus_percent": left}
    return {
        **found,
        "mass_t": quantity(found["mass_t"], "mass", system=system, decimals=2),
        "surplus_percent": f"{left} %",
    }


def _counts(entry: dict[str, Any]) -> str:
    if entry["set_aside"]:
        return "no: day broken off"
    return "no: withdrawn" if entry["withdrawn"] else "no: corrected" if entry["corrected_by"] else "yes"


def _facts(entry: dict[str, Any], system: System) -> str:
    told = {name: value for name, value in entry.items() if name not in _MADE and not isinstance(value, dict | list)}
    if on_terminal():
        return entry_words(told, system)
    return ", ".join(f"{name} {value}" for name, value in told.items() if value is not None)


COMMANDS = (enter, ballast_move, entries, withdraw, confirm, survey, readiness, running, decide)
