"""`heelwright history`: lightships and alterations in and out of CSV and XLSX files."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import click

from heelwright_client.cli.files import write_file
from heelwright_client.cli.output import show, show_json, working
from heelwright_client.cli.settings import Settings, pass_settings
from heelwright_client.errors import RefusedError
from heelwright_client.history_columns import FIELDS
from heelwright_client.history_files import SHEETS, Entry, HistoryFileError, Sheet, read_history, write_history
from heelwright_client.words import plural

_POINTER = re.compile(r"^/entries/(?P<number>\d+)(?:/(?:lightship|alteration))?(?:/(?P<field>.*))?$")


@click.group()
def history() -> None:
    """Import and export lightships and alterations (CSV, XLSX)."""


@history.command("import")
@click.argument("file", metavar="FILE.csv|FILE.xlsx")
@click.option("--vessel", help="For rows without a vessel: id, IMO number or name.")
@click.option("--check", "only_check", is_flag=True, help="Read and check the file; store nothing.")
@pass_settings
def import_history(settings: Settings, /, file: str, vessel: str | None, only_check: bool) -> None:
    """Store every row of a FILE, or none: a bad row is named with its row and column."""
    entries = read_history(file)
    bodies = _with_vessels(settings, file, entries, vessel)
    counts: dict[str, int] = {sheet: sum(entry.sheet == sheet for entry in entries) for sheet in SHEETS}
    if not only_check:
        counts = _store(settings, file, entries, bodies)
    if settings.as_json:
        show_json({**counts, "stored": not only_check})
    else:
        told = f"{plural(counts['lightships'], 'lightship')} and {plural(counts['alterations'], 'alteration')}"
        show([f"{told} can be read; nothing was stored." if only_check else f"Stored {told}."])


def _store(settings: Settings, file: str, entries: Sequence[Entry], bodies: list[dict[str, Any]]) -> dict[str, int]:
    key = hashlib.sha256(json.dumps(bodies, sort_keys=True).encode()).hexdigest()
    try:
        with working("Storing the history"):
            stored = settings.client.history.add(bodies, idempotency_key=key)
    except RefusedError as error:
        problems = [_named(entry.pointer, entry.message, entries) for entry in error.errors]
        if not any(_POINTER.match(entry.pointer) for entry in error.errors):
            raise
        raise HistoryFileError(file, problems) from error
    return {sheet: int(stored[sheet]) for sheet in SHEETS}


def _named(pointer: str, message: str, entries: Sequence[Entry]) -> str:
    """Where in the file a refused field stands."""
    found = _POINTER.match(pointer)
    if found is None or int(found["number"]) >= len(entries):
        return f"{pointer}: {message}"
    entry = entries[int(found["number"])]
    path = tuple((found["field"] or "").split("/"))
    columns = [field.column for field in FIELDS[entry.sheet] if field.path == path]
    return f"{entry.sheet}, row {entry.row}{''.join(f', column {name}' for name in columns)}: {message}"


def _with_vessels(
    settings: Settings, file: str, entries: Sequence[Entry], fallback: str | None
) -> list[dict[str, Any]]:
    ids: dict[str, str] = {}
    problems: list[str] = []
    bodies: list[dict[str, Any]] = []
    fleet = list(settings.client.vessels)
    for entry in entries:
        name = entry.vessel or fallback
        if name is None:
            problems.append(f"{entry.sheet}, row {entry.row}, column vessel: is empty; name her, or give --vessel.")
            continue
        if name not in ids:
            found = settings.client.vessels.among(fleet, name)
            if len(found) != 1:
                seen = "no vessel answers" if not found else f"{len(found)} vessels answer"
                problems.append(f"{entry.sheet}, row {entry.row}, column vessel: {seen} to {name!r}.")
                continue
            ids[name] = str(found[0]["id"])
        bodies.append({"vessel_id": ids[name], entry.sheet.removesuffix("s"): entry.document})
    if problems:
        raise HistoryFileError(file, problems)
    return bodies


@history.command("export")
@click.argument("file", metavar="FILE.csv|FILE.xlsx")
@click.option("--vessel", "names", multiple=True, help="Only this one (may be repeated): id, IMO number or name.")
@click.option("--only", type=click.Choice(SHEETS), help="One sheet; a CSV file holds lightships where nothing is said.")
@pass_settings
def export_history(settings: Settings, /, file: str, names: tuple[str, ...], only: Sheet | None) -> None:
    """Write what stands (nothing superseded, corrected or withdrawn) to a FILE that `history import` reads back."""
    client = settings.client
    chosen = [client.vessels.find(name) for name in names] or list(client.vessels)
    sheets: tuple[Sheet, ...] = (only,) if only else (SHEETS if file.lower().endswith(".xlsx") else SHEETS[:1])
    with working("Reading the history"):
        found = {sheet: list(_standing(settings, chosen, sheet)) for sheet in sheets}
    write_file(file, write_history(file, found))
    counts = {sheet: len(rows) for sheet, rows in found.items()}
    if settings.as_json:
        show_json(counts)
    else:
        told = " and ".join(plural(count, sheet.removesuffix("s")) for sheet, count in counts.items())
        show([f"Wrote {told} to {file}."])


def _standing(
    settings: Settings, chosen: Sequence[Mapping[str, Any]], sheet: Sheet
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for vessel in chosen:
        client = settings.client
        source = client.lightships if sheet == "lightships" else client.alterations
        for entry in source.of(str(vessel["id"])):
            if not (entry.get("superseded_by") or entry.get("corrected_by") or entry.get("withdrawn")):
                yield str(vessel.get("imo_number") or vessel["name"]), entry
