"""`heelwright alterations`: what was added, removed or moved between surveys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.options import QuantityType
from heelwright_client.cli.output import show, show_json
from heelwright_client.cli.page import on_terminal, page_width
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.spoken import spoken_day
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.units import System
from heelwright_client.words import height, offset, quantity, station

_LENGTH = QuantityType("length")
_WHAT = -2


@click.group()
def alterations() -> None:
    """List and log alterations."""


@alterations.command("list")
@click.argument("vessel")
@pass_settings
def list_alterations(settings: Settings, /, vessel: str) -> None:
    """List the alterations of a VESSEL (id, IMO number or name)."""
    found = settings.client.vessels.find(vessel)
    entries = list(settings.client.alterations.of(str(found["id"])))
    if settings.as_json:
        show_json({"items": entries})
    elif not entries:
        show([f"No alterations of the {found['name']} are logged."])
    else:
        show([Line(f"Alterations of the {found['name']}", "title")])
        show(alteration_lines(entries, settings.system, page_width()))


@alterations.command("add")
@click.argument("vessel")
@click.option("--date", required=True, metavar="DATE", help="YYYY-MM-DD.")
@click.option("--kind", required=True, type=click.Choice(["added", "removed", "relocated"]))
@click.option("--mass-t", required=True, type=QuantityType("mass"), help="Always positive; the kind tells the sense.")
@click.option("--x-m", required=True, type=_LENGTH, help="Forward of the aft perpendicular.")
@click.option("--y-m", required=True, type=_LENGTH, help="To starboard; to port negative.")
@click.option("--z-m", required=True, type=_LENGTH, help="Above the moulded baseline.")
@click.option("--to-x-m", type=_LENGTH, help="Where it stands now (relocated).")
@click.option("--to-y-m", type=_LENGTH)
@click.option("--to-z-m", type=_LENGTH)
@click.option("--description")
@pass_settings
def add_alteration(settings: Settings, /, vessel: str, **facts: Any) -> None:  # noqa: ANN401 (options by name)
    """Log an alteration of a VESSEL (id, IMO number or name)."""
    found = settings.client.vessels.find(vessel)
    given = {name: value for name, value in facts.items() if value is not None}
    stored = settings.client.alterations.add(str(found["id"]), given).document
    if settings.as_json:
        show_json(stored)
    else:
        mass = quantity(stored["mass_t"], "mass", system=settings.system, decimals=2)
        show([f"Logged for the {found['name']}: {mass} {stored['kind']} on {spoken_day(stored['date'])}."])


def alteration_lines(entries: Sequence[Mapping[str, Any]], system: System, width: int) -> list[Line]:
    """Lay out alterations.

    Parameters
    ----------
    entries : sequence of Mapping
        As the service gives them.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        One row an alteration.
    """
    columns = [
        Column("date"),
        Column("kind"),
        Column("mass", "point"),
        Column("along", "point"),
        Column("across", "point"),
        Column("height", "point"),
        Column("what", wraps=1),
        Column(""),
    ]
    return table(columns, [row for entry in entries for row in _rows(entry, system)], width=width)


def _rows(entry: Mapping[str, Any], system: System) -> list[list[str]]:
    """One row, and a second one for where a relocated mass went; on a terminal what it is may stand below them."""
    mass = quantity(entry["mass_t"], "mass", system=system, decimals=2)
    what = str(entry.get("description") or "")
    rows = [[spoken_day(entry["date"]), str(entry["kind"]), mass, *_place(entry, "", system), what, _standing(entry)]]
    if entry["kind"] == "relocated":
        rows.append(["", "  to", "", *_place(entry, "to_", system), "", ""])
        if on_terminal():
            rows[0][_WHAT], rows[1][_WHAT] = "", what
    return rows


def _place(entry: Mapping[str, Any], prefix: str, system: System) -> list[str]:
    x, y, z = (entry.get(f"{prefix}{axis}_m") for axis in "xyz")
    return [station(x, system), offset(y, system), height(z, system)]


def _standing(entry: Mapping[str, Any]) -> str:
    if entry.get("corrected_by"):
        return "corrected"
    return "withdrawn" if entry.get("withdrawn") else ""
