"""`heelwright vessels`: who is in the fleet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.files import read_document
from heelwright_client.cli.options import QuantityType
from heelwright_client.cli.output import show, show_json
from heelwright_client.cli.page import page_width
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.cli.spoken import spoken, spoken_day
from heelwright_client.cli.tables import Column, Line, table
from heelwright_client.drift_words import BASIS_WORDS
from heelwright_client.units import System
from heelwright_client.words import height, offset, quantity, station

_LENGTH = QuantityType("length")
_KIND_WORDS = {"high-speed-craft": "high-speed craft"}
_FACTS = {"length bp": "length between perpendiculars", "length": "length by her rules", "imo number": "IMO number"}
_PARTS = ("hull", "hydrostatic-table", "marks", "tanks")


@click.group()
def vessels() -> None:
    """List, show and add vessels."""


@vessels.command("list")
@click.option("--fleet", help="Only this fleet.")
@pass_settings
def list_vessels(settings: Settings, /, fleet: str | None) -> None:
    """List the vessels that the token may see."""
    found = [vessel for vessel in settings.client.vessels if fleet in (None, vessel.get("fleet"))]
    if settings.as_json:
        show_json({"items": found})
    elif not found:
        show(["No vessels yet. Add one with: heelwright vessels add NAME --kind KIND"])
    else:
        show(vessel_lines(found, settings.system, page_width()))


@vessels.command("show")
@click.argument("vessel")
@pass_settings
def show_vessel(settings: Settings, /, vessel: str) -> None:
    """Show a VESSEL (id, IMO number or name) with her lightships."""
    found = settings.client.vessels.find(vessel)
    lightships = list(settings.client.lightships.of(str(found["id"])))
    if settings.as_json:
        show_json({**found, "lightships": lightships})
        return
    head = [Line(f"{found['name']} ({spoken(found.get('kind') or 'kind not known', _KIND_WORDS)})", "title")]
    facts = [[spoken(name.replace("_", " "), _FACTS), text] for name, text in _facts(found, settings.system) if text]
    show([*head, *table([Column(""), Column("")], facts, width=page_width()), Line("")])
    show(lightship_lines(lightships, settings.system, page_width()))


@vessels.command("add")
@click.argument("name")
@click.option("--imo-number", metavar="NUMBER", help="Seven digits; the last one checks the others.")
@click.option("--kind", help="Such as passenger, cargo, fishing, towing.")
@click.option("--fleet")
@click.option("--sister-of", metavar="VESSEL", help="Id, IMO number or name of the lead ship.")
@click.option("--length-bp-m", type=_LENGTH, help="Between perpendiculars.")
@click.option("--length-m", type=_LENGTH, help="Rule length.")
@click.option("--breadth-m", type=_LENGTH)
@click.option("--depth-m", type=_LENGTH)
@click.option("--keel-laid", metavar="DATE", help="YYYY-MM-DD.")
@click.option("--rule-set", help="Rules that she is judged by.")
@pass_settings
def add_vessel(settings: Settings, /, sister_of: str | None, **facts: Any) -> None:  # noqa: ANN401 (options by name)
    """Add a vessel called NAME."""
    given = {name: value for name, value in facts.items() if value is not None}
    if sister_of:
        given["sister_of"] = settings.client.vessels.find(sister_of)["id"]
    stored = settings.client.vessels.create(given).document
    if settings.as_json:
        show_json(stored)
    else:
        show([f"Added the {stored['name']} with the id {stored['id']}."])


@vessels.command("put")
@click.argument("vessel")
@click.argument("part", type=click.Choice(_PARTS))
@click.argument("document", metavar="DOCUMENT.json")
@pass_settings
def put_part(settings: Settings, /, vessel: str, part: Any, document: str) -> None:  # noqa: ANN401 (one of _PARTS)
    """Store a new version of a VESSEL's hull, hydrostatic-table, marks or tanks.

    The document is the part as it stands in a test record. Earlier versions are kept for the tests that used them.
    """
    from heelwright_client.errors import NotFoundError

    content = read_document(document)
    client = settings.client
    found = client.vessels.find(vessel)
    try:
        etag = client.vessels.part(str(found["id"]), part).etag
    except NotFoundError:
        etag = None
    stored = client.vessels.put_part(str(found["id"]), part, content, etag=etag)
    if settings.as_json:
        show_json(stored.document)
    else:
        show([f"Stored a new version of the {part.replace('-', ' ')} of the {found['name']}."])


def vessel_lines(found: Sequence[Mapping[str, Any]], system: System, width: int) -> list[Line]:
    """Lay out vessels.

    Parameters
    ----------
    found : sequence of Mapping
        As the service gives them.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        One row a vessel.
    """
    columns = [
        Column("name"),
        Column("IMO number"),
        Column("kind"),
        Column("fleet"),
        Column("LBP", "point"),
        Column("id", yields=True),
    ]
    rows = [
        [
            str(vessel["name"]),
            str(vessel.get("imo_number") or "none"),
            spoken(str(vessel.get("kind") or ""), _KIND_WORDS),
            str(vessel.get("fleet") or ""),
            _length(vessel.get("length_bp_m"), system),
            str(vessel["id"]),
        ]
        for vessel in sorted(found, key=lambda vessel: str(vessel["name"]).casefold())
    ]
    return table(columns, rows, width=width)


def lightship_lines(found: Sequence[Mapping[str, Any]], system: System, width: int) -> list[Line]:
    """Lay out the lightships of a vessel.

    Parameters
    ----------
    found : sequence of Mapping
        As the service gives them.
    system : System
        Display units.
    width : int
        Characters in a line.

    Returns
    -------
    list of Line
        One row a lightship.
    """
    if not found:
        return [Line("No lightships yet.")]
    columns = [
        Column("date"),
        Column("by"),
        *(Column(name, "point") for name in ("mass", "LCG", "TCG", "VCG")),
        Column("", yields=True),
    ]
    rows = [
        [
            spoken_day(ship["date"]),
            spoken(ship["basis"], BASIS_WORDS),
            quantity(ship["mass_t"], "mass", system=system, decimals=1),
            station(ship["lcg_m"], system),
            offset(ship.get("tcg_m"), system),
            height(ship.get("vcg_m"), system),
            _standing(ship),
        ]
        for ship in found
    ]
    return [Line("Lightships", "title"), *table(columns, rows, width=width)]


def _standing(ship: Mapping[str, Any]) -> str:
    if ship.get("superseded_by"):
        return "superseded"
    return "approved" if ship.get("approved") else ""


def _facts(vessel: Mapping[str, Any], system: System) -> list[tuple[str, str]]:
    lengths = [(name, _length(vessel.get(f"{name}_m"), system)) for name in ("length_bp", "length", "breadth", "depth")]
    texts = [(name, _fact(vessel, name)) for name in ("imo_number", "fleet", "keel_laid", "rule_set", "id")]
    return [*texts[:2], *lengths, *texts[2:]]


def _fact(vessel: Mapping[str, Any], name: str) -> str:
    value = str(vessel.get(name) or "")
    return spoken_day(value) if name == "keel_laid" else value


def _length(value_m: float | None, system: System) -> str:
    return "" if value_m is None else quantity(value_m, "length", system=system, decimals=2)
